"""Two feeds of one side: whether they add up, and the polarity, delay and gain with which they do."""

from dataclasses import dataclass, replace
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    File,
    Flag,
    InputError,
    Kept,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputText,
    Rows,
    Steps,
    calculator,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, SLOPE, TIME
from calculators.physics import filters, summing
from calculators.physics.arrays import ComplexArray
from calculators.vocabulary import sweep_inputs
from calculators.vocabulary.feed_pairs import (
    PROVEN,
    Judged,
    left_against_right,
    measured_pair,
    modelled_pair,
    pair_chart,
    pasted_pair,
    refuse_moves,
    refuse_unclear,
    sum_advice,
    sum_curve,
    sum_in_short,
    turned_words,
    verdict_of,
    worst_of,
)
from calculators.vocabulary.feed_table import SurveyedFeed, carried_advice, surveyed_pair
from calculators.vocabulary.filters import SLOPES, order_of
from calculators.vocabulary.recorded_feeds import recorded_feeds, unread_advice

VOLTS_BLANK = "not certain: volts of the feed table are blank"


@dataclass(frozen=True, kw_only=True)
class FeedSum:
    """Whether two feeds add up, and what makes them."""

    verdict: Annotated[str, OutputText("Sum them, so set?", main=True, brief="short")]
    short: Annotated[str, OutputBrief("The sum")]
    setting: Annotated[str, OutputText("Do to the high feed")]
    polarity_word: Annotated[str, OutputText("Polarity of the high feed")]
    delay_found: Annotated[float, Output("The high feed is late by", TIME, show="ms", decimals=4)]
    gain_found: Annotated[float, Output("Trim of the high feed", LEVEL, decimals=1)]
    worst_loss: Annotated[float, Output("Worst loss then", LEVEL, decimals=2, lowest=-60)]
    worst_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=3, trim=True)]
    found_loss: Annotated[float, Output("Worst loss as found", LEVEL, decimals=2, lowest=-60)]
    found_frequency: Annotated[float, Output("that one is at", FREQUENCY, figures=3, trim=True)]
    turned_loss: Annotated[
        float, Output("Worst loss with polarity alone put right", LEVEL, decimals=2, lowest=-60)
    ]
    turned_frequency: Annotated[float, Output("and that at", FREQUENCY, figures=3, trim=True)]
    overlap_low: Annotated[float, Output("They overlap from", FREQUENCY, figures=3, trim=True)]
    overlap_high: Annotated[float, Output("to", FREQUENCY, figures=3, trim=True)]
    looked_at: Annotated[float, Output("The three losses below are at", FREQUENCY, figures=4, trim=True)]
    found_loss_at: Annotated[float, Output("As found", LEVEL, decimals=2, lowest=-60)]
    turned_loss_at: Annotated[float, Output("Polarity alone put right", LEVEL, decimals=2, lowest=-60)]
    loss_at: Annotated[float, Output("Polarity, delay and trim", LEVEL, decimals=2, lowest=-60)]
    polarity_margin: Annotated[float, Output("The other polarity loses more by", LEVEL, decimals=2)]
    certainty: Annotated[str, OutputText("Certainty of the polarity")]
    excess_low: Annotated[float, Output("Excess phase of the low feed, RMS", ANGLE, decimals=0)]
    excess_high: Annotated[float, Output("Excess phase of the high feed, RMS", ANGLE, decimals=0)]
    sides: Annotated[str, OutputText("Left against right, 60 to 600 Hz")]
    chart: Annotated[Chart, OutputChart("Low, high and their sum, before and after")]
    sum: Annotated[Curve, OutputCurve("Sum with all that")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Feeds of one side, summed",
    example={
        "given": "model",
        "family": "linkwitz-riley",
        "slope": 24.0,
        "corner": 3000.0,
        "polarity": "inverted",
        "delay": 1e-4,
    },
    sources=("phasors", "linkwitz-riley-1976", "bode-1945", "common-practice"),
    cautions=("S09",),
)
def feed_sum(
    given: Annotated[
        str,
        Choice(
            "The feeds are",
            {
                "measured": "two curves with phase",
                "recorded": "a recording of the measuring sweep",
                "model": "a crossover, as a model",
                "table": "a model, by the survey's feed table",
            },
        ),
    ] = "measured",
    feeds: Annotated[
        tuple[SurveyedFeed, ...],
        Rows(
            "Feed table of the survey",
            "feed",
            at_least=0,
            at_most=12,
            help="Corner, polarity, time of it; and level, where both have their volts.",
        ),
    ] = (),
    side: Annotated[str, Choice("Side of the table", {"left": "left", "right": "right"})] = "left",
    low_curve: Annotated[
        Curve | None,
        CurveText(
            "Low feed (woofer)", optional=True, help="Hz, dB, degrees in columns. Both from one recording."
        ),
    ] = None,
    high_curve: Annotated[
        Curve | None, CurveText("High feed (tweeter)", optional=True, help="At the same frequencies.")
    ] = None,
    recording: Annotated[
        Kept | None,
        File(
            "Recording, low feed left, high feed right",
            accept=".wav,audio/wav",
            help="WAV, two channels, over a wire. It stays on this device.",
            optional=True,
            empty="none: curves or the model",
        ),
    ] = None,
    one_recording: Annotated[
        bool,
        Flag("Both feeds in one two-channel recording", help="From two recordings no delay can be told."),
    ] = True,
    signal_to_noise: Annotated[
        float,
        Number(
            "Sweep over noise",
            LEVEL,
            0,
            140,
            usual=(30, 100),
            help="RMS of the sweep over RMS of the noise. Of a recording it is read from its silence.",
        ),
    ] = 50.0,
    moves: Annotated[
        float,
        Number(
            "Either changes with the level, where they overlap, by",
            LEVEL,
            0,
            40,
            usual=(0, 3),
            help="From level-dependence.",
        ),
    ] = 0.0,
    proven: Annotated[str, PROVEN] = "search",
    other_side: Annotated[
        Curve | None,
        CurveText(
            "Low feed of the other side",
            optional=True,
            seldom=True,
            help="With phase, at the same frequencies, in the same recording as the low feed.",
        ),
    ] = None,
    family: Annotated[
        str,
        Choice(
            "Family",
            {"linkwitz-riley": "Linkwitz-Riley", "butterworth": "Butterworth", "bessel": "Bessel (−3 dB)"},
            help="Of the model.",
        ),
    ] = "linkwitz-riley",
    slope: Annotated[float, Number("Slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    corner: Annotated[
        float, Number("Corner of both", FREQUENCY, 200, 15e3, usual=(1500, 6000), units=("kHz",))
    ] = 3e3,
    polarity: Annotated[
        str, Choice("High feed is", {"normal": "the right way round", "inverted": "inverted"})
    ] = "normal",
    delay: Annotated[
        float,
        Number(
            "High feed is late by",
            TIME,
            -0.002,
            0.002,
            show="ms",
            units=("µs",),
            help="Below 0: early. 0.1 is 0.1 ms; or write 100µs.",
        ),
    ] = 0.0,
    gain: Annotated[float, Number("High feed is louder by", LEVEL, -20, 20, usual=(-6, 6))] = 0.0,
    at: Annotated[
        float | None,
        Number("Losses also at", FREQUENCY, 20, 20e3, units=("kHz",), optional=True, empty="the corner"),
    ] = None,
    low: Annotated[float, replace(sweep_inputs.LOW, label="Sweep from", seldom=True)] = 20.0,
    high: Annotated[float, replace(sweep_inputs.HIGH, label="Sweep to", seldom=True)] = 20_000.0,
    sweep_length: Annotated[float, replace(sweep_inputs.SWEEP_LENGTH, seldom=True)] = 5.0,
    pause: Annotated[float, sweep_inputs.PAUSE] = 1.0,
    lead: Annotated[float, sweep_inputs.LEAD] = 3.0,
    markers: Annotated[bool, sweep_inputs.MARKERS] = True,
) -> Steps[FeedSum]:
    """Whether the woofer feed and the tweeter feed of one side add up to one full-range signal.

    Loss is what the sum lacks of two feeds in step. It counts where they differ by 12 dB or less. Better than
    −0.3 dB everywhere: sum. To −1.25 dB: sum, and note it. Worse: do not sum. Polarity, delay (5 ms to either
    side) and trim (6 dB) of the high feed are searched for; where both polarities come within 0.5 dB, or the
    delay lies beyond, the calculator says that it cannot tell. Rear and front are never summed: their
    equalisers and faders differ.
    """
    surveyed = surveyed_pair(given, feeds, side)
    noted = surveyed.advice() if surveyed else ()
    other = None
    if given == "measured":
        pair, other = pasted_pair(low_curve, high_curve, other_side, one_recording, signal_to_noise, moves)
    elif given == "recorded":
        if recording is None:
            raise InputError("recording", "Choose the recording, or take the model.")
        signal = sweep_inputs.signal_of(low, high, sweep_length, pause, lead, markers, "rising", 1.0)
        both = yield from recorded_feeds(recording, signal)
        refuse_unclear("recording", both.signal_to_noise, moves)
        pair, _ = measured_pair(both.low, both.high, None)
    else:
        inverted = polarity == "inverted"
        if surveyed:
            refuse_moves(moves)
            corner, inverted, delay = surveyed.corner, surveyed.inverted, surveyed.late
            noted += (*surveyed.volts_advice(gain), *surveyed.blank_advice(gain), *carried_advice(feeds))
            gain = gain if surveyed.gain is None else surveyed.gain
        order = order_of("slope", family, slope)
        pair = modelled_pair(cast(filters.Family, family), order, corner, inverted, delay, gain)
        at = corner if at is None else at
    is_volts_blank = given == "table" and surveyed is not None and surveyed.gain is None
    judged = Judged.of(pair, proven)
    return _answer(pair, judged, other, at, is_volts_blank, unread_advice(given, recording), noted)


def _answer(
    pair: summing.Pair, judged: Judged, other: ComplexArray | None, at: float | None, is_volts_blank: bool,
    unread: tuple[Advice, ...], noted: tuple[Advice, ...],
) -> FeedSum:  # fmt: skip
    """What the two make together, as found and as set; the three losses ``at`` Hz, or amid their overlap."""
    best, after = judged.best, judged.after
    (found, found_at), (turned, turned_at), (worst, worst_at) = (
        worst_of(each.overlap()) for each in (pair, judged.turned, after)
    )
    shared = after.overlap().frequency
    looked_at = float(np.sqrt(shared[0] * shared[-1])) if at is None else at
    place = int(np.argmin(np.abs(np.log(pair.frequency / looked_at))))
    excess = [summing.excess_phase(pair.frequency, feed) for feed in (pair.low, pair.high)]
    sides = left_against_right(pair, other)
    verdict = verdict_of(worst, judged)
    return FeedSum(
        verdict=verdict,
        short=sum_in_short(verdict, best),
        setting=judged.doubt or turned_words(best),
        polarity_word="cannot tell" if judged.doubt else "invert it" if best.sign < 0 else "leave it",
        delay_found=-best.delay,
        gain_found=best.gain,
        worst_loss=worst,
        worst_frequency=worst_at,
        found_loss=found,
        found_frequency=found_at,
        turned_loss=turned,
        turned_frequency=turned_at,
        overlap_low=float(shared[0]),
        overlap_high=float(shared[-1]),
        looked_at=float(pair.frequency[place]),
        found_loss_at=float(pair.loss()[place]),
        turned_loss_at=float(judged.turned.loss()[place]),
        loss_at=float(after.loss()[place]),
        polarity_margin=judged.margin,
        certainty=judged.doubt or (VOLTS_BLANK if is_volts_blank else "certain"),
        excess_low=excess[0],
        excess_high=excess[1],
        sides=sides.words,
        chart=pair_chart(pair, after),
        sum=sum_curve(after),
        advice=(*unread, *sum_advice(verdict, judged, excess, sides), *noted),
    )
