"""Tuning: time, phase, slopes, order; the sheet and its read-back."""

import math
from typing import Any

from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LEVEL, TIME
from calculators.self_checks.asking import Choice, Draw, Figure, Option, next_of, one_of_two, result, signed


def _delay(difference: float, temperature: float, rate: float = 48000.0) -> tuple[float, float]:
    """Seconds and samples that a nearer speaker waits."""
    speakers = [{"name": "Near", "distance": 1.0}, {"name": "Far", "distance": 1.0 + difference}]
    near = result(
        "delay", speakers=speakers, temperature=temperature, step=1 / rate, sample_rate=rate
    ).speakers[0]
    return near.delay, near.delay * rate


def _speed(temperature: float) -> float:
    """Of sound, in m/s."""
    speed: float = result("sound-speed", temperature=temperature).speed
    return speed


def delay_time(draw: Draw) -> Figure:
    """Milliseconds for a distance."""
    difference, temperature = draw.pick(1.2, 1.5, 1.8, 2.1), draw.pick(0.0, 35.0)
    delay, _ = _delay(difference, temperature)
    return Figure(
        f"One speaker is {difference * 100:g} cm farther than the other, the cabin is at {temperature:g} °C. How long does the near one wait?",
        delay, 1e-5, TIME, "ms",
        "Distance over the speed of sound. At 20 °C it is 343 m/s, and it grows by 0.6 m/s for each degree.",
        f"{difference:g} m ÷ {_speed(temperature):.1f} m/s = {1e3 * delay:.2f} ms.",
        {
            "That is at 20 °C: sound is slower in the cold and faster in the warm.": _delay(difference, 20.0)[0],
            "Those are seconds.": delay / 1e3,
            "1 ms for a foot is too rough here.": difference / 0.3048 * 1e-3,
            "That is there and back: sound goes one way.": delay * 2,
        },
        "delay",
    )  # fmt: skip


def delay_samples(draw: Draw) -> Figure:
    """Samples for a distance."""
    difference, rate = draw.pick(0.35, 0.52, 0.74, 0.96, 1.3), draw.pick(44100.0, 48000.0, 96000.0)
    delay, samples = _delay(difference, 20.0, rate)
    other = 48000.0 if rate != 48000.0 else 96000.0
    return Figure(
        f"{difference * 100:g} cm of difference at 20 °C. The processor runs at {rate / 1e3:g} kHz and takes samples. How many?",
        samples, 0.6, COUNT, "",
        "Seconds times samples a second.",
        f"{1e3 * delay:.3f} ms × {rate / 1e3:g} kHz = {samples:.0f} samples.",
        {
            f"That is at {other / 1e3:g} kHz.": delay * other,
            "Those are milliseconds.": delay * 1e3,
            "Those are millimetres for a sample: divide the other way round.": 1e3 * difference / samples,
        },
        "delay",
    )  # fmt: skip


def phase_time(draw: Draw) -> Figure:
    """Milliseconds for a phase."""
    frequency, phase = draw.pick(50.0, 63.0, 80.0, 100.0, 125.0), draw.pick(20.0, 30.0, 45.0, 60.0, 90.0)
    delay = result("phase-and-join", frequency=frequency, wanted_phase=phase).delay_for_phase
    return Figure(
        f"At {frequency:g} Hz a subwoofer is {phase:g}° ahead. How many ms of delay put it right?",
        delay, 0.015 * delay, TIME, "ms",
        "A whole cycle is 360° and lasts one over the frequency.",
        f"{phase:g} ÷ 360 ÷ {frequency:g} Hz = {1e3 * delay:.2f} ms.",
        {
            "A whole cycle is 360°, not 180°.": delay * 2,
            "That is a whole cycle.": 1 / frequency,
            "Those are seconds.": delay / 1e3,
            "Degrees over hertz: the 360 is missing.": phase / frequency,
        },
        "phase-and-join",
    )  # fmt: skip


