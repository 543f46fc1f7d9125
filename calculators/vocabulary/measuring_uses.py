"""What a measurement may be used for, use by use: microphone, recorder and clocks decide it."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Choice, Flag, OutputText

MICROPHONES = {
    "calibrated": "measuring microphone, or a phone that was compared with one",
    "phone": "a phone, not compared",
    "wire": "none: an electrical signal",
}
FUNCTIONS = {
    "off": "off: the recorder leaves the sound as it is",
    "unknown": "not known",
    "on": "on: it alters the sound",
}
TIES = {
    "nothing": "nothing: a clock of its own for each device",
    "reference": "its first play, the same untouched speaker in each run",
    "clock": "one clock: player and recorder start together, or a loop back into the interface",
}
MICROPHONE = Choice("Microphone", MICROPHONES)
FUNCTION = Choice("Automatic gain, noise and echo functions of the recorder", FUNCTIONS, seldom=True)
TIED_BY = Choice(
    "Tied to other runs by", TIES, seldom=True, help="Only then are arrivals of two runs comparable."
)
LOSSY = Flag("Lossy", seldom=True, help="MP3, AAC, Opus and their like, also if turned into WAV since.")
NO_NOISE = "noise gate on, or no silence recorded"
NOISE_UNKNOWN = "no: the noise is not known"
WHOLE_JOIN_FROM, JOIN_FROM = 50.0, 63.0
"""Hz: a subwoofer meets the doors from 50 Hz on, at 80 Hz usually, and plays alone below. What shows nothing
under the first says from where it is good; what shows nothing under the second is not good for it."""
ASK_THE_RECORDER = "not known: say whether the recorder alters the sound"
FOR_COMPARING = "Left against right, before against after"
"""The use that a run of the guided tune with everything must be good for: `guided-forms.js` asks for it."""


@dataclass(frozen=True, kw_only=True)
class UseFound:
    """One use, and whether the measurement is good for it."""

    use: Annotated[str, OutputText("Use")]
    may: Annotated[str, OutputText("Good for it")]


@dataclass(frozen=True)
class Facts:
    """What decides: how it was recorded, and what was found.

    ``moved``: the gain did. ``edge``: Hz, where a coder cut, or None. ``lossy``: whether one was at work.
    ``loop``: whether one was recorded. ``clocks``: whether how they run was found. ``noise``: whether it is
    known. ``certain``: whether each play's polarity is. ``rings``: whether one rings ahead of its arrival.
    ``plays``: how many. ``bass_alone``: whether one of them plays nothing else. ``rising``: the sweep's
    direction. ``calibrated``: whether the level is absolute. ``lowest``: Hz, from where anything is shown.
    """

    microphone: str
    functions: str
    tie: str
    moved: bool
    edge: float | None
    lossy: bool
    loop: bool
    clocks: bool
    noise: bool
    certain: bool
    rings: bool
    plays: int
    bass_alone: bool
    rising: bool
    calibrated: bool
    lowest: float


def uses_of(facts: Facts) -> tuple[UseFound, ...]:
    """Every use with its yes or no, and why."""
    phone = facts.microphone == "phone"
    altered = (why := why_altered(facts)) and f"no: {why}"
    within = f"yes, under {facts.edge / 1000:.1f} kHz" if facts.edge else "yes"
    unsure = ASK_THE_RECORDER if facts.functions == "unknown" else ""
    true = "no: a phone that was not compared" if phone else NOISE_UNKNOWN if not facts.noise else within
    differences = (
        "yes, 200 Hz to 8 kHz within 1 dB; from 60 Hz where its own repeat agrees within 1 dB and the sweep "
        "stands 15 dB over the noise"
    )
    told = {
        FOR_COMPARING: altered or (differences if phone else within),
        "Frequency of a peak": altered or ("yes, 200 Hz to 8 kHz" if phone else within),
        "Wiring polarity": polarity_of(facts),
        "Arrival between speakers": arrival_of(facts),
        "Phase at a join": join_of(facts),
        "True curve, and an equaliser by it": altered or unsure or true,
        "Subwoofer against the doors": altered or bass_of(facts, true),
        "Absolute level": altered or unsure or (true if phone or facts.calibrated else "no: no calibrator"),
        "Distortion": altered or unsure or distortion_of(facts),
        "Noise": altered or unsure or noise_of(facts),
    }
    return tuple(UseFound(use=use, may=may) for use, may in told.items())


def verdict_of(facts: Facts) -> str:
    """What the measurement may be used for, in one line."""
    if why := why_altered(facts):
        return f"{'polarity alone' if facts.certain else 'nothing'}: {why}"
    if not facts.noise:
        wire = facts.microphone == "wire"
        return f"comparisons only: {'the noise is not known' if wire else NO_NOISE}"
    arrivals = arrival_of(facts).startswith("yes")
    if facts.microphone == "phone":
        return f"comparisons, 200 Hz to 8 kHz{', and arrivals within this recording' if arrivals else ''}"
    if not facts.clocks:
        return "levels; no arrivals"
    if facts.lossy:
        return f"levels{' below the coder’s edge' if facts.edge else ''}, and comparisons"
    good = ["levels", "phase", *["arrivals"] * arrivals, *["polarity"] * facts.certain]
    unsure = ", if the recorder alters nothing" if facts.functions == "unknown" else ""
    return f"{', '.join(good[:-1])} and {good[-1]}{unsure}"


def good_for_in_short(facts: Facts) -> str:
    """The same in 16 signs; of several uses the ones that are always among them."""
    if why_altered(facts):
        return "polarity alone" if facts.certain else "nothing"
    if not facts.noise or facts.microphone == "phone" or facts.functions == "unknown":
        return "comparisons"
    return "levels alone" if facts.lossy or not facts.clocks else "levels and phase"


def why_altered(facts: Facts) -> str:
    """Why no level is to be trusted; nothing if they are."""
    if facts.moved:
        return "the gain moved"
    return "the recorder alters the sound" if facts.functions == "on" else ""


def why_no_tune(facts: Facts, fixed: bool) -> str:
    """Why the tune must not be given this measurement; nothing if it may.

    ``fixed``: whether it was made at the driver's fixed point, which tells the tune a speaker's polarity. A
    subwoofer's is proven at its cone.
    """
    if facts.microphone != "calibrated":
        return "no measuring microphone heard it" if facts.microphone == "wire" else "a phone, not compared"
    if why := why_altered(facts):
        return why
    if facts.functions == "unknown":
        return "say whether the recorder alters the sound"
    if facts.lossy or facts.edge:
        return "the recording is lossy"
    if facts.rings and not facts.bass_alone:
        return "the sweep begins inside the speaker’s band, so its arrival is not known"
    if fixed and not facts.bass_alone and not facts.certain:
        return "its polarity is not certain"
    if facts.tie == "nothing":
        return "say under “More settings” what ties it to the other runs"
    timed = join_of(facts)
    return "" if timed.startswith("yes") else timed.removeprefix("no: ")


def bass_of(facts: Facts, true: str) -> str:
    """Whether a subwoofer is held against the doors, where a true curve is told as ``true`` says."""
    if facts.lowest > JOIN_FROM:
        return f"no: nothing is shown under {facts.lowest:.0f} Hz"
    if facts.lowest > WHOLE_JOIN_FROM:
        return true.replace("yes", f"yes, from {facts.lowest:.0f} Hz", 1)
    return true


def polarity_of(facts: Facts) -> str:
    """Whether the direct sound tells how a speaker is wired."""
    if facts.bass_alone:
        return "no: what plays so low is proven at its cone"
    return "yes" if facts.certain else "no: not certain"


def arrival_of(facts: Facts) -> str:
    """Whether two speakers' arrivals may be compared."""
    if facts.bass_alone:
        return "no: a subwoofer is joined by phase"
    if facts.rings:
        return "no: the sweep begins inside the speaker's band"
    return timing_of(facts, "not known: use the tape")


