"""The air round a sound or a cable: its temperature, as a reader gives it."""

from calculators.declaring import Choice, InputError, Number
from calculators.declaring.quantities import TEMPERATURE

ROUTE_AIR = {"carpet": 40.0, "engine-bay": 85.0}

ROUTE = Choice(
    "Where the cable runs",
    {
        "carpet": "under carpet all the way: 40 °C",
        "engine-bay": "through the engine bay: 85 °C",
        "typed": "elsewhere, or logged: I type the air",
    },
    help="Its hottest metre counts. Less than 85 °C under a bonnet only if you logged it after a hot drive, "
    "engine off.",
)

AIR = Number(
    "Hottest air along the route",
    TEMPERATURE,
    -40,
    120,
    usual=(10, 105),
    optional=True,
    empty="as above",
    units=("°F",),
)

USUAL_AMBIENT = 40.0

AMBIENT = Number(
    "Hottest air along the route",
    TEMPERATURE,
    -40,
    120,
    usual=(10, 105),
    units=("°F",),
    help="Under carpet 40 °C; in an engine bay 85 °C unless you logged it.",
    seldom=True,
)


def hottest_air(route: str, ambient: float | None) -> float:
    """Degrees Celsius of the hottest air on a route; what is typed counts only where the route is "typed".

    85 in an engine bay: common practice, no source; ISO 16750-4 asks 105 or more of devices there
    (from memory). Raises `InputError` where route and air contradict each other.
    """
    if route == "typed":
        if ambient is None:
            raise InputError("ambient", "Type the hottest air along the route.")
        return ambient
    if ambient is not None:
        raise InputError(
            "ambient",
            f"Choose “I type the air” as where the cable runs, or leave this empty: {ROUTE.options[route]}.",
        )
    return ROUTE_AIR[route]


AIR_TEMPERATURE = Number(
    "Air in the cabin",
    TEMPERATURE,
    -40,
    60,
    usual=(0, 45),
    units=("°F",),
    help="Measured at seat height, doors shut.",
)
