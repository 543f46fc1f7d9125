"""Flatten a feed: few filters that bring a measured curve to a target, and what they leave alone."""

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    Flag,
    InputError,
    Made,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputFile,
    OutputRows,
    OutputText,
    Steps,
    calculator,
    told,
)
from calculators.declaring.quantities import COUNT, FREQUENCY, LEVEL, RATIO
from calculators.physics import curve_parts, decibels, equalisers, filter_search, flattening
from calculators.physics.arrays import FloatArray
from calculators.physics.filters import response
from calculators.vocabulary import filter_settings, processor_inputs
from calculators.vocabulary.feed_curves import Feed, LeftAlone, even_feed, judged_dips, part
from calculators.vocabulary.feed_examples import FACTORY_FEED
from calculators.vocabulary.filter_settings import FoundFilter, Typed
from calculators.vocabulary.filters import SAMPLE_RATE
from calculators.vocabulary.flat_tasks import (
    NUMBER_IS_ENOUGH,
    ByNumber,
    aim_at,
    asked_of,
    before_and_after,
    error_left,
    filters_in_short,
    fitted_bands,
    flat_advice,
    hiss_change,
    loudest_of,
    moved_weight,
    no_filter,
    roll_off_rows,
    shelf_limits,
    unproven,
)
from calculators.vocabulary.third_octaves import SLIDER_Q

MOST_FILTERS = 10


