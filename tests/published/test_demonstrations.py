"""Demonstrations: the figures that they show beside the sound."""

from tests.published.rows import Row, check, every

AIR = "ISO 9613-1: 343.2 m/s at 20 °C; path difference over speed"
LINKWITZ = "Linkwitz, JAES 24 (1976): two Butterworth filters in a row, |H| = r⁴/(1 + r⁴), r = f/corner"
CLIPPED = "Fourier series of a clipped sine: 10 % takes 2.17 dB (amplifier handbooks)"
COIN = "binomial distribution: 56 of 1024, 11 of 1024"
DOORS = {"near": 0.98, "far": 1.47}

ROWS = [
    Row("HR-01", "hear-alignment", DOORS, "lead", 0.49 / 343.2, 1e-9, AIR, "calc"),
    Row("HR-01", "hear-alignment", DOORS | {"share": 0.25}, "left_over", 0.75 * 0.49 / 343.2, 1e-9, AIR,
        "calc"),
    Row("HR-02", "hear-two-seats", DOORS, "for_both", 0.49 / 343.2, 1e-9, AIR, "calc"),
    Row("HR-02", "hear-two-seats", DOORS, "for_passenger", 0.98 / 343.2, 1e-9, AIR, "calc"),
    Row("HR-02", "hear-two-seats", DOORS | {"seat": "passenger"}, "for_driver", -0.98 / 343.2, 1e-9, AIR,
        "calc"),
    Row("HR-02", "hear-two-seats", DOORS | {"seat": "passenger"}, "for_passenger", 0.0, 1e-12, AIR, "calc"),
    # Two doors 1.5 dB apart, half a wave: 20 log(1 - 10^(-1.5/20)), on the foot of the boom (+0.4 dB).
    Row("HR-03", "hear-equaliser", {"boom_cut": 9.0, "sharp_cut": 7.0}, "note_after", -15.985, 0.01,
        "sum of two phasors; the equaliser takes the boom away whole", "calc"),
    Row("HR-03", "hear-equaliser", {"boom_cut": 6.0, "sharp_cut": 0.0}, "boom_left", 3.0, 1e-9, "sum of dB",
        "calc"),
    Row("HR-04", "hear-subwoofer", {"high_pass": 82.4}, "lowest_note", -24.609, 0.01, LINKWITZ, "calc"),
    Row("HR-04", "hear-subwoofer", {"high_pass": 55.0}, "next_note", -6.0206, 1e-3, LINKWITZ, "calc"),
    Row("HR-05", "hear-clipping", {"overload": 2.17}, "distortion", 0.1, 5e-4, CLIPPED, "memory"),
    Row("HR-05", "hear-clipping", {"overload": 6.0206}, "power_times", 4.0, 1e-4, "10^(dB/10)", "calc"),
    Row("HR-06", "hear-hold-up",
        {"silence": 1.2, "power": 14.0, "capacitance": 0.7363, "start": 11.75, "isolator": 0.0,
         "bypass": 0.0, "derate": 0.0},
        "held", 1.5, 1e-3, "2·P·t/(V1² - V2²), textbook: 0.736 F holds 14 W for 1.5 s", "calc"),
    Row("HR-07", "hear-treatment", {"quieter": 2.0}, "loss_before", 0.0272, 1e-4,
        "loss factor 1/(π f τ), 130 Hz and 90 ms", "calc"),
    Row("HR-07", "hear-treatment", {"quieter": 2.0}, "silent_after", 0.2763, 3e-4, "3 ln 10 τ, 40 ms",
        "calc"),
    Row("HR-08", "blind-test", {"right": 8, "rounds": 10}, "chance", 56 / 1024, 1e-12, COIN, "calc"),
    Row("HR-08", "blind-test", {"right": 9, "rounds": 10}, "chance", 11 / 1024, 1e-12, COIN, "calc"),
    Row("HR-08", "blind-test", {"right": 8, "rounds": 10}, "words",
        "8 of 10 right: guessing does that about once in 18 tries, so it may be luck", 0, COIN, "calc"),
    Row("HR-08", "blind-test", {"right": 1, "rounds": 10}, "words",
        "1 of 10 right: so many wrong ones are seldom luck; perhaps A and B were mixed up", 0, COIN, "calc"),
    Row("HR-08", "blind-test", {"right": 2, "rounds": 10}, "words", "2 of 10 right: guessing does as well",
        0, COIN, "calc"),
]  # fmt: skip


@every(ROWS)
def test_published(row: Row) -> None:
    check(row)
