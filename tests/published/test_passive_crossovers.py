"""Passive crossovers, Zobel networks and pads."""

from typing import Any

from tests.published.rows import Row, check, every

LADDER = "k values of singly terminated ladders: Zverev; Small 1971; worked as ABCD chains"
ZOBEL = "R = Re, C = Le/Re^2, identity"
PAD = "Rs = Z(1 - 1/A), Rp = Z/(A - 1), attenuator identity"
MICRO, MILLI = 1e-6, 1e-3


def crossover(family: str, order: int, load: float, **rest: Any) -> dict[str, Any]:
    return {
        "family": family, "order": float(order), "frequency": 3000.0,
        "woofer_load": load, "tweeter_load": load, **rest,
    }  # fmt: skip


def sides(
    identity: str, family: str, order: int, load: float, coils: list[float], capacitors: list[float]
) -> list[Row]:
    """Rows for coils (mH) and capacitors (µF) in the order of the lists: woofer's first."""
    inputs = crossover(family, order, load)
    rows = [
        Row(identity, "passive-crossover", inputs, f"inductors[{place}].inductance", value * MILLI,
            5e-5 * MILLI * 1.01, LADDER, "calc")
        for place, value in enumerate(coils)
    ]  # fmt: skip
    rows += [
        Row(identity, "passive-crossover", inputs, f"capacitors[{place}].capacitance", value * MICRO,
            5e-4 * MICRO * 1.01, LADDER, "calc")
        for place, value in enumerate(capacitors)
    ]  # fmt: skip
    return rows


PARTS = [
    *sides("FI-67", "butterworth", 1, 4, [0.2122], [13.263]),
    *sides("FI-67", "butterworth", 1, 8, [0.4244], [6.631]),
    *sides("FI-68", "butterworth", 2, 4, [0.3001, 0.3001], [9.378, 9.378]),
    *sides("FI-68", "butterworth", 2, 8, [0.6002, 0.6002], [4.689, 4.689]),
    *sides("FI-69", "linkwitz-riley", 2, 4, [0.4244, 0.4244], [6.631, 6.631]),
    *sides("FI-69", "linkwitz-riley", 2, 8, [0.8488, 0.8488], [3.316, 3.316]),
    *sides("FI-71", "bessel", 2, 4, [0.2890, 0.4675], [6.020, 9.740]),
    *sides("FI-71", "bessel", 2, 8, [0.5779], [3.010]),
    *sides("FI-72, FI-73", "butterworth", 3, 4, [0.3183, 0.1061, 0.1592], [17.684, 8.842, 26.526]),
    *sides("FI-72, FI-73", "butterworth", 3, 8, [0.6366, 0.2122, 0.3183], [8.842, 4.421, 13.263]),
    *sides("FI-74, FI-75", "linkwitz-riley", 4, 4,
           [0.4001, 0.2001, 0.1334, 0.6002], [21.101, 4.689, 7.034, 14.067]),
    *sides("FI-74, FI-75", "linkwitz-riley", 4, 8,
           [0.8003, 0.4001, 0.2668, 1.2004], [10.551, 2.345, 3.517, 7.034]),
    *sides("FI-76", "butterworth", 4, 4, [0.3248, 0.2297], [20.918, 5.075]),
    *sides("FI-76", "butterworth", 4, 8, [0.6497, 0.4594], [10.459, 2.538]),
    Row("FI-81", "passive-crossover", {"family": "butterworth", "order": 1.0, "frequency": 80.0},
        "capacitors[0].capacitance", 497.4 * MICRO, 0.05 * MICRO, LADDER, "calc"),
]  # fmt: skip

WITH_ZOBEL = crossover("butterworth", 1, 3.2, re=3.2, le=0.3e-3)
DAMPERS = [
    Row("FI-83", "passive-crossover", WITH_ZOBEL, "capacitors[1].capacitance", 29.297 * MICRO, 5e-4 * MICRO,
        ZOBEL, "calc"),
    Row("FI-83", "passive-crossover", WITH_ZOBEL, "resistors[0].resistance", 3.2, 1e-9, ZOBEL, "calc"),
    *(
        Row(identity, "passive-crossover", crossover("butterworth", 1, load, tweeter_pad=attenuation),
            f"resistors[{place}].resistance", value, 1e-3, PAD, "calc")
        for identity, load, attenuation, values in (
            ("FI-84", 8.0, 3.0, (2.336, 19.392)),
            ("FI-85", 8.0, 6.0, (3.990, 8.038)),
            ("FI-86", 4.0, 3.0, (1.168, 9.696)),
            ("FI-86", 4.0, 6.0, (1.995, 4.019)),
            ("FI-86", 4.0, 10.0, (2.735, 1.850)),
        )
        for place, value in enumerate(values)
    ),
    # 6 dB into 8 ohm becomes 3.9 and 8.2 ohm in E12 (IEC 60063).
    Row("FI-87", "passive-crossover", crossover("butterworth", 1, 8.0, tweeter_pad=6.0),
        "resistors[0].nearest_resistance", 3.9, 1e-9, "IEC 60063", "calc"),
    Row("FI-87", "passive-crossover", crossover("butterworth", 1, 8.0, tweeter_pad=6.0),
        "resistors[1].nearest_resistance", 8.2, 1e-9, "IEC 60063", "calc"),
]  # fmt: skip


@every(PARTS)
def test_parts_into_a_resistor(row: Row) -> None:
    check(row)


@every(DAMPERS)
def test_zobel_and_pad(row: Row) -> None:
    check(row)
