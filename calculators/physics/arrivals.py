"""When sounds reach a head, and how long each has to wait so that all are there together."""

from collections.abc import Sequence


def waits(arrivals: Sequence[float]) -> list[float]:
    """Delay, s, of each arrival (s) that brings it together with the last one, which gets none.

    Raises ValueError if there is none.
    Source: definition: delay is the difference of arrivals.
    """
    if not arrivals:
        raise ValueError("there must be an arrival")
    latest = max(arrivals)
    return [latest - arrival for arrival in arrivals]