@dataclass(frozen=True, kw_only=True)
class Flatten:
    """The filters that flatten a feed."""

    settings: Annotated[str, OutputText("Type in", main=True, brief="short")]
    short: Annotated[str, OutputBrief("Filters to set")]
    number: Annotated[float, Output("Filters", COUNT, decimals=0)]
    low_used: Annotated[float, Output("Worked on from", FREQUENCY, figures=3, trim=True)]
    high_used: Annotated[float, Output("to", FREQUENCY, figures=3, trim=True)]
    before: Annotated[float, Output("RMS before", LEVEL, decimals=2)]
    after: Annotated[float, Output("RMS after", LEVEL, decimals=2)]
    after_all: Annotated[float, Output("and with what is left alone", LEVEL, decimals=2)]
    worst: Annotated[float, Output("Farthest from the target after", LEVEL, decimals=1)]
    worst_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=3, trim=True)]
    boost: Annotated[float, Output("The most they lift a tone", LEVEL, decimals=1)]
    lift: Annotated[float, Output("Their lift against the middle of the band", LEVEL, decimals=1)]
    worst_case: Annotated[
        float | None, Output("The most they lift any signal", LEVEL, decimals=1, none="not known")
    ]
    loudest_change: Annotated[float, Output("They change the loudest tone by", LEVEL, decimals=1)]
    hiss_change: Annotated[float, Output("and a hiss by", LEVEL, decimals=1)]
    cut_in_front: Annotated[float, Output("Trim in front: no tone is lifted on the way", LEVEL, decimals=1)]
    chart: Annotated[Chart, OutputChart("Before and after")]
    filters: Annotated[
        tuple[FoundFilter, ...], OutputRows("Filters, in the order to type them in", copy=True)
    ]
    by_number: Annotated[tuple[ByNumber, ...], OutputRows("What each filter more buys")]
    left_alone: Annotated[tuple[LeftAlone, ...], OutputRows("Left alone, and why")]
    csv: Annotated[Made, OutputFile("Filters for a spreadsheet", sheet=True)]
    data: Annotated[Made, OutputFile("Filters as data", sheet=True)]
    biquads: Annotated[Made | None, OutputFile("Biquad coefficients as text")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Flatten a feed",
    example={"curve": FACTORY_FEED, "summed": True},
    sources=(
        "audio-eq-cookbook",
        "ramos-lopez-2006",
        "pudil-1994",
        "marquardt-1963",
        "projected-newton",
        "worst-peak",
        "common-practice",
    ),
)
def flatten(
    curve: Annotated[
        Curve,
        CurveText(
            "Measured curve", help="Hz and dB in columns. Electrical: the sum as it stands in the processor."
        ),
    ],
    kind: Annotated[
        str,
        Choice(
            "It was measured", {"electrical": "as a voltage, at the processor", "acoustic": "by microphone"}
        ),
    ] = "electrical",
    summed: Annotated[
        bool,
        Flag(
            "The sum is proven",
            help="By feed-sum, or there is one full-range feed. Else dips are not filled.",
        ),
    ] = False,
    method: Annotated[
        str, Choice("Equaliser", {"parametric": "single filters", "bands": "31 bands"})
    ] = "parametric",
    filters: Annotated[
        float | None,
        Number("Filters", COUNT, 1, MOST_FILTERS, whole=True, optional=True, empty="as few as do it"),
    ] = None,
    low: Annotated[float, Number("From", FREQUENCY, 10, 5000, usual=(20, 100))] = 30.0,
    high: Annotated[float, Number("To", FREQUENCY, 100, 20e3, usual=(10e3, 20e3), units=("kHz",))] = 16e3,
    max_boost: Annotated[float, Number("Most one filter may lift", LEVEL, 0, 15, usual=(0, 6))] = 6.0,
    max_cut: Annotated[float, Number("Most one filter may cut", LEVEL, 0.5, 30, usual=(6, 15))] = 12.0,
    q_low: Annotated[float, processor_inputs.Q_FROM] = 0.5,
    q_high: Annotated[float, processor_inputs.Q_TO] = 8.0,
    shelves: Annotated[
        str,
        Choice(
            "Shelves", {"free": "yes, with a Q", "fixed": "yes, without a Q", "none": "none"}, seldom=True
        ),
    ] = "free",
    band_q: Annotated[
        float, Number("Q of the 31 bands", RATIO, 1.4, 12, usual=(2, 8), seldom=True)
    ] = SLIDER_Q,
    q_kind: Annotated[
        str,
        Choice(
            "Its Q is",
            {
                "half-gain": "half-gain: width at half the gain in dB",
                "three-db": "−3 dB: width 3 dB off the top or foot",
                "constant": "constant-Q: the same ringing at any gain",
            },
            seldom=True,
        ),
    ] = "half-gain",
    step_frequency: Annotated[
        str, Choice("Frequencies it takes", filter_settings.FREQUENCIES_TAKEN, seldom=True)
    ] = "hertz",
    step_gain: Annotated[float, processor_inputs.STEP_OF_GAIN] = 0.1,
    step_q: Annotated[float, processor_inputs.STEP_OF_Q] = 0.1,
    sample_rate: Annotated[float | None, SAMPLE_RATE] = 48e3,
    target: Annotated[
        Curve | None, CurveText("Target", optional=True, seldom=True, help="Empty: flat.")
    ] = None,
    other_step: Annotated[
        Curve | None,
        CurveText(
            "The same feed at another volume",
            optional=True,
            seldom=True,
            help="At the ceiling step: its loudest tone counts in the gain chain. Where the two differ by "
            "over 1 dB no fixed filter is right for both.",
        ),
    ] = None,
    point_2: Annotated[Curve | None, CurveText("Second point", optional=True, seldom=True)] = None,
    point_3: Annotated[Curve | None, CurveText("Third point", optional=True, seldom=True)] = None,
    point_4: Annotated[Curve | None, CurveText("Fourth point", optional=True, seldom=True)] = None,
    point_5: Annotated[Curve | None, CurveText("Fifth point", optional=True, seldom=True)] = None,
) -> Steps[Flatten]:
    """Few equaliser filters that bring a curve to its target, within what the processor can do.

    The error counts over the whole curve, a twenty-fourth of an octave at a time. Broad filters come
    before narrow ones, all are moved together after each, then set to the processor's steps. Their number
    is the smallest that leaves no more than 0.3 dB over what ten would. Dips that are no matter for an
    equaliser are left alone, and so is what lies beyond the feed's own −10 dB points. While a dip of
    summation stands, no filter is placed at all.
    """
    if not low < high / 2:
        raise InputError("high", "The band must be wider than an octave: give a higher end.")
    if not q_low < q_high:
        raise InputError("q_high", "The highest Q must be above the lowest.")
    points = {"point_2": point_2, "point_3": point_3, "point_4": point_4, "point_5": point_5}
    given = {"curve": curve} | {name: each for name, each in points.items() if each is not None}
    electrical = kind == "electrical"
    if electrical and len(given) > 1:
        raise InputError("kind", "Points are for a microphone: an electrical curve has no places.")
    whole = even_feed(given, low, high)
    first, last = curve_parts.playing_band(whole.level)
    feed = part(whole, first, last)
    if feed.places.size < curve_parts.PER_OCTAVE:
        raise InputError(
            "curve", "The feed plays less than an octave within 10 dB: this is no feed to flatten."
        )
    level, dips = judged_dips(feed, electrical, summed)
    weight, movement = moved_weight(feed, curve, other_step)
    number_of_shelves, shelf_q = shelf_limits(shelves)
    limits = flattening.Task(
        feed.places, level, weight, q_low, q_high, max_boost, max_cut, number_of_shelves, shelf_q,
        sample_rate=sample_rate,
    )  # fmt: skip
    aim = aim_at(feed, target)
    task = asked_of(feed, level, aim, limits, (first > 0, last < whole.places.size - 1))
    alone = (*roll_off_rows(whole, first, last), *movement, *dips)
    steps = filter_settings.steps_of(task, step_frequency, step_gain, step_q, q_kind)
    table: tuple[ByNumber, ...] = ()
    if unproven(alone):
        settings = filter_settings.typed(flattening.nothing(task), steps)
    elif method == "bands":
        settings = fitted_bands(task, band_q, step_gain)
    else:
        fits = yield from told("placing filters", filter_search.few_filters(task, MOST_FILTERS), 0.0, 0.8)
        if filters is None:
            work = filter_search.fewest(fits, NUMBER_IS_ENOUGH)
            best, fits = yield from told("trying one filter less", work, 0.8, 1.0)
        else:
            best = fits[number := min(int(filters), len(fits) - 1)]
            if number:
                best = yield from told("moving one by one", filter_search.reseated(best), 0.8, 1.0)
                fits[number] = best
        # One more may be left idle, so more never leave more.
        left = np.minimum.accumulate([round(found.rms, 3) for found in fits]).tolist()
        table = tuple(ByNumber(filters=float(n), rms=rms) for n, rms in enumerate(left))
        last_look = flattening.polished(best, 60, least=1e-8)
        settings = filter_settings.cuts_first(
            filter_settings.typed(filter_search.with_cuts(last_look), steps)
        )
    # What moves counts less in the search; what is told of the result counts every place alike.
    settings = replace(settings, task=replace(task, weight=np.ones_like(task.weight)))
    loudest = loudest_of(feed, other_step)
    return (yield from _answer(feed, level, aim, settings, table, alone, q_kind, loudest))


