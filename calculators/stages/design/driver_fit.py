"""Whether a driver goes into its place, behind and in front."""

from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import (
    Advice,
    Drawing,
    InputError,
    Made,
    Number,
    Output,
    OutputFile,
    OutputFlag,
    OutputPaper,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import COUNT, LENGTH
from calculators.vocabulary.dxf import dxf_file
from calculators.vocabulary.rings import ring_of
from calculators.vocabulary.treatment import CLOSED, SENSOR, left_alone

LEAST_BEHIND = 0.010
SECOND_PERSON = 0.015
IN_FRONT = 0.003
AS_DEEP_AS_THE_MAKERS = (
    "By its side-impact sensor this door keeps the depth of the maker's own adaptor: measure that, from the "
    "metal to the driver's flange. Only where it is 0 is a spacer of 0 the maker's; else type what it is."
)
"""What a door that stays as it is asks of a driver that needs no spacer."""


def _millimetres(label: str, high: float, usual: tuple[float, float], help: str = "") -> Number:
    return Number(label, LENGTH, 0, high, show="mm", usual=usual, units=("cm", "in"), help=help)


def _perhaps(measure: Number) -> Number:
    """The same, which nobody may have measured."""
    return replace(measure, optional=True, empty="not measured")


@dataclass(frozen=True, kw_only=True)
class DriverFit:
    """Clearances of a driver in its place."""

    fits: Annotated[bool, OutputFlag("It fits by its measures", yes="yes", no="no", main=True)]
    verdict: Annotated[str, OutputText("Because")]
    glass_clearance: Annotated[float, Output("Behind it, to the glass", LENGTH, show="mm", decimals=1)]
    spacer_needed: Annotated[
        float, Output("Spacer for 10 mm behind it, at least", LENGTH, show="mm", decimals=1)
    ]
    opening_spare: Annotated[
        float, Output("Opening over what goes through it", LENGTH, show="mm", decimals=1)
    ]
    front_clearance: Annotated[
        float | None,
        Output("In front, to the card at full travel", LENGTH, show="mm", decimals=1, none="no card given"),
    ]
    thickest_spacer: Annotated[
        float | None,
        Output("Thickest spacer that the card allows", LENGTH, show="mm", decimals=1, none="no card given"),
    ]
    for_machine: Annotated[Made | None, OutputFile("The ring for a machine, in DXF")]
    paper: Annotated[tuple[Drawing, ...], OutputPaper("Ring at 1:1")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Does the driver fit?",
    example={
        "cutout": 0.144, "opening": 0.150, "depth": 0.069, "magnet": 0.100, "glass": 0.062, "spacer": 0.018,
        "front_height": 0.012, "xmax": 0.005, "card": 0.042, "sensor": "acceleration",
    },
    sources=("arithmetic", "common-practice"),
    cautions=("S01", "S07"),
    equations=(
        "glass_clearance = glass + spacer - depth",
        "thickest_spacer = card - front_height - xmax - 3/1000",
    ),
)  # fmt: skip
def driver_fit(
    cutout: Annotated[
        float,
        _millimetres("Basket, where it goes through", 0.6, (0.03, 0.4), "The cut-out of its data sheet."),
    ],
    opening: Annotated[
        float, _millimetres("Opening in the metal, narrowest", 0.6, (0.03, 0.4), "By card template.")
    ],
    depth: Annotated[
        float,
        _millimetres(
            "Depth behind its flange", 0.4, (0.015, 0.2), "To the back of the magnet, plug and all."
        ),
    ],
    magnet: Annotated[float, _millimetres("Magnet, across", 0.4, (0.02, 0.2))],
    glass: Annotated[
        float,
        _millimetres(
            "Metal to glass, least",
            0.5,
            (0.02, 0.15),
            "The least of full down, the quarters and the lifter's path, with the door shut as well.",
        ),
    ],
    sensor: Annotated[str, SENSOR] = "unknown",
    spacer: Annotated[float, _millimetres("Spacer under the flange", 0.2, (0, 0.04))] = 0.0,
    front_height: Annotated[
        float | None,
        _perhaps(
            _millimetres(
                "Highest point in front of its flange's back",
                0.1,
                (0.002, 0.03),
                "Mostly the surround, at rest. Wanted where the card is typed.",
            )
        ),
    ] = None,
    xmax: Annotated[
        float,
        Number(
            "Travel one way, to its stop",
            LENGTH,
            1e-4,
            0.1,
            show="mm",
            usual=(1e-3, 0.03),
            help="The mechanical one where the sheet has it, else Xmax.",
        ),
    ] = 0.005,
    card: Annotated[
        float | None,
        _perhaps(
            _millimetres(
                "Metal to the inside of the card or grille", 0.3, (0.005, 0.1), "Modelling clay shows it."
            )
        ),
    ] = None,
    ring: Annotated[
        float | None,
        Number(
            "Print its ring, across outside",
            LENGTH,
            0.04,
            0.5,
            show="mm",
            usual=(0.08, 0.4),
            optional=True,
            empty="no template",
            seldom=True,
            help="At 1:1, with the bore as the data sheet's cut-out; a template for a baffle, too.",
        ),
    ] = None,
    screw_circle: Annotated[
        float | None,
        Number(
            "Circle of its screws, across",
            LENGTH,
            0.03,
            0.5,
            show="mm",
            usual=(0.07, 0.4),
            optional=True,
            empty="no screws",
            seldom=True,
        ),
    ] = None,
    screws: Annotated[float, Number("Screws", COUNT, 2, 16, whole=True, usual=(3, 8), seldom=True)] = 4.0,
) -> DriverFit:
    """Clearances of a driver in a door: 10 mm behind it, travel and 3 mm in front.

    The limits are common practice, no source.
    Measured from the metal that the spacer lies on. 15 mm or less behind it is measured again by a second
    person. A spacer moves the driver off the glass and towards the card by the same amount. Spacer and wider
    opening are changes that a pressure sensor in the door, or one not known, forbids.
    """
    behind = glass + spacer - depth
    spare = opening - max(cutout, magnet)
    most = front = None
    if card is not None:
        if front_height is None:
            raise InputError("front_height", "Type it too: without it the card seems farther off than it is.")
        most = card - front_height - xmax - IN_FRONT
        front = card - spacer - front_height - xmax
    faults = []
    if spare < 0:
        faults.append(f"what goes through the opening is {-1e3 * spare:.1f} mm wider than it")
    if behind < LEAST_BEHIND - 1e-9:
        faults.append(f"{1e3 * behind:.1f} mm are left to the glass, 10 mm is the least")
    if front is not None and front < IN_FRONT - 1e-9:
        faults.append(f"{1e3 * front:.1f} mm are left to the card at full travel, 3 mm is the least")
    needed = max(LEAST_BEHIND + depth - glass, 0.0)
    gate = _gate(sensor, spacer, spare, needed)
    kept = "every clearance is kept"
    if any(entry.danger for entry in gate):
        kept = "every clearance is kept, but its sensor lets no spacer in other than the maker's own"
    template = None if ring is None else ring_of(cutout, ring, screw_circle, int(screws))
    return DriverFit(
        fits=not faults,
        verdict="; ".join(faults) or kept,
        glass_clearance=behind,
        spacer_needed=needed,
        opening_spare=spare,
        front_clearance=front,
        thickest_spacer=most,
        for_machine=None if template is None else dxf_file("ring.dxf", (template.drawing(),)),
        paper=() if template is None else template.paper(),
        advice=(*gate, *_advice(behind, needed, most, card is None)),
    )


def _gate(sensor: str, spacer: float, spare: float, needed: float) -> tuple[Advice, ...]:
    """Whether the driver asks for a change that the door's sensor forbids."""
    if sensor in CLOSED:
        if spare >= 0 and max(spacer, needed) == 0:
            return (Advice("spacer", AS_DEEP_AS_THE_MAKERS),)
        return (Advice("sensor", left_alone("This door", sensor), danger=True),)
    if spare < 0:
        return (Advice("opening_spare", "Choose a driver that goes in before the metal is cut: it rusts."),)
    return ()


def _advice(behind: float, needed: float, most: float | None, unknown: bool) -> tuple[Advice, ...]:
    found = []
    if LEAST_BEHIND - 1e-9 <= behind <= SECOND_PERSON:
        text = "15 mm or less: a second person measures it again, glass down and door shut, and signs."
        found.append(Advice("glass_clearance", text))
    if most is not None and needed > most + 1e-9:
        text = (
            f"No spacer does it: the glass asks for {1e3 * needed:.1f} mm, the card leaves "
            f"{1e3 * max(most, 0):.1f}. A shallower driver."
        )
        found.append(Advice("spacer_needed", text))
    if unknown:
        found.append(Advice("front_clearance", "Measure to the card too: a surround that touches it buzzes."))
    return tuple(found)
