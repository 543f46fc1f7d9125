"""The handbook's own drawings, by the name that a page's ``figure`` fence calls them.

Each is a function without arguments. Where lengths are true to each other a figure has a scale bar;
the others are schemes, and their titles make no claim of size.
"""

from collections.abc import Callable

from calculators.declaring import Drawing
from calculators.site.figures import commissioning, fabrication, survey, treatment, tuning, wiring

FIGURES: dict[str, Callable[[], Drawing]] = {
    "battery-corner": wiring.battery_corner,
    "body-tests": survey.body_tests,
    "box-joints": fabrication.box_joints,
    "cabin-tapes": tuning.cabin_tapes,
    "crimps": wiring.crimps,
    "door-boot": wiring.door_boot,
    "hold-up-branch": wiring.hold_up_branch,
    "door-section": treatment.door_section,
    "floor-layers": treatment.floor_layers,
    "gasket-ring": treatment.gasket_ring,
    "holder-first-power": commissioning.holder_first_power,
    "patch-middle": treatment.patch_middle,
    "return-joint": wiring.return_joint,
    "sensor-kinds": treatment.sensor_kinds,
    "water-tray": treatment.water_tray,
}
