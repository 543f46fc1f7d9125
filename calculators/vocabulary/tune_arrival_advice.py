"""What a tuning sheet says of left and right of a pair that do not arrive together."""

from calculators.declaring import Advice
from calculators.vocabulary.tune_joins import PAIR_TOGETHER
from calculators.vocabulary.tune_plan import Tune, twins

LAST_DIGIT = 0.005e-3
"""s by which a pair may be over its limit: half of the last digit shown."""


def arrival_advice(found: Tune) -> list[Advice]:
    """Left and right of a pair that delays for their joins, or the processor's steps, leave apart in time at
    the first seat."""
    channels = found.plan.channels
    if len(found.plan.gains) > 1:
        return []  # A row of its own says what each of two seats hears.
    arrives = {c: c.arrival[0] + s.delay for c, s in zip(channels, found.settings, strict=True)}
    told = [
        f"{left.name} and {right.name} by {1e3 * late:.2f} ms"
        for left, right in twins(channels)
        if left.kind != "subwoofer"
        and (late := abs(arrives[left] - arrives[right])) > PAIR_TOGETHER + LAST_DIGIT
    ]
    if not told:
        return []
    text = (
        f"Arrive apart by more than {1e3 * PAIR_TOGETHER:.2f} ms: {'; '.join(told)}. Their joins, or the "
        "processor's steps, ask for it. Listen where a voice stands; if it leans, take the delay of the pair "
        "by arrival, and measure that side's join again."
    )
    return [Advice("channels", text)]
