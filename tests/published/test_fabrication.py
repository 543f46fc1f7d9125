"""Fixing, load floors and mass: what standards and tables print, and what was worked out from them."""

from calculators.physics.fixings import GRAVITY
from tests.published.rows import Row, check, every

BOLT = "EN 1993-1-8, table 3.4, 0.9·fub·As and αv·fub·As; steel designers' tables, from memory"
BY_HAND = "force is mass times acceleration, g 9.80665 m/s²; moments by hand, on one of a row of two"
SHEET = "EN 1993-1-3, tables 8.2 and 8.4 (form from memory), DC04 Rm 270 MPa, by hand"
BOX = {"mass": 13.0, "centre_height": 0.061, "row_spacing": 0.3}


def bolt(size: float, bolt_class: str) -> dict[str, object]:
    return {**BOX, "bolt": size, "bolt_class": bolt_class, "factor": 1.0}


M12 = {**BOX, "bolt": 0.012, "bolt_class": "8.8", "washer": 0.024}
FIXINGS = [
    Row("3.4", "fixing-load", M12, "parts[0].pull", 48_600, 50, BOLT, "memory"),
    Row("3.4", "fixing-load", M12, "parts[0].shear", 32_400, 50, BOLT, "memory"),
    Row("3.4", "fixing-load", {**M12, "bolt_class": "10.9"}, "parts[0].pull", 60_700, 50, BOLT, "memory"),
    Row("3.4", "fixing-load", {**M12, "bolt_class": "10.9"}, "parts[0].shear", 33_700, 50, BOLT, "memory"),
    Row("3.4", "fixing-load", bolt(0.008, "8.8"), "parts[0].pull", 26_352, 0.5, BOLT, "calc"),
    Row("3.4", "fixing-load", bolt(0.006, "8.8"), "parts[0].pull", 14_472, 0.5, BOLT, "calc"),
    Row("3.4", "fixing-load", bolt(0.010, "8.8"), "parts[0].pull", 41_760, 0.5, BOLT, "calc"),
    Row("3.4", "fixing-load", bolt(0.008, "4.8"), "parts[0].pull", 13_176, 0.5, BOLT, "calc"),
    Row("3.4", "fixing-load", bolt(0.008, "4.8"), "parts[0].shear", 7_320, 0.5, BOLT, "calc"),
    Row("3.4", "fixing-load", bolt(0.008, "5.8"), "parts[0].shear", 9_150, 0.5, BOLT, "calc"),
    Row("K27", "fixing-load", BOX, "greatest_force", 2549.7, 0.05, BY_HAND, "calc"),
    Row("K27", "fixing-load", BOX, "shear_each", 1274.9, 0.05, BY_HAND, "calc"),
    Row("K27", "fixing-load", BOX, "pull_each", 518.4, 0.05, BY_HAND, "calc"),
    Row("K27", "fixing-load", {**BOX, "mass": 12.0}, "greatest_force", 2353.6, 0.05, BY_HAND, "calc"),
    Row("K27", "fixing-load", BOX, "stop_distance", 0.49, 0.005, "v²/2a from 50 km/h", "calc"),
    Row("K27", "fixing-load", BOX, "stop_time", 0.071, 0.0005, "v/a from 50 km/h", "calc"),
    Row("sheet", "fixing-load", {**BOX, "factor": 1.0}, "parts[1].pull", 3024, 0.5, SHEET, "calc"),
    Row("sheet", "fixing-load", BOX, "parts[1].pull", 2419.2, 0.05, SHEET, "calc"),
    Row("sheet", "fixing-load", BOX, "parts[1].shear", 2492, 0.5, SHEET, "calc"),
]

POINT = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 23"
PATCH = "the same, article 16, alike both ways, 8.75 GPa; 100 kg on 300 × 300 mm"
BEAM = "a narrow beam, its load on a fifth of it: P·(8L³ - 4L·c² + c³)/(384·E·I), by hand"
ALIKE = {"material": "other", "modulus": 8.75e9}
STIFFNESS = 8.75e9 * 0.012**3 / 12 / (1 - 0.09)


def point(sides: float) -> dict[str, object]:
    """100 kg on 1 cm² in the middle of a metre by so many."""
    return {"carried": "rectangle", "span": 1.0, "width": sides, "patch": 0.01, "thickness": 0.012, **ALIKE}


SHELF = {
    "carried": "strip",
    "span": 0.5,
    "width": 0.1,
    "patch": 0.1,
    "thickness": 0.012,
    "loaded_with": 75.0,
    **ALIKE,
}

FLOORS = [
    *(
        Row(
            "T23", "load-floor", point(sides), "deflection", factor * 100 * GRAVITY / STIFFNESS, 2e-5, POINT,
            "memory",
        )
        for sides, factor in ((1.0, 0.01160), (1.2, 0.01353), (1.6, 0.01570), (2.0, 0.01651))
    ),
    *(
        Row(
            "C34", "load-floor", {"span": 0.59, "thickness": thickness, **ALIKE}, "deflection", bends, 5e-5,
            PATCH, "calc",
        )
        for thickness, bends in ((0.009, 0.0054), (0.012, 0.0023), (0.015, 0.0012))
    ),
    Row("C34", "load-floor", SHELF, "deflection", 0.014912, 2e-4, BEAM, "calc"),
]  # fmt: skip

LEVER = "balance of moments, by hand"
BEHIND = {
    "job": [{"name": "Box", "mass": 19.0, "station": 3.15}],
    "wheelbase": 2.7,
    "payload": 520.0,
}
SATURDAY = {
    "job": [{"name": "Job", "mass": 48.0, "station": 2.0}],
    "travels": [{"name": "Partner", "weight": 75.0}, {"name": "Tools", "weight": 60.0}],
    "wheelbase": 2.7,
    "payload": 520.0,
}
SUMS = "sums, by hand; the driver of 75 kg is in the papers' mass (EU 2021/535, from memory)"
MASSES = [
    Row("C38", "added-mass", BEHIND, "rear_change", 22.17, 0.005, LEVER, "calc"),
    Row("C38", "added-mass", BEHIND, "front_change", -3.17, 0.005, LEVER, "calc"),
    Row("C38", "added-mass", SATURDAY, "payload_left", 337, 1e-9, SUMS, "calc"),
    Row(
        "C38", "added-mass", {**SATURDAY, "payload_counts": "plate"}, "payload_left", 262, 1e-9, SUMS, "calc"
    ),
]  # fmt: skip


@every(FIXINGS)
def test_fixings(row: Row) -> None:
    check(row)


@every(FLOORS)
def test_floors(row: Row) -> None:
    check(row)


@every(MASSES)
def test_masses(row: Row) -> None:
    check(row)