def opposed_note(draw: Draw) -> Figure:
    """Where two doors oppose each other."""
    difference, temperature = draw.pick(0.35, 0.4, 0.45, 0.5, 0.6), draw.pick(0.0, 10.0, 35.0)
    note = result("opposed-band", path_difference=difference, temperature=temperature).band_centre
    plain = result("opposed-band", path_difference=difference, temperature=20.0).band_centre
    return Figure(
        f"The right door is {difference * 100:g} cm farther than the left, at {temperature:g} °C. At which frequency do the two oppose each other first?",
        note, 0.004 * note, FREQUENCY, "Hz",
        "Where the difference is half a wavelength.",
        f"Half a wavelength of {difference:g} m: {note:.0f} Hz.",
        {
            "There a whole wavelength fits: they help each other.": 2 * note,
            "That is at 20 °C.": plain,
            "A quarter of a wavelength is not opposed yet.": note / 2,
        },
        "opposed-band",
    )  # fmt: skip


def slope_level(draw: Draw) -> Figure:
    """Level past a corner."""
    corner, slope = draw.pick(63.0, 80.0, 100.0, 250.0), draw.pick(12.0, 24.0)
    octaves = draw.pick(1.0, 0.5, 1.5)
    at = corner * 2**octaves
    level = result("crossover", family="linkwitz-riley", slope=slope, low_pass=corner, at=at).low_level_at
    return Figure(
        f"A Linkwitz-Riley low-pass, {slope:g} dB an octave, corner {corner:g} Hz. What is its level at {at:.0f} Hz, {octaves:g} octave past it?",
        level, 0.12, LEVEL, "dB",
        "12 dB: −20·log(1 + r²); 24 dB: −20·log(1 + r⁴); r is the frequency over the corner.",
        f"{signed(level)} dB.",
        {
            "A straight line from 0 dB at the corner is too little.": -slope * octaves,
            "A straight line from −6 dB at the corner is too much.": -6.02 - slope * octaves,
            "It falls: the sign is missing.": -level,
            "That is half of the slope.": level / 2,
        },
        "crossover",
    )  # fmt: skip


ORDER = (
    "Polarity of each driver",
    "Crossovers",
    "Delays",
    "Levels",
    "Join check",
    "Equaliser",
    "Join check once more",
)


def tuning_order(draw: Draw) -> Choice:
    """What comes next?"""
    return next_of(
        draw,
        "A system is tuned.",
        ORDER,
        "First: {}.",
        (
            Option("Each step rests on what was proven before it."),
            Option("The equaliser repairs what comes before.", "It cannot: it changes level, and the cause stays."),
            Option("By ear it all comes to the same.", "A wrong polarity hides behind a delay, and a delay behind a boost."),
        ),
        "Polarity first of all; the equaliser last, with a check before and after.",
    )  # fmt: skip


def sheet_delay(draw: Draw) -> Figure:
    """A delay on the sheet, by tape."""
    tweeter, further, subwoofer = (
        draw.pick(0.86, 0.92, 1.04),
        draw.pick(0.12, 0.18, 0.24),
        draw.pick(1.74, 1.92, 2.1),
    )
    woofer = round(tweeter + further, 2)
    sheet = result(
        "tune",
        begin_with="distances",
        temperature=20.0,
        channels=[
            {"name": "Tweeter", "part": "tweeter", "side": "left", "high_pass": 3000.0, "distance": tweeter},
            {"name": "Woofer", "part": "woofer", "side": "left", "low_pass": 3000.0, "distance": woofer},
            {
                "name": "Subwoofer",
                "part": "subwoofer",
                "side": "both",
                "low_pass": 80.0,
                "distance": subwoofer,
            },
        ],
    )
    delay = sheet.channels[0].delay
    speed = _speed(20.0)
    return Figure(
        f"Taped to the head, at 20 °C: tweeter {100 * tweeter:.0f} cm, woofer {100 * woofer:.0f} cm, subwoofer {100 * subwoofer:.0f} cm. Which delay does the sheet give the tweeter?",
        delay, 1.5e-5, TIME, "ms",
        "The last to arrive gets none. Each other waits as long as it is sooner than that one.",
        f"{subwoofer - tweeter:.2f} m ÷ {speed:.0f} m/s = {1e3 * delay:.2f} ms.",
        {
            "So long is its own sound under way: the nearer, the longer it waits.": tweeter / speed,
            "That is against the woofer: the subwoofer arrives last.": (woofer - tweeter) / speed,
            "So long is the subwoofer's sound under way: take the tweeter's off.": subwoofer / speed,
            "Those are seconds.": delay / 1e3,
        },
        "tune",
    )  # fmt: skip


