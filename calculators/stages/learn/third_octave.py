"""Third-octave bands."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Output, OutputRows, OutputText, calculator
from calculators.declaring.quantities import FREQUENCY, RATIO
from calculators.physics import bands


@dataclass(frozen=True, kw_only=True)
class ThirdOctaveBand:
    """One band: the name on the slider, and where it truly lies."""

    nominal: Annotated[float, Output("Name", FREQUENCY, figures=5, trim=True)]
    exact: Annotated[float, Output("Exact centre", FREQUENCY, figures=5, trim=True)]
    lower: Annotated[float, Output("Lower edge", FREQUENCY, figures=5, trim=True)]
    upper: Annotated[float, Output("Upper edge", FREQUENCY, figures=5, trim=True)]
    note: Annotated[str, OutputText("Nearest note")]


@dataclass(frozen=True, kw_only=True)
class ThirdOctaves:
    """The 31 bands from 20 Hz to 20 kHz."""

    q: Annotated[float, Output("Q of a peak filter one band wide", RATIO, figures=3, main=True)]
    bands: Annotated[tuple[ThirdOctaveBand, ...], OutputRows("Third-octave bands")]


@calculator(
    title="Third-octave bands",
    example={},
    sources=("iso-266", "iec-61260-1", "iso-16"),
)
def third_octave() -> ThirdOctaves:
    """The 31 third-octave bands: their names, exact centres and edges.

    The name is rounded; filters and analysers work at the exact centre, ten bands to the decade.
    C4 is the middle C of a piano, A4 is 440 Hz.
    """
    rows = zip(
        bands.NOMINAL_THIRD_OCTAVES, bands.exact_third_octaves(), bands.third_octave_edges(), strict=True
    )
    return ThirdOctaves(
        q=bands.THIRD_OCTAVE_Q,
        bands=tuple(
            ThirdOctaveBand(
                nominal=float(nominal),
                exact=float(exact),
                lower=float(edges[0]),
                upper=float(edges[1]),
                note=bands.nearest_note(float(exact)),
            )
            for nominal, exact, edges in rows
        ),
    )
