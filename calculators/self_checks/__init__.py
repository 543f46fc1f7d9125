"""Self-checks for apprentices, by blocks of study: questions drawn anew each time, answered by the calculators.

A check is a function of `calculators/self_checks/<block>.py` that turns a draw into a question; its docstring is
its title. ``BLOCKS`` is read before any of them is imported.
"""

from dataclasses import dataclass
from importlib import import_module

from calculators.self_checks.asking import Check, Question, fitting


@dataclass(frozen=True)
class Block:
    """A block of study: its title, its checks, and on how many days each must be right."""

    title: str
    checks: tuple[str, ...]
    days: int = 1


BLOCKS = {
    "safety": Block(
        "Safety and vehicle care",
        ("next_step", "bleed_time", "door_gate", "fuse_place", "lifting", "ears_left", "battery_corner"),
        days=2,
    ),
    "electricity": Block(
        "Electricity",
        (
            *("parked_days", "cable_drop", "amplifier_current", "hold_up_farads", "fuse_rating", "bad_joint"),
            *("crimp_sawn", "feed_order"),
        ),
    ),
    "signal": Block(
        "Signal and levels",
        (
            *(
                "decibel_change",
                "volts_for_power",
                "noise_level",
                "two_levels",
                "may_it_drive",
                "first_to_clip",
            ),
            *("scope_trace", "gains_in_order"),
        ),
    ),
    "boxes": Block(
        "Doors and boxes",
        ("box_q", "box_resonance", "crash_force", "driver_room", "layers_in_order", "box_record"),
    ),
    "commissioning": Block(
        "Commissioning",
        (
            "test_volts",
            "filling_time",
            "thermal_limit",
            "offset_found",
            "fuses_in_order",
            "first_power_record",
        ),
    ),
    "tuning": Block(
        "Tuning",
        (
            *("delay_time", "delay_samples", "phase_time", "opposed_note", "slope_level", "tuning_order"),
            *("sheet_delay", "phase_left", "trim_in_front", "sheet_order", "line_first", "within_a_step"),
        ),
    ),
    "verification": Block(
        "Verification and handover",
        (
            "run_resistance",
            "minutes_allowed",
            "tweeter_noise",
            "sleep_current",
            "proof_order",
            "proof_record",
        ),
    ),
    "faults": Block(
        "Fault-finding",
        ("half_of_it", "quarter_volts", "undo_it", "coil_reading", "like_with_like", "fault_record"),
    ),
}


def find_check(block: str, name: str) -> Check:
    """The check of that block and name. Raises KeyError for one that is not there."""
    if block not in BLOCKS or name not in BLOCKS[block].checks:
        raise KeyError(f"There is no self-check called {block}/{name}.")
    check: Check = getattr(import_module(f"{__name__}.{block}"), name)
    return check


def question(block: str, name: str, seed: int) -> Question:
    """The question that a seed stands for: the same for the same seed, everywhere."""
    return fitting(find_check(block, name), seed)
