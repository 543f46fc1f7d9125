"""The load that speakers make on an amplifier, every way to wire them, and the picture of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Drawing,
    Flag,
    InputError,
    Number,
    Output,
    OutputDrawing,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import COUNT, POWER, RATIO, RESISTANCE
from calculators.physics import speaker_loads
from calculators.physics.speaker_loads import Arrangement, Array, Network
from calculators.vocabulary.speaker_drawing import Drawn, speaker_wiring

MOST_COILS = 8
MOST_DRAWN = 3
LEGAL, TOO_LOW = "a legal load", "too low: do not connect it"
ChosenWiring = Literal["best", "series", "parallel", "series-parallel", "parallel-series"]


@dataclass(frozen=True)
class Coil:
    """Speakers of one kind."""

    impedance: Annotated[float, Number("Impedance of one coil", RESISTANCE, 0.25, 64, usual=(1, 16))]
    count: Annotated[float, Number("How many speakers", COUNT, 1, 8, whole=True)] = 1
    coils_each: Annotated[float, Number("Coils in each", COUNT, 1, 4, whole=True)] = 1
    name: Annotated[str, Text("Name", 24)] = ""


@dataclass(frozen=True, kw_only=True)
class CoilShare:
    """What each coil of one kind gets."""

    name: Annotated[str, OutputText("Coils")]
    power_each: Annotated[
        float | None, Output("Each coil gets at most", POWER, figures=3, trim=True, none="not at this load")
    ]
    share: Annotated[float, Output("Part of the power", RATIO, show="%", figures=3, trim=True)]


@dataclass(frozen=True, kw_only=True)
class WiringOption:
    """One way to wire the coils at hand."""

    how: Annotated[str, OutputText("Wiring")]
    load: Annotated[float, Output("Amplifier sees", RESISTANCE, figures=3, trim=True)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class SpeakerLoad:
    """What the amplifier sees, and what the coils get."""

    load: Annotated[float, Output("The amplifier sees", RESISTANCE, figures=3, trim=True, main=True)]
    how: Annotated[str, OutputText("Wired")]
    verdict: Annotated[str, OutputText("Verdict")]
    half_load: Annotated[
        float | None,
        Output("Each half of the bridge sees", RESISTANCE, figures=3, trim=True, none="not bridged"),
    ]
    power_total: Annotated[
        float | None,
        Output("Power it can give, at most", POWER, figures=3, trim=True, none="not at this load"),
    ]
    power_each: Annotated[
        float | None, Output("Most in one coil", POWER, figures=3, trim=True, none="not at this load")
    ]
    coils: Annotated[tuple[CoilShare, ...], OutputRows("Share of the power")]
    wirings: Annotated[tuple[WiringOption, ...], OutputRows("Every wiring of these coils, legal ones first")]
    picture: Annotated[Drawing, OutputDrawing("How to wire it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speaker load and wiring",
    example={
        "coils": [{"name": "Subwoofer", "impedance": 2.0, "count": 1, "coils_each": 2}],
        "wiring": "series",
        "amplifier_minimum": 4.0,
        "amplifier_rating": 300.0,
    },
    sources=("ohm", "common-practice"),
    cautions=("S09", "S24"),
)
def speaker_load(
    coils: Annotated[
        tuple[Coil, ...],
        Rows("Speakers", "kind of speaker", at_most=8, help="A twin-coil speaker has two coils of its own."),
    ],
    wiring: Annotated[
        ChosenWiring,
        Choice(
            "Wiring",
            {
                "best": "find all: the one with most power first",
                "series": "series: one after the other",
                "parallel": "parallel: side by side",
                "series-parallel": "series pairs, side by side",
                "parallel-series": "parallel pairs, one after the other",
            },
        ),
    ] = "best",
    amplifier_minimum: Annotated[
        float,
        Number(
            "Lowest load of one channel",
            RESISTANCE,
            0.25,
            16,
            usual=(1, 4),
            help="Of a bridge too: a sheet that gives the bridge's own lowest load means half of it here.",
        ),
    ] = 2.0,
    amplifier_rating: Annotated[
        float, Number("Rated power, of the channel or the bridge", POWER, 1, 5000, usual=(20, 2000))
    ] = 100.0,
    rated_load: Annotated[float, Number("Rated into", RESISTANCE, 0.5, 16, usual=(1, 8))] = 4.0,
    bridged: Annotated[
        bool, Flag("Bridged channels", help="Each half of the bridge sees half of the load.")
    ] = False,
) -> SpeakerLoad:
    """The load that voice coils make together, every way to wire them, and the power each gets.

    Coils in series add; coils in parallel share the current. A bridged pair sees half of the load
    on each side, and that half is held against the lowest load of one channel. Listed is every
    wiring in which like coils get like power.
    """
    speakers = [[coil.impedance] * int(coil.coils_each) for coil in coils for _ in range(int(coil.count))]
    if sum(len(own) for own in speakers) > MOST_COILS:
        raise InputError("coils", f"At most {MOST_COILS} coils on one channel.")
    least = amplifier_minimum * (2.0 if bridged else 1.0) * (1 - 1e-9)
    options = sorted(
        ((_described(entry, speakers), entry.network) for entry in speaker_loads.every_wiring(speakers)),
        key=lambda option: _order(speaker_loads.load_of(option[1]), least),
    )
    chosen = _chosen(speakers, wiring, options)
    load = speaker_loads.load_of(chosen[1])
    legal = load >= least
    total = speaker_loads.power_into(amplifier_rating, rated_load, load) if legal else None
    rows = _shares(coils, chosen[1], total)
    return SpeakerLoad(
        load=load,
        how=chosen[0],
        verdict=LEGAL if legal else TOO_LOW,
        half_load=speaker_loads.bridged_half_load(load) if bridged else None,
        power_total=total,
        power_each=None if total is None else max(row.share for row in rows) * total,
        coils=rows,
        wirings=tuple(
            WiringOption(how=how, load=ohm, verdict=LEGAL if ohm >= least else TOO_LOW)
            for how, ohm in ((how, speaker_loads.load_of(network)) for how, network in options)
        ),
        picture=speaker_wiring(
            [
                Drawn(how, network, speaker_loads.load_of(network))
                for how, network in _drawn(chosen, options, least, wiring == "best")
            ]
        ),
        advice=_load_advice(load, amplifier_minimum, bridged, rated_load, rows, options[0]),
    )


def _order(load: float, least: float) -> tuple[bool, float]:
    """Legal loads first, the lowest of them (most power) at the head; then the nearest to legal."""
    return (load < least, load if load >= least else -load)


def _chosen(
    speakers: Sequence[Sequence[float]], wiring: ChosenWiring, options: Sequence[tuple[str, Network]]
) -> tuple[str, Network]:
    if wiring == "best":
        return options[0]
    try:
        network = speaker_loads.wired(speakers, wiring)
    except ValueError:
        message = "Pairs need four, six or eight coils: an even number in each speaker, or one in each."
        raise InputError("wiring", message) from None
    return {
        "series": "all coils in series",
        "parallel": "all coils in parallel",
        "series-parallel": "series pairs, in parallel",
        "parallel-series": "parallel pairs, in series",
    }[wiring], network


def _drawn(
    chosen: tuple[str, Network], options: Sequence[tuple[str, Network]], least: float, every: bool
) -> Sequence[tuple[str, Network]]:
    """What is drawn: the wiring chosen, or the first legal ones of all."""
    legal = [option for option in options if speaker_loads.load_of(option[1]) >= least]
    return legal[:MOST_DRAWN] if every and legal else [chosen]


def _shares(coils: Sequence[Coil], network: Network, total: float | None) -> tuple[CoilShare, ...]:
    """The largest share of a coil of each kind."""
    of_speaker: dict[int, float] = {}
    for coil, share in speaker_loads.shares_of(network):
        of_speaker[coil.speaker] = max(share, of_speaker.get(coil.speaker, 0.0))
    rows, place = [], 0
    for entry in coils:
        count = int(entry.count)
        share = max(of_speaker[speaker] for speaker in range(place, place + count))
        place += count
        name = entry.name or f"{count * int(entry.coils_each)} × {entry.impedance:g} Ω"
        rows.append(CoilShare(name=name, power_each=None if total is None else share * total, share=share))
    return tuple(rows)


def _described(entry: Arrangement, speakers: Sequence[Sequence[float]]) -> str:
    """A wiring in words, such as "coils of each in series, speakers in parallel"."""
    parts = []
    kinds = dict.fromkeys(tuple(own) for own in speakers)
    for ohms, (inner, outer) in zip(kinds, entry.kinds, strict=True):
        words = [
            _array_words(array, noun)
            for array, noun in ((inner, "coils of each"), (outer, "speakers"))
            if array.length * array.strings > 1
        ]
        kind = f"{ohms[0]:.3g} Ω: " if len(entry.kinds) > 1 and words else ""
        parts += [kind + ", ".join(words)] if words else []
    if len(entry.kinds) > 1:
        parts.append(f"then all in {entry.across}" if parts else f"all in {entry.across}")
    return "; ".join(parts) or "one coil"


def _array_words(array: Array, noun: str) -> str:
    if array.length == 1:
        return f"{noun} in parallel"
    if array.strings == 1:
        return f"{noun} in series"
    return f"{noun} in {array.strings} strings of {array.length}"


def _legal_way(load: float, minimum: float, bridged: bool, best: tuple[str, Network]) -> str:
    """What the amplifier bears: another wiring of these coils, one channel alone, or other coils."""
    how, ohm = best[0], speaker_loads.load_of(best[1])
    least = minimum * (2 if bridged else 1)
    if ohm >= least * (1 - 1e-9):
        return f"Wire the coils another way: {how}, {ohm:.3g} Ω."
    alone = (
        "drive them by one channel that is not bridged, " if bridged and load >= minimum * (1 - 1e-9) else ""
    )
    other = "take other coils, or an amplifier made for this load."
    return f"No wiring of these coils makes {least:.3g} Ω: {alone}{other}"


def _load_advice(
    load: float,
    minimum: float,
    bridged: bool,
    rated_load: float,
    rows: Sequence[CoilShare],
    best: tuple[str, Network],
) -> tuple[Advice, ...]:
    seen = load / 2 if bridged else load
    advice = []
    if seen < minimum * (1 - 1e-9):
        half = f"Each half of the bridge sees {seen:.3g} Ω" if bridged else f"{seen:.3g} Ω"
        advice.append(
            Advice(
                "load",
                f"{half}{',' if bridged else ' is'} under the channel's lowest load of {minimum:g} Ω: "
                "it overheats, and may burn or shut down when hot. "
                f"{_legal_way(load, minimum, bridged, best)}",
                danger=True,
            )
        )
    elif load < rated_load * (1 - 1e-9):
        advice.append(
            Advice(
                "power_total",
                "Under its rated load an amplifier gives less than this: read the power for this load in its "
                "data sheet.",
            )
        )
    if max(row.share for row in rows) > 1.01 * min(row.share for row in rows):
        advice.append(Advice("coils", "Unlike coils share unlike: the loudest sets the limit."))
    return tuple(advice)
