"""The handbook's own drawings, by the name that a page's ``figure`` fence calls them.

Each is a function without arguments. Where lengths are true to each other a figure has a scale bar;
the others are schemes, and their titles make no claim of size.
"""

from collections.abc import Callable

from calculators.declaring import Drawing
from calculators.site.figures import (
    commissioning,
    fabrication,
    fixing,
    strip_down,
    survey,
    treatment,
    tuning,
    verification,
    wiring,
)

FIGURES: dict[str, Callable[[], Drawing]] = {
    "battery-corner": wiring.battery_corner,
    "body-tests": survey.body_tests,
    "box-in-well": fixing.box_in_well,
    "box-joints": fabrication.box_joints,
    "cabin-tapes": tuning.cabin_tapes,
    "clip-and-lever": strip_down.clip_and_lever,
    "contacts": verification.contacts,
    "crimps": wiring.crimps,
    "door-boot": wiring.door_boot,
    "hold-up-branch": wiring.hold_up_branch,
    "door-section": treatment.door_section,
    "edge-and-airbag": strip_down.edge_and_airbag,
    "driver-ring": fixing.driver_ring,
    "fixing-joint": fixing.fixing_joint,
    "floor-layers": treatment.floor_layers,
    "gasket-ring": treatment.gasket_ring,
    "glass-travel": survey.glass_travel,
    "holder-first-power": commissioning.holder_first_power,
    "no-drill-zones": strip_down.no_drill_zones,
    "patch-middle": treatment.patch_middle,
    "return-joint": wiring.return_joint,
    "sensor-kinds": treatment.sensor_kinds,
    "tweeter-place": fixing.tweeter_place,
    "water-tray": treatment.water_tray,
}