def join_of(facts: Facts) -> str:
    """Whether two speakers' phases may be laid over each other."""
    return timing_of(facts, "not known")


def timing_of(facts: Facts, unknown: str) -> str:
    """What ties this recording's time to another's."""
    if not facts.clocks:
        return "no: how the clocks run was not found"
    if not facts.noise:
        return NOISE_UNKNOWN
    if facts.tie == "clock" and facts.lossy and not facts.loop:
        return "no: a lossy coder shifts the whole file"
    if facts.tie == "clock":
        return "yes, between all runs of this sitting" if facts.loop else "yes, between runs started together"
    if facts.tie == "reference":
        return "yes, between runs against their first play: the tie within 0.02 ms, each arrival by its own ±"
    return "yes, between the two plays of this recording" if facts.plays == 2 else unknown


def distortion_of(facts: Facts) -> str:
    """Whether harmonics are told."""
    if facts.microphone == "phone":
        return "no: a phone’s own is not known"
    if facts.lossy:
        return "no: a lossy coder adds its own"
    if not facts.rising:
        return "no: a falling sweep lays it over the response"
    return "yes, where the table tells it" if facts.noise else NOISE_UNKNOWN


def noise_of(facts: Facts) -> str:
    """Whether the noise is the place's own."""
    if facts.microphone == "phone":
        return "no: a phone’s own is not known"
    if facts.lossy:
        return "no: a lossy coder drops what is faint"
    return "yes" if facts.noise else "no: it is not known"
