"""How fast a pressed cone comes back in a closed box, and what that says of its leaks."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, calculator
from calculators.declaring.quantities import FREQUENCY, RATIO, TIME, VOLUME
from calculators.physics import loudspeaker_boxes as boxes
from calculators.vocabulary.drivers import FS, QL, VAS

TIME_CONSTANTS = 3


@dataclass(frozen=True, kw_only=True)
class LeakReturn:
    """Time and tightness of a pressed cone's way back."""

    time_constant: Annotated[float, Output("Time constant with that QL", TIME, show="s", figures=2)]
    return_time: Annotated[float, Output("Back in (three of them)", TIME, show="s", figures=2, main=True)]
    ql_found: Annotated[
        float | None, Output("QL by the time you counted", RATIO, figures=2, none="no time given")
    ]
    fc: Annotated[float, Output("Resonance in the box (fc)", FREQUENCY, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Return of a pressed cone",
    example={"fs": 34.0, "vas": 0.0165, "volume": 0.0122, "ql": 7.0, "measured_time": 2.0},
    sources=("small-closed-box", "common-practice"),
    equations=(
        "ratio = vas/volume",
        "fc = fs*sqrt(1 + ratio)",
        "time_constant = ql*(1 + ratio)/(2*pi*fc)",
        "return_time = 3*time_constant",
        "ql_found = measured_time/3*2*pi*fc/(1 + ratio)",
    ),
)
def leak_return(
    fs: Annotated[float, FS],
    vas: Annotated[float, VAS],
    volume: Annotated[float, Number("Net volume of the box", VOLUME, 1e-4, 2, show="L", usual=(2e-3, 0.1))],
    ql: Annotated[float, QL] = 7.0,
    measured_time: Annotated[
        float | None,
        Number(
            "It came back in",
            TIME,
            0.01,
            600,
            show="s",
            usual=(0.02, 10),
            optional=True,
            empty="not counted",
            help="Pressed in by hand, slowly and straight, and let go.",
        ),
    ] = None,
) -> LeakReturn:
    """How long a pressed cone takes to come back in a closed box, by its leaks; and the other way round.

    Derived from Small's circuit: the air leaks back while the suspension pushes. A look only: the limit is
    the impedance, one peak with resonance within 5 % and Q within 7 % of the model. A porous dust cap or a
    cloth surround comes back at once, and nothing is wrong.
    """
    box = boxes.closed_box(fs, 1.0, vas, volume)
    constant = boxes.return_time_constant(ql, box.compliance_ratio, box.fc)
    found = None
    if measured_time is not None:
        found = measured_time / TIME_CONSTANTS / constant * ql
    return LeakReturn(
        time_constant=constant,
        return_time=TIME_CONSTANTS * constant,
        ql_found=found,
        fc=box.fc,
        advice=_advice(found),
    )


def _advice(found: float | None) -> tuple[Advice, ...]:
    if found is None or found >= 7:
        return ()
    text = (
        "Leakier than is usual: look for it by hand and by smoke, with 30 Hz at low level; first at the "
        "terminal, the cable and the driver's gasket."
    )
    return (Advice("ql_found", text),)
