"""What is asked of a driver that goes into a box, a door or a pod, and how it is driven."""

from dataclasses import asdict, dataclass
from math import sqrt

from calculators.declaring import Choice, InputError, Made, Number, OutputFile
from calculators.declaring.kept_values import values_file
from calculators.declaring.quantities import (
    AREA,
    FREQUENCY,
    INDUCTANCE,
    LENGTH,
    POWER,
    RATIO,
    RESISTANCE,
    SLOPE,
    VOLUME,
)
from calculators.physics import driver_parameters, filters
from calculators.physics.driver_parameters import Driver

FS = Number("Resonance in free air (fs)", FREQUENCY, 5, 1000, usual=(15, 150))
QTS = Number("Total Q (Qts)", RATIO, 0.05, 3, usual=(0.2, 1.2))
VAS = Number("Air as springy as its suspension (Vas)", VOLUME, 1e-4, 2, show="L", usual=(1e-3, 0.2))
QMS = Number(
    "Mechanical Q (Qms)",
    RATIO,
    0.1,
    50,
    usual=(2, 12),
    help="Off the data sheet. 5 is only taken until you know; above Qts.",
)
RE = Number(
    "Coil, direct current (Re)",
    RESISTANCE,
    0.3,
    50,
    usual=(1.5, 8),
    optional=True,
    empty="not known: no levels, no travel",
    help="All coils as they will be wired.",
)
QL = Number("Q of the box's losses (QL)", RATIO, 0.5, 1e4, usual=(3, 100), help="7 is the usual guess.")
LE = Number("Coil's inductance (Le)", INDUCTANCE, 0, 0.05, show="mH", usual=(0, 5e-3), seldom=True)
SD = Number(
    "Cone area (Sd)",
    AREA,
    1e-4,
    0.5,
    show="cm²",
    usual=(2e-3, 0.13),
    optional=True,
    empty="not known: no levels, no travel",
    help="To half of the surround: π/4 of the square of the diameter from middle to middle of it.",
)
XMAX = Number(
    "Travel one way (Xmax)",
    LENGTH,
    1e-4,
    0.1,
    show="mm",
    usual=(1e-3, 0.03),
    optional=True,
    empty="not known",
    help="The linear one. The mechanical stop lies beyond it.",
)
AMPLIFIER_POWER = Number(
    "Amplifier's rated power",
    POWER,
    0.1,
    10e3,
    usual=(10, 2000),
    optional=True,
    empty="not known",
    help="Into the load below: it gives the voltage √(power · load), whatever the coil takes of it.",
)
RATED_LOAD = Number("Load that power is rated at", RESISTANCE, 0.5, 32, usual=(1, 8))
DRIVER_POWER = Number(
    "Driver's continuous noise rating",
    POWER,
    0.1,
    5000,
    usual=(5, 1000),
    optional=True,
    empty="not known",
    help="Not its “music” and not its “peak” power.",
)
THERMAL_SPACE = 3.0
"""How far under a driver's rating its thermal limiter stands, dB. Common practice, no source."""
DRIVER_IMPEDANCE = Number(
    "Driver's rated impedance",
    RESISTANCE,
    0.3,
    50,
    usual=(1, 8),
    optional=True,
    empty="as Re: a little too careful",
    help="The one its rating is given for, coils as they will be wired; not the amplifier's load.",
)
SOURCE_RESISTANCE = Number(
    "Amplifier and lead",
    RESISTANCE,
    0,
    10,
    usual=(0, 1),
    seldom=True,
    help="It counts where Re is given, and raises Q: 0.1 Ω by 3 % at 3.4 Ω.",
)
FILTER_SLOPES = (("12 dB/oct", 12.0), ("24 dB/oct", 24.0), ("36 dB/oct", 36.0), ("48 dB/oct", 48.0))
FILTER_FAMILY = Choice(
    "Its family", {"linkwitz-riley": "Linkwitz-Riley", "butterworth": "Butterworth"}, seldom=True
)
HIGH_PASS = Number(
    "High-pass in front",
    FREQUENCY,
    5,
    1000,
    usual=(10, 150),
    optional=True,
    empty="none",
    help="It counts in every curve below.",
)
HIGH_PASS_SLOPE = Number("Slope of a high-pass", SLOPE, 12, 48, options=FILTER_SLOPES)
LONGEST = Number(
    "Cabin, longest inside",
    LENGTH,
    0.5,
    12,
    usual=(1.5, 6),
    optional=True,
    empty="leave the cabin out",
    units=("cm", "ft"),
    help="From the dashboard's foot to the hatch.",
)
CABIN_LEAK = Number(
    "Cabin's leaks end the rise at",
    FREQUENCY,
    0,
    200,
    usual=(0, 40),
    seldom=True,
    help="0 for a tight one. Nobody knows it before it is measured.",
)


DRIVER_FILE = OutputFile("This driver, to keep", opens="driver")


@dataclass(frozen=True, kw_only=True)
class DriverSheet:
    """A driver as it was typed, by the names, units and ranges of the inputs above."""

    fs: float
    qts: float
    qms: float
    vas: float
    re: float | None
    sd: float | None
    le: float = 0.0
    xmax: float | None = None
    driver_power: float | None = None
    rated_impedance: float | None = None

    def driver(self) -> Driver:
        """Without Re or Sd one of ordinary size, for whatever does not hang on them.

        Raises `InputError` where Qms is no more than Qts.
        """
        if self.qms <= self.qts:
            raise InputError("qms", f"Qms is above Qts: more than {self.qts:.3g}.")
        return Driver(
            fs=self.fs,
            qms=self.qms,
            qes=driver_parameters.electrical_q(self.qts, self.qms),
            vas=self.vas,
            sd=0.02 if self.sd is None else self.sd,
            re=4.0 if self.re is None else self.re,
            le=0.0 if self.re is None else self.le,
        )

    def coil_voltage(self) -> float | None:
        """V RMS that its coil bears for long: √(its rating · its own impedance), never the amplifier's load.

        Re stands in for a rated impedance, never above it, so the volts err low. None where the rating, or
        both, are not known. Source: IEC 60268-5, from memory.
        """
        own = self.re if self.rated_impedance is None else self.rated_impedance
        return None if self.driver_power is None or own is None else sqrt(self.driver_power * own)

    def file(self) -> Made:
        """The driver to keep; what is not known is emptied where it is opened."""
        return values_file(f"driver-{self.fs:.0f}-Hz-Q-{self.qts:.2f}.json", "driver", asdict(self))


def high_pass_kind(family: str, slope: float) -> tuple[filters.Family, int]:
    """Family and order of a high-pass; both families come in every slope of `FILTER_SLOPES`."""
    return "butterworth" if family == "butterworth" else "linkwitz-riley", round(slope / 6)


def high_pass_filter(family: str, slope: float, frequency: float) -> filters.Sections:
    """A crossover's high-pass, analogue."""
    return filters.crossover_filter("high-pass", *high_pass_kind(family, slope), frequency)
