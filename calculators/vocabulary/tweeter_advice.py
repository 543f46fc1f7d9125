"""What a signal may do to a tweeter: the same words wherever one is made."""

from calculators.declaring import Advice

TWEETER_FROM = 500.0
"""Hz: what begins here or higher may be meant for a tweeter. Our own rule."""
TREBLE_FROM = 2000.0
"""Hz: what goes higher than this reaches a tweeter, wherever it begins. Our own rule."""
TWEETER_LIMIT = 1.0
"""V RMS at a tweeter's terminals, at most. Common practice, no source."""


def of_band(about: str, low: float, high: float) -> tuple[Advice, ...]:
    """The danger to a tweeter of a signal from ``low`` to ``high`` Hz, told at the field ``about``."""
    limit = f"{TWEETER_LIMIT:g} V RMS at its terminals at most"
    if low >= TWEETER_FROM:
        message = (
            f"For a tweeter: {limit}, set with the tweeter unplugged, on a steady tone of the same level, "
            "less what its high-pass takes of that tone, by a meter true at that frequency, or 1.4 V peak on "
            "a scope. Without a high-pass read back today, start no lower than its lowest safe frequency."
        )
    elif high > TREBLE_FROM:
        message = (
            f"It reaches a tweeter, and begins at {low:g} Hz: tweeters unplugged, or their high-pass read "
            f"back first. Behind it a tweeter gets {limit}."
        )
    else:
        return ()
    return (Advice(about, message, danger=True),)
