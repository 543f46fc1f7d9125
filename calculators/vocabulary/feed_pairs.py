"""Two feeds of one side as they are pasted or modelled: judged, and said in words."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from calculators.declaring import Advice, Band, Chart, Choice, Curve, InputError
from calculators.declaring.numerals import typographic
from calculators.physics import curve_parts, decibels, filters, summing
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.summing import Pair, Setting
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.responses import Places, level_axis, response_chart

GOOD, WORTH_A_NOTE = -0.3, -1.25
"""dB: 30° and 60° between two equal feeds."""
CLEARLY = 0.5
"""dB by which one polarity must better the other."""
TURNED = 30.0
"""Degrees of excess phase, RMS: 60 clean feeds at 60 dB over noise stayed under 21, with an all-pass over "
"45."""
BASS_OF_SIDES = (60.0, 600.0)
PROVEN = Choice(
    "Its polarity by the pulse",
    {"search": "not proven: search", "as-found": "proven: leave it", "turned": "proven: invert it"},
    help="Of the high feed. Once it is proven, the delay alone is searched.",
)
SIGN_OF = {"as-found": 1.0, "turned": -1.0}
"""What a proven high feed is multiplied by."""
DO_SUM, SUM_AND_NOTE, DO_NOT, CANNOT_TELL = "yes", "yes, and note the loss", "no", "cannot tell"
TRIM_ENDS = "not yet: the trim is at its end"
NOT_CLEAR = "cannot tell: both polarities do nearly as well"
AT_THE_END = "cannot tell: the delay lies at the end of what was searched"
INSTEAD = (
    "Do not sum. Run each feed to inputs and outputs of its own, with its own equaliser; or take the fuller "
    "feed alone; or an earlier or digital source. No equaliser fills what two feeds take from each other."
)
LEAST_SIGNAL_TO_NOISE = 40.0
MOST_MOVES = 1.0
"""dB over noise, and of change with the level."""


@dataclass(frozen=True, eq=False)
class Judged:
    """A pair with what is best done to its high feed.

    ``after`` is the pair with all of it, ``turned`` with the polarity alone. ``margin``: dB, by which the
    other polarity loses more at worst.
    """

    best: Setting
    after: Pair
    turned: Pair
    margin: float
    is_proven: bool

    @classmethod
    def of(cls, pair: Pair, proven: str) -> Self:
        """Both polarities tried; a proven one is taken. Raises InputError where the two do not overlap."""
        try:
            settings = [summing.best_setting(pair, sign) for sign in (1.0, -1.0)]
        except ValueError:
            raise InputError(
                "high_curve",
                "The feeds overlap nowhere: they need no sum, and each plays its own part alone.",
            ) from None
        afters = [pair.changed(each.sign, each.delay, each.gain) for each in settings]
        losses = [worst_of(after.overlap())[0] for after in afters]
        better = 1.0 if round(losses[0], 9) >= round(losses[1], 9) else -1.0
        first = 0 if SIGN_OF.get(proven, better) > 0 else 1
        best = settings[first]
        margin = losses[first] - losses[1 - first]
        return cls(
            best, afters[first], pair.changed(best.sign, 0.0, 0.0), margin, is_proven=proven in SIGN_OF
        )

    @property
    def is_trim_at_its_end(self) -> bool:
        """Whether the levels lie further apart than the trim that was searched."""
        return abs(self.best.gain) >= summing.MOST_GAIN - 0.05

    @property
    def doubt(self) -> str:
        """Why polarity and delay cannot be told; nothing where they can."""
        if abs(self.best.delay) > summing.LONGEST_DELAY:
            return AT_THE_END
        return "" if self.is_proven or self.margin > CLEARLY else NOT_CLEAR


def worst_of(shared: Pair) -> tuple[float, float]:
    """The worst loss, dB, and its frequency, Hz."""
    loss = np.round(shared.loss(), 9)
    place = int(np.argmin(loss))
    return float(loss[place]), float(shared.frequency[place])


def pasted_pair(
    low: Curve | None, high: Curve | None, other_side: Curve | None, one_recording: bool,
    signal_to_noise: float, moves: float,
) -> tuple[Pair, ComplexArray | None]:  # fmt: skip
    """Both feeds as they were pasted, and the low feed of the other side.

    ``signal_to_noise`` and ``moves`` in dB. Raises InputError for what is missing, unclear or of two clocks.
    """
    if low is None or high is None:
        raise InputError("low_curve" if low is None else "high_curve", "Paste this feed, or take the model.")
    if not one_recording:
        raise InputError(
            "one_recording", "Two recordings have two clocks: record both feeds at once, one on each channel."
        )
    refuse_unclear("signal_to_noise", signal_to_noise, moves)
    return measured_pair(low, high, other_side)