def phase_left(draw: Draw) -> Figure:
    """Phase left at a join."""
    frequency, late = draw.pick(2000.0, 2500.0, 3000.0, 4000.0), draw.pick(1e-5, 2e-5, 3e-5, 4e-5)
    phase = result("phase-and-join", frequency=frequency, delay=late).phase
    return Figure(
        f"Tweeter and woofer meet at {frequency / 1e3:g} kHz, and the tweeter is {1e3 * late:g} ms late. How far apart in phase does that leave them?",
        phase, 0.02 * phase, ANGLE, "°",
        "A whole cycle is 360° and lasts one over the frequency. No more than 30° may be left.",
        f"360° × {frequency / 1e3:g} kHz × {1e3 * late:g} ms = {phase:.1f}°.",
        {
            "A whole cycle is 360°, not 180°.": phase / 2,
            "That is a part of a cycle: times 360.": phase / 360,
            "Those are radians.": math.radians(phase),
            "That is how much is left to half a cycle.": 180 - phase,
        },
        "phase-and-join",
    )  # fmt: skip


def trim_in_front(draw: Draw) -> Figure:
    """Trim in front of the filters."""
    first, second, cut = draw.pick(2.0, 3.0, 4.0), draw.pick(1.5, 2.5), draw.pick(-3.0, -5.0)
    filters = [
        {"frequency": frequency, "gain": gain, "q": 3.0}
        for frequency, gain in ((100.0, first), (100.0, second), (2000.0, cut))
    ]
    trim = result("equaliser-headroom", filters=filters, crossed=False).cut
    return Figure(
        f"One channel has no crossover, and three filters: +{first:g} dB and +{second:g} dB, both at 100 Hz, and {signed(cut)} dB at 2 kHz. Which gain goes in front, so that no tone is lifted?",
        trim, 0.15, LEVEL, "dB",
        "What lies on one note adds up. What is cut elsewhere makes no room there.",
        f"{first:g} dB + {second:g} dB are lifted, so {signed(trim)} dB.",
        {
            "At one note boosts add up: not the larger alone.": -max(first, second),
            "A cut at 2 kHz makes no room at 100 Hz.": trim - cut,
            "In front it is turned down: the sign is missing.": -trim,
            "Not their mean: they add up.": trim / 2,
        },
        "equaliser-headroom",
    )  # fmt: skip


SHEET_ORDER = (
    "Crossovers loaded and read back",
    "Every channel alone at the fixed point",
    "Points beside it, within 30 mm and 100 mm",
    "Wiring faults found and mended",
    "Sheet and trim in front typed in",
    "Everything read back",
    "Measured again at all points",
)


def sheet_order(draw: Draw) -> Choice:
    """What comes next for the sheet?"""
    return next_of(
        draw,
        "A sheet is made from measurements.",
        SHEET_ORDER,
        "First: {}.",
        (
            Option("Each step is worth what the one before it proved."),
            Option("The sheet mends what is wired wrong.", "Made on top of a wiring fault, it is a sheet for a faulty vehicle."),
            Option("What was typed in is in.", "A decimal point is lost in typing, and a tweeter with it."),
        ),
        "Nothing is swept before its high-pass is proven, and nothing plays before what was typed in is.",
    )  # fmt: skip


