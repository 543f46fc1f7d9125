"""How long adhesive, sealant or primer takes to cure in this bay."""

from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import Advice, Choice, InputError, Number, Output, OutputText, calculator
from calculators.declaring.quantities import LENGTH, RATIO, TEMPERATURE, TIME
from calculators.physics import curing
from calculators.vocabulary.treatment_advice import OFTEN_LOWEST

Curing = Literal["reaction", "moisture", "drying"]

FARTHEST = 15.0
"""K from the data sheet's temperature beyond which the rule of thumb is only a hint."""


COOL = 15.0
"""°C below which a product's own lowest temperature is asked for."""


@dataclass(frozen=True, kw_only=True)
class CureTime:
    """When it may be loaded, and whether that is in time."""

    cured_after: Annotated[float, Output("Cured after", TIME, show="h", figures=3, trim=True, main=True)]
    slowness: Annotated[float, Output("Times as long as on the data sheet", RATIO, decimals=1)]
    in_time: Annotated[str, OutputText("Cured in the time there is")]
    lacking: Annotated[float, Output("Time lacking", TIME, show="h", figures=3, trim=True)]
    depth_reached: Annotated[
        float | None,
        Output("Cured by then to a depth of", LENGTH, show="mm", decimals=1, none="all through alike"),
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Cure time",
    example={"kind": "moisture", "data_time": 86400.0, "data_depth": 0.003, "depth": 0.006},
    sources=("van-t-hoff", "diffusion", "common-practice"),
    cautions=("S06", "S25"),
    equations=("lacking = max(0, cured_after - available)",),
)
def cure_time(
    *,
    kind: Annotated[
        Curing,
        Choice(
            "What cures",
            {
                "reaction": "two parts, or a primer: it reacts",
                "moisture": "one-part polyurethane: from outside, by the water in the air",
                "drying": "contact cement: both sides dry to touch",
            },
        ),
    ] = "reaction",
    data_time: Annotated[
        float,
        Number(
            "Time on its data sheet", TIME, 60, 30 * 86400, show="h", usual=(300, 7 * 86400), units=("min",)
        ),
    ],
    data_temperature: Annotated[
        float, Number("Its time is for", TEMPERATURE, 0, 40, usual=(18, 25), units=("°F",), seldom=True)
    ] = 23.0,
    data_depth: Annotated[
        float | None,
        Number(
            "In that time it cures to a depth of", LENGTH, 0.0005, 0.02, show="mm", usual=(0.002, 0.005),
            optional=True, empty="moisture cure alone has one",
        ),
    ] = None,
    depth: Annotated[
        float | None,
        Number(
            "Your bead: from the air to its middle", LENGTH, 0.0005, 0.05, show="mm", usual=(0.001, 0.01),
            optional=True, empty="moisture cure alone has one",
            help="Between two panels: half its width; one side shut: all of it.",
        ),
    ] = None,
    temperature: Annotated[
        float,
        Number("Panel and bay through the night", TEMPERATURE, -10, 45, usual=(10, 30), units=("°F",)),
    ] = 23.0,
    humidity: Annotated[
        float,
        Number(
            "Humidity of the bay", RATIO, 0.05, 1, show="%", usual=(0.3, 0.8), help="Heated, in winter: 20 %."
        ),
    ] = 0.5,
    available: Annotated[
        float,
        Number(
            "Time there is", TIME, 60, 30 * 86400, show="h", usual=(1800, 3 * 86400), help="Overnight: 15 h."
        ),
    ] = 54000.0,
) -> CureTime:  # fmt: skip
    """Time until an adhesive, a sealant or a primer has cured, by temperature and depth.

    Twice as long for each 10 K colder: a rule of thumb, which the product's own figure beats. One-part
    polyurethane cures from outside: twice as deep takes four times as long, and dry air makes it slower.
    Contact cement is ready when both sides are dry to touch and no sooner; the time is a guide for planning.
    """
    if kind == "moisture":
        for name, value in (("data_depth", data_depth), ("depth", depth)):
            if value is None:
                raise InputError(
                    name, "Type both depths: one-part polyurethane cures from outside to inside."
                )
    slow = curing.slowness(temperature, data_temperature)
    reached = None
    if kind == "moisture" and depth is not None and data_depth is not None:
        slow *= curing.dryness(humidity)
        cured = curing.depth_time(depth, data_depth, data_time * slow)
        reached = min(depth, curing.cured_depth(available, data_depth, data_time * slow))
    else:
        cured = data_time * slow
    return CureTime(
        cured_after=cured,
        slowness=slow,
        in_time=_in_time(kind, temperature, cured <= available),
        lacking=max(0.0, cured - available),
        depth_reached=reached,
        advice=_advice(kind, temperature, data_temperature, cured, available),
    )


def _in_time(kind: Curing, temperature: float, by_the_rule: bool) -> str:
    """Yes or no; no bare yes where many products do not cure at all."""
    if by_the_rule and temperature < OFTEN_LOWEST[kind]:
        return "only if its data sheet allows it so cold"
    return "yes" if by_the_rule else "no"


def _advice(
    kind: Curing, temperature: float, data_temperature: float, cured: float, available: float
) -> tuple[Advice, ...]:
    said = []
    if cured > available:
        message = (
            "Not cured in that time: put the job on the evening before, or on the survey visit. Never more "
            "heat than the data sheet allows, and no load before."
        )
        said.append(Advice("available", message))
    if kind != "drying" and temperature < COOL:
        message = (
            "Under its own lowest temperature, on its data sheet, it does not cure late: it does not cure. "
            "Many two-part products and primers ask for 10 °C, one-part polyurethane for 5 °C (common "
            "practice, no source)."
        )
        said.append(Advice("temperature", message))
    if abs(temperature - data_temperature) > FARTHEST:
        message = (
            "Far from the data sheet's temperature: the rule is only a hint. Ask for the product's curve."
        )
        said.append(Advice("temperature", message))
    if kind == "drying":
        message = (
            "Both sides dry to touch, by hand and not by clock. Under 15 °C a water-based cement may never "
            "dry through (common practice, no source)."
        )
        said.append(Advice("kind", message))
    return tuple(said)