def measured_pair(low: Curve, high: Curve, other: Curve | None) -> tuple[Pair, ComplexArray | None]:
    """The pair of two pasted curves, and the low feed of the other side. Raises InputError beside its "
    "field."""
    given = {"low_curve": low, "high_curve": high} | ({"other_side": other} if other else {})
    for field, curve in given.items():
        if curve.phase is None:
            raise InputError(field, "A third column is needed: the phase in degrees.")
        if curve.frequency != low.frequency:
            raise InputError(
                field, "Its frequencies differ from those of the low feed: take all from one recording."
            )
        check_levels(field, curve)
    if low.frequency[-1] < 4 * low.frequency[0] or len(low.frequency) < 24:
        raise InputError(
            "low_curve", "Two octaves and 24 points are needed at least, better 24 points to the octave."
        )
    if not 1 <= low.frequency[0] <= low.frequency[-1] <= 1e5:
        raise InputError(
            "low_curve", "The frequencies must lie between 1 Hz and 100 kHz: look at the columns."
        )
    kept = list(summing.thinned(low.frequency))
    gains = {field: _gain(curve)[kept] for field, curve in given.items()}
    frequency = np.asarray(low.frequency)[kept]
    return Pair(frequency, gains["low_curve"], gains["high_curve"]), gains.get("other_side")


def _gain(curve: Curve) -> ComplexArray:
    return np.asarray(
        decibels.amplitude(curve.level) * np.exp(1j * np.radians(np.asarray(curve.phase))),
        dtype=np.complex128,
    )


def modelled_pair(
    family: filters.Family, order: int, corner: float, inverted: bool, delay: float, gain: float
) -> Pair:
    """The pair of an analogue crossover, its high feed inverted, late (s) and louder (dB)."""
    frequency = corner * 2 ** (np.arange(-7 * 24, 5 * 24 + 1) / 24)
    frequency = frequency[(frequency >= 20) & (frequency <= 30e3)]
    low, high = (
        filters.response(filters.crossover_filter(side, family, order, corner), frequency)
        for side in ("low-pass", "high-pass")
    )
    return Pair(frequency, low, high).changed(-1.0 if inverted else 1.0, delay, gain)


def verdict_of(loss: float, judged: Judged) -> str:
    """Whether feeds are summed, by their worst loss, dB, and by what is in doubt or at its end."""
    if judged.doubt:
        return CANNOT_TELL
    if loss < WORTH_A_NOTE:
        return DO_NOT
    if judged.is_trim_at_its_end:
        return TRIM_ENDS
    return DO_SUM if loss > GOOD else SUM_AND_NOTE


def sum_in_short(verdict: str, best: Setting) -> str:
    """The verdict in 16 signs: what is to be set first, where the sum rests on it."""
    if verdict not in (DO_SUM, SUM_AND_NOTE):
        return verdict.partition(":")[0]
    # Its first words tell what is done to the polarity, even where that is nothing.
    turned, *rest = turned_words(best).split(", ")
    first = ["invert"] if turned.startswith("invert") else []
    first += ["delay" if words.startswith("delay") else "trim" for words in rest]
    if len(first) > 2:
        return "set 3 first"
    if first:
        return ", ".join(first) if len(first) == 2 else f"{first[0]} first"
    return "yes" if verdict == DO_SUM else "yes, with a loss"


def turned_words(best: Setting) -> str:
    """What is done to the high feed, or to the low one where that is to wait."""
    words = ["invert it" if best.sign < 0 else "leave its polarity"]
    late = 1e3 * abs(best.delay)
    if late >= 0.0005:
        words.append(
            f"delay it by {late:.3f} ms" if best.delay > 0 else f"delay the low feed by {late:.3f} ms"
        )
    if abs(best.gain) >= 0.05:
        words.append(typographic(f"{best.gain:+.1f} dB"))
    return ", ".join(words)


@dataclass(frozen=True)
class Sides:
    """Left against right: in words, and whether one side is turned."""

    words: str
    turned: bool


def left_against_right(pair: Pair, other: ComplexArray | None) -> Sides:
    """The low feed of one side against that of the other, 60 to 600 Hz: what their sum loses."""
    if other is None:
        return Sides("not measured", False)
    both = Pair(pair.frequency, pair.low, other).between(*BASS_OF_SIDES)
    if both.frequency.size < 3:
        return Sides("not measured there", False)
    loss, at = worst_of(both)
    opposed = worst_of(both.changed(-1.0, 0.0, 0.0))[0]
    if opposed > WORTH_A_NOTE > loss:
        return Sides("one side is inverted", True)
    if loss < WORTH_A_NOTE:
        return Sides(f"they lose {-loss:.1f} dB at {at:.3g} Hz: one side is turned in phase", True)
    return Sides(f"in step: they lose {-loss:.2f} dB at most", False)