# Of the sheet of our own that `read-back` holds values against where none is chosen.
SHOWN = {"slope": "24", "polarity": "normal"}
SHOWN_TWEETER: dict[str, Any] = {
    **SHOWN, "name": "Left tweeter", "high_pass": 3000.0, "delay": 0.0003, "gain": -6.5,
}  # fmt: skip
SHOWN_WOOFER: dict[str, Any] = {
    **SHOWN, "name": "Left woofer", "high_pass": 80.0, "low_pass": 3000.0, "gain": -2.0,
}  # fmt: skip
SHOWN_FILTERS = (
    {"name": "Left tweeter", "frequency": 5200.0, "gain": -3.0, "q": 1.4},
    {"name": "Left woofer", "frequency": 160.0, "gain": -5.0, "q": 3.0},
    {"name": "Left woofer", "frequency": 640.0, "gain": -2.5, "q": 2.0},
)


def line_first(draw: Draw) -> Choice:
    """Which line forbids to play?"""
    faults: tuple[dict[str, Any], ...] = (
        {"high_pass": 300.0}, {"high_pass": 2000.0}, {"high_pass": None}, {"slope": "other"},
    )  # fmt: skip
    fault = draw.pick(*faults)
    delay, gain = draw.pick(0.0003, 0.003), draw.pick(-1.0, -2.5, -5.0)
    read = result(
        "read-back",
        channels=[{**SHOWN_TWEETER, **fault}, {**SHOWN_WOOFER, "delay": delay, "gain": gain}],
        filters=SHOWN_FILTERS,
    )
    lines = [
        f"{line.name}, {line.value}: sheet {line.on_sheet}, screen {line.shown}" for line in read.differences
    ]
    return Choice(
        "Amplifier off, the screen is held against the sheet. Which line forbids that anything plays?",
        tuple(Option(line, "It sounds wrong and is mended too, but it breaks nothing.") for line in lines),
        (
            Option("Without that filter, as it stands on the sheet, a tweeter can be dead in a second."),
            Option("No other figure is so far off.", "How far off it is tells nothing. What can it break?"),
            Option("It stands first on the sheet.", "Lines stand in the sheet's order. What can it break?"),
        ),
        draw.pick(0, 1, 2),
        f"{lines[0]}. Mended, saved, and everything read back once more.",
        decided=len(lines) == 3 and read.advice[0].danger,
        hint="One wrong value can destroy something.",
    )  # fmt: skip


def within_a_step(draw: Draw) -> Choice:
    """Rounded, or wrong?"""
    rate, near = draw.pick(48e3, 96e3), draw.pick(-2, -1, 0, 1, 2)
    wanted: float = SHOWN_TWEETER["delay"]
    delay = (round(wanted * rate) + near) / rate
    read = result(
        "read-back",
        channels=[{**SHOWN_TWEETER, "delay": delay}, SHOWN_WOOFER],
        filters=SHOWN_FILTERS,
        step=1 / rate,
    )
    off, half = f"{1e3 * abs(delay - wanted):.4f} ms", f"{500 / rate:.4f} ms"
    return Choice(
        f"The sheet says {1e3 * wanted:.3f} ms, the screen shows {1e3 * delay:.4f} ms. The processor sets whole samples of {1e3 / rate:.4f} ms. Does the line count as different?",
        one_of_two(
            not read.differences,
            "No: it reads as on the sheet",
            "Yes: mend it, save, read back again",
            f"It is {off} off, and half a sample is {half}.",
        ),
        (
            Option("Half a step is how near a processor can come to any value."),
            Option("Within a whole step will do.", "Then its neighbour, one step aside, would pass as well."),
            Option("It must agree to the last figure.", "Then nothing that is set in steps could pass."),
        ),
        draw.pick(0, 1, 2),
        f"{off} off, against half a sample: {half}.",
        hint="How near can it come at all?",
    )  # fmt: skip
