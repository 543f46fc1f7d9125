"""Tuning: time, phase, slopes, order."""

from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, TIME
from calculators.self_checks.asking import Choice, Draw, Figure, Option, next_of, result, signed


def _delay(difference: float, temperature: float, rate: float = 48000.0) -> tuple[float, float]:
    """Seconds and samples that a nearer speaker waits."""
    speakers = [{"name": "Near", "distance": 1.0}, {"name": "Far", "distance": 1.0 + difference}]
    near = result(
        "delay", speakers=speakers, temperature=temperature, step=1 / rate, sample_rate=rate
    ).speakers[0]
    return near.delay, near.delay * rate


def delay_time(draw: Draw) -> Figure:
    """Milliseconds for a distance."""
    difference, temperature = draw.pick(1.2, 1.5, 1.8, 2.1), draw.pick(0.0, 35.0)
    delay, _ = _delay(difference, temperature)
    return Figure(
        f"One speaker is {difference * 100:g} cm farther than the other, the cabin is at {temperature:g} °C. How long does the near one wait?",
        delay, 1e-5, TIME, "ms",
        "Distance over the speed of sound. At 20 °C it is 343 m/s, and it grows by 0.6 m/s for each degree.",
        f"{difference:g} m ÷ {difference / delay:.1f} m/s = {1e3 * delay:.2f} ms.",
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
    corner, slope = draw.pick(80.0, 100.0, 2500.0, 3000.0), draw.pick(12.0, 24.0)
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
