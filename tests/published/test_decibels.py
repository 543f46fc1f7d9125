"""Decibels, and levels against the references."""

from tests.published.rows import Row, check, every

BS_645 = "ITU-R BS.645: 0 dBu is 1 mW in 600 ohm"
IEC = "IEC 60027-3"

ROWS = [
    Row(
        "EL-76", "decibels", {"decibels": 0, "reference": "dbu"}, "voltage", 0.774597, 0.5e-6, BS_645, "calc"
    ),
    Row(
        "EL-76", "decibels", {"decibels": 0, "reference": "dbm"}, "voltage", 0.774597, 0.5e-6, BS_645, "calc"
    ),
    Row("EL-76", "decibels", {"decibels": 0, "reference": "dbm"}, "power", 1e-3, 1e-15, BS_645, "calc"),
    Row("EL-79", "decibels", {"voltage": 2, "reference": "dbu"}, "decibels", 8.239, 1e-3, BS_645, "calc"),
    Row("EL-79", "decibels", {"voltage": 4, "reference": "dbu"}, "decibels", 14.260, 1e-3, BS_645, "calc"),
    Row("EL-79", "decibels", {"voltage": 8, "reference": "dbu"}, "decibels", 20.280, 1e-3, BS_645, "calc"),
    Row("EL-80", "decibels", {"power_ratio": 1000 / 500}, "decibels", 3.0103, 0.5e-4, IEC, "calc"),
    Row("EL-80", "decibels", {"power_ratio": 100 / 75}, "decibels", 1.249, 1e-3, IEC, "calc"),
    Row("AC-31", "decibels", {"voltage_ratio": 0.5}, "decibels", -6.0206, 1e-4, IEC, "calc"),
    Row("AC-32", "decibels", {"voltage_ratio": 0.1}, "decibels", -20.0, 1e-12, IEC, "calc"),
    Row("AC-34", "decibels", {"power_ratio": 2.0}, "decibels", 3.010, 1e-3, IEC, "calc"),
]


@every(ROWS)
def test_published_values(row: Row) -> None:
    check(row)