def _answer(
    feed: Feed,
    level: FloatArray,
    aim: FloatArray,
    settings: Typed,
    table: tuple[ByNumber, ...],
    left_alone: tuple[LeftAlone, ...],
    meaning: str,
    loudest: FloatArray,
) -> Steps[Flatten]:
    found, rows = settings.found(), filter_settings.rows_of(settings)
    share, rate = found.task.share, found.task.sample_rate
    sections = found.sections(rate) if rows else None
    boost = equalisers.headroom(sections).boost if sections else 0.0
    does = decibels.level(response(sections, feed.places)) if sections else np.zeros_like(feed.places)
    lift = float(np.max(does) - np.median(does))
    worst_case = None
    if sections and rate:
        worst_case = yield from told("looking for the worst case", equalisers.worst_peak(sections), 1.0)
    left = error_left(feed, aim, level, found)
    all_left = error_left(feed, aim, feed.level, found)
    place = int(np.argmax(np.round(np.abs(left), 6)))
    worst, worst_frequency = float(left[place]), float(feed.places[place])
    why_none = no_filter(worst, settings, left_alone)
    return Flatten(
        settings="; ".join(map(filter_settings.filter_in_short, rows)) or why_none,
        short=filters_in_short(len(rows), why_none),
        number=float(len(rows)),
        low_used=float(feed.places[0]),
        high_used=float(feed.places[-1]),
        before=float(np.sqrt(share @ error_left(feed, aim, level, flattening.nothing(found.task)) ** 2)),
        after=float(np.sqrt(share @ left**2)),
        after_all=float(np.sqrt(share @ all_left**2)),
        worst=worst,
        worst_frequency=worst_frequency,
        boost=boost,
        lift=lift,
        worst_case=worst_case,
        loudest_change=float(does[np.argmax(loudest)]),
        hiss_change=hiss_change(feed.places, does),
        cut_in_front=-equalisers.most_within(sections) if sections else 0.0,
        chart=before_and_after(feed, aim, found),
        filters=rows,
        by_number=table,
        left_alone=left_alone,
        csv=filter_settings.csv_file(rows),
        data=filter_settings.json_file(rows, rate, meaning),
        biquads=filter_settings.biquad_file(sections) if sections and rate else None,
        advice=flat_advice(max(boost, lift), worst, worst_frequency, left_alone, settings),
    )