def sum_curve(pair: Pair) -> Curve:
    """The sum of a pair as a curve."""
    both = pair.low + pair.high
    return Curve(
        tuple(pair.frequency.tolist()),
        tuple(decibels.level(both).tolist()),
        tuple(decibels.phase(both).tolist()),
    )


def pair_chart(before: Pair, after: Pair) -> Chart:
    """The two feeds, and their sum as found and as put right."""
    lines = {
        "Low": decibels.level(before.low),
        "High": decibels.level(after.high),
        "Sum as found": decibels.level(before.low + before.high),
        "Sum put right": decibels.level(after.low + after.high),
    }
    top = float(np.max(np.stack(list(lines.values()))))
    shown: dict[str, FloatArray] = {name: line - top for name, line in lines.items()}
    shared = after.overlap().frequency
    return response_chart(
        "Low, high and their sum, under the top",
        Places(before.frequency, before.frequency[:: curve_parts.PER_OCTAVE // 3]),
        {name: (line, "main") if name == "Sum put right" else line for name, line in shown.items()},
        level_axis(*shown.values()),
        (Band("Where they overlap", float(shared[0]), float(shared[-1])),),
        read_at=float(np.sqrt(shared[0] * shared[-1])),
    )


def sum_advice(verdict: str, judged: Judged, excess: list[float], sides: Sides) -> tuple[Advice, ...]:
    """What the reader should know before feeds are summed."""
    advice = []
    if verdict == DO_NOT:
        advice.append(Advice("verdict", INSTEAD))
    if judged.doubt == AT_THE_END:
        advice.append(
            Advice(
                "verdict",
                f"One feed seems to be over {1e3 * summing.LONGEST_DELAY:g} ms late: then a delay of half a "
                "turn less, with the wrong polarity, looks nearly as good. Take the delay from the pulse of "
                "each feed, take it out of the recording, then look here; do not sum before.",
            )
        )
    if judged.doubt == NOT_CLEAR:
        advice.append(
            Advice(
                "verdict",
                f"The two polarities lie within {CLEARLY:g} dB of each other. Prove the polarity of each "
                "feed by the pulse, say so in the form, and look here for the delay alone; do not sum "
                "before. An odd slope, 18 or 30 dB/oct, does so by design: its parts stand a quarter turn "
                "apart, its sum as found is level, and its loss of 3 dB is no dip. The delay makes a hump of "
                "3 dB there.",
            )
        )
    if judged.is_trim_at_its_end:
        advice.append(
            Advice(
                "gain_found",
                f"The trim is at its end of {summing.MOST_GAIN:g} dB: the high feed stays further off than "
                "that. Look at volts, taps and load first.",
            )
        )
    for name, degrees in zip(("low", "high"), excess, strict=True):
        if degrees > TURNED:
            advice.append(
                Advice(
                    f"excess_{name}",
                    f"The {name} feed is turned in phase by {degrees:.0f}° more than its levels explain: an "
                    "all-pass of the maker's, or a filter of linear phase. It may sound flat and stay "
                    "smeared. The loss decides on the sum; compare left with right.",
                )
            )
    if sides.turned:
        advice.append(
            Advice(
                "sides",
                "Left and right do not add up in the bass: an all-pass for two seats in one side, or one "
                "side inverted. Pick up before it, undo it with its mirror if the processor has FIR, or say "
                "so.",
            )
        )
    return tuple(advice)


def refuse_unclear(field: str, signal_to_noise: float, moves: float) -> None:
    """Raises InputError for feeds too near their noise, dB, or that change too much with the level, dB."""
    if signal_to_noise < LEAST_SIGNAL_TO_NOISE:
        raise InputError(
            field,
            f"Under {LEAST_SIGNAL_TO_NOISE:g} dB the phase is noise: a longer or louder sweep.",
        )
    refuse_moves(moves)


def refuse_moves(moves: float) -> None:
    """Raises InputError for feeds that change too much with the level, dB."""
    if moves > MOST_MOVES:
        raise InputError(
            "moves",
            f"Feeds that change by over {MOST_MOVES:g} dB with the level add up at one level only: do not "
            "sum them. Run them to outputs of their own, or take an earlier or digital source.",
        )
