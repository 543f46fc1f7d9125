"""The handbook's own drawings, by the name that a page's ``figure`` fence calls them.

Each is a function without arguments. Where lengths are true to each other a figure has a scale bar;
the others are schemes, and their titles make no claim of size.
"""

from collections.abc import Callable

from calculators.declaring import Drawing
from calculators.site.figures import (
    buying,
    commissioning,
    customers,
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
    "amplifier-way": customers.amplifier_way,
    "bass-box": customers.bass_box,
    "bass-dial": customers.bass_dial,
    "chain": customers.chain,
    "comes-out-and-stays": buying.comes_out_and_stays,
    "even-tone": customers.even_tone,
    "first-days": buying.first_days,
    "first-things-first": buying.first_things_first,
    "front-pair": customers.front_pair,
    "held-over": customers.held_over,
    "fuse-hand": buying.fuse_hand,
    "hours-of-listening": buying.hours_of_listening,
    "near-and-far": customers.near_and_far,
    "quiet-doors": customers.quiet_doors,
    "radio-settings": buying.radio_settings,
    "sheet-of-a-quote": buying.sheet_of_a_quote,
    "trouble-spots": buying.trouble_spots,
    "two-heads": customers.two_heads,
    "where-hours-go": buying.where_hours_go,
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
