"""A driver's parameters from an impedance measurement."""

from dataclasses import dataclass, replace
from math import pi
from typing import Annotated

from calculators.declaring import Advice, InputError, Made, Number, Output, OutputFile, calculator
from calculators.declaring.quantities import (
    COMPLIANCE,
    FORCE_FACTOR,
    FREQUENCY,
    LEVEL,
    MASS,
    RATIO,
    RESISTANCE,
    VOLUME,
)
from calculators.physics import driver_parameters as drivers
from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.driver_parameters import Driver
from calculators.vocabulary.drivers import SD, DriverSheet

MOST_ASKEW = 0.01
WANTED_SHIFT = (0.2, 0.4)
METHODS_APART = 0.05
# What differs by less than a thousandth was not measured.
MOST_ALIKE = 1.001


@dataclass(frozen=True, kw_only=True)
class DriverParameters:
    """Parameters of a driver as it was measured."""

    qts: Annotated[float, Output("Total Q (Qts)", RATIO, decimals=3, main=True)]
    qes: Annotated[float, Output("Electrical Q (Qes)", RATIO, decimals=3)]
    qms: Annotated[float, Output("Mechanical Q (Qms)", RATIO, decimals=2)]
    side_impedance: Annotated[float, Output("Read f1 and f2 at (√(Zmax·Re))", RESISTANCE, figures=4)]
    symmetry: Annotated[float, Output("√(f1·f2) over fs, 1 if read well", RATIO, decimals=4)]
    mass: Annotated[
        float | None,
        Output("Moving mass (Mms)", MASS, show="g", figures=4, none="add a mass or a box, and Sd"),
    ]
    compliance: Annotated[
        float | None, Output("Suspension (Cms)", COMPLIANCE, show="mm/N", figures=4, none="as above")
    ]
    force_factor: Annotated[float | None, Output("Bl", FORCE_FACTOR, figures=4, none="as above")]
    vas: Annotated[float | None, Output("Vas", VOLUME, show="L", figures=4, none="a box, or a mass and Sd")]
    vas_of_box: Annotated[
        float | None, Output("Vas by the box", VOLUME, show="L", figures=4, none="no box given")
    ]
    shift: Annotated[
        float | None,
        Output("The mass moved the resonance by", RATIO, show="%", decimals=1, none="no mass given"),
    ]
    sensitivity: Annotated[
        float | None, Output("1 W into Re, 1 m, half space", LEVEL, decimals=1, none="no Vas")
    ]
    sensitivity_at_voltage: Annotated[
        float | None, Output("2.83 V, 1 m, half space", LEVEL, decimals=1, none="no Vas")
    ]
    driver_file: Annotated[Made | None, OutputFile("This driver, to open in a box")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Driver parameters from an impedance measurement",
    example={
        "re": 3.4, "fs": 32.62, "z_max": 49.34, "f1": 25.17, "f2": 42.29, "sd": 0.0214,
        "added_mass": 0.05, "fs_added": 25.89, "box_volume": 0.025, "fs_box": 42.9, "qec": 0.706,
    },
    sources=("small-1972",),
    equations=(
        "ratio = z_max/re",
        "side_impedance = sqrt(z_max*re)",
        "qms = fs*sqrt(ratio)/(f2 - f1)",
        "qes = qms/(ratio - 1)",
        "qts = qms*qes/(qms + qes)",
        "symmetry = sqrt(f1*f2)/fs",
    ),
)  # fmt: skip
def driver_parameters(
    re: Annotated[
        float,
        Number(
            "Coil, direct current (Re)",
            RESISTANCE,
            0.3,
            50,
            usual=(1.5, 8),
            help="Leads taken off the reading.",
        ),
    ],
    fs: Annotated[float, Number("Peak of the impedance, free air (fs)", FREQUENCY, 5, 3000, usual=(15, 150))],
    z_max: Annotated[float, Number("Impedance there (Zmax)", RESISTANCE, 0.5, 2000, usual=(6, 200))],
    f1: Annotated[float, Number("Side frequency below (f1)", FREQUENCY, 1, 3000, usual=(8, 140))],
    f2: Annotated[float, Number("Side frequency above (f2)", FREQUENCY, 5, 9000, usual=(20, 300))],
    sd: Annotated[float | None, replace(SD, empty="not known")] = None,
    added_mass: Annotated[
        float | None,
        Number(
            "Mass put on the cone",
            MASS,
            1e-4,
            1,
            show="g",
            usual=(5e-3, 0.1),
            optional=True,
            empty="no mass",
            help="Putty, in a ring round the dust cap. Nothing magnetic.",
        ),
    ] = None,
    fs_added: Annotated[
        float | None,
        Number("Peak with that mass", FREQUENCY, 2, 3000, usual=(10, 130), optional=True, empty="no mass"),
    ] = None,
    box_volume: Annotated[
        float | None,
        Number(
            "Test box, air inside",
            VOLUME,
            1e-4,
            2,
            show="L",
            usual=(5e-3, 0.1),
            optional=True,
            empty="no box",
            help="Shut and tight, no lining; with the air in front of or behind the cone as it sits.",
        ),
    ] = None,
    fs_box: Annotated[
        float | None,
        Number("Peak in that box", FREQUENCY, 5, 3000, usual=(25, 250), optional=True, empty="no box"),
    ] = None,
    qec: Annotated[
        float | None,
        Number(
            "Electrical Q in that box (Qec)",
            RATIO,
            0.01,
            50,
            usual=(0.2, 2),
            optional=True,
            empty="no box",
            help="As Qes, from the peak in the box: run this calculator on it first.",
        ),
    ] = None,
) -> DriverParameters:
    """Q of a driver from its impedance peak; its mass and Vas by an added mass or a closed box.

    Small signals: 0.1 to 0.5 V at the terminals, the driver hanging free, warm from an hour of soft music.
    Read the impedance with a resistor of 1 % as reference, in steps of 0.1 Hz round the peak. By the box
    Vas = Vb·(fc·Qec/(fs·Qes) − 1): the air that the cone takes along, more of it in a box, cancels.
    """
    _in_order(re, fs, z_max, f1, f2)
    q = drivers.q_of_impedance(re=re, z_max=z_max, fs=fs, f1=f1, f2=f2)
    mass, vas_of_box = None, None
    if added_mass is not None and fs_added is not None:
        if fs_added * MOST_ALIKE >= fs:
            raise InputError("fs_added", f"A mass lowers the resonance: less than {fs:.4g} Hz.")
        mass = drivers.mass_by_added(added_mass, fs, fs_added)
    if box_volume is not None and fs_box is not None and qec is not None:
        if fs_box * qec <= MOST_ALIKE * fs * q.qes:
            raise InputError("fs_box", "A box raises resonance and Q over those in free air: these do not.")
        vas_of_box = drivers.vas_by_box(volume=box_volume, fs=fs, qes=q.qes, fs_box=fs_box, qec=qec)
    vas = _vas(mass, vas_of_box, fs, sd)
    driver = None
    if vas is not None:
        driver = Driver(fs=fs, qms=q.qms, qes=q.qes, vas=vas, sd=sd or 1.0, re=re)
    parts = driver if sd is not None else None
    return DriverParameters(
        qts=q.qts,
        qes=q.qes,
        qms=q.qms,
        side_impedance=drivers.side_impedance(re, z_max),
        symmetry=q.symmetry,
        mass=mass if parts is None else parts.mass,
        compliance=None if parts is None else parts.compliance,
        force_factor=None if parts is None else parts.force_factor,
        vas=vas,
        vas_of_box=vas_of_box,
        shift=None if fs_added is None else 1 - fs_added / fs,
        sensitivity=None if driver is None else driver.level(re**0.5),
        sensitivity_at_voltage=None if driver is None else driver.level(2.83),
        driver_file=None
        if vas is None
        else DriverSheet(fs=fs, qts=q.qts, qms=q.qms, vas=vas, re=re, sd=sd).file(),
        advice=(
            *_half_given(
                (("added_mass", added_mass), ("fs_added", fs_added)),
                (("box_volume", box_volume), ("fs_box", fs_box), ("qec", qec)),
            ),
            *_advice(q.symmetry, None if mass is None else vas, vas_of_box, fs, fs_added),
        ),
    )


def _half_given(*groups: tuple[tuple[str, float | None], ...]) -> tuple[Advice, ...]:
    """A way of measuring counts whole or not at all."""
    found = []
    for group in groups:
        missing = [name for name, value in group if value is None]
        if missing and len(missing) < len(group):
            text = "Half of a way to measure Vas is left out: give all of its values, or none."
            found.append(Advice(missing[0], text))
    return tuple(found)


def _in_order(re: float, fs: float, z_max: float, f1: float, f2: float) -> None:
    if z_max <= MOST_ALIKE * re:
        raise InputError("z_max", f"The peak stands above Re: more than {re:.4g} Ω.")
    if f1 >= fs:
        raise InputError("f1", f"It lies below the peak: less than {fs:.4g} Hz.")
    if f2 <= fs:
        raise InputError("f2", f"It lies above the peak: more than {fs:.4g} Hz.")


def _vas(mass: float | None, vas_of_box: float | None, fs: float, sd: float | None) -> float | None:
    """By the mass where it can be, else by the box."""
    if mass is None or sd is None:
        return vas_of_box
    compliance = 1 / ((2 * pi * fs) ** 2 * mass)
    return AIR_DENSITY * SPEED_OF_SOUND**2 * sd**2 * compliance


def _advice(
    symmetry: float, by_mass: float | None, by_box: float | None, fs: float, fs_added: float | None
) -> tuple[Advice, ...]:
    found = []
    if abs(symmetry - 1) > MOST_ASKEW:
        text = (
            f"√(f1·f2) is {symmetry:.3f} × fs; within 1 % the reading is good. Read again: less voltage, "
            "finer steps, the driver hanging free and warm, Re without its leads."
        )
        found.append(Advice("symmetry", text))
    if fs_added is not None and not WANTED_SHIFT[0] <= 1 - fs_added / fs <= WANTED_SHIFT[1]:
        text = (
            f"The mass moved the resonance by {100 * (1 - fs_added / fs):.0f} %; 20 to 40 % is wanted. Less "
            "is lost in the reading, more bends the suspension."
        )
        found.append(Advice("shift", text))
    if by_mass is not None and by_box is not None and abs(by_mass / by_box - 1) > METHODS_APART:
        text = "Mass and box are more than 5 % apart: look for a leak, a wrong Sd, or putty on the surround."
        found.append(Advice("vas", text))
    return tuple(found)
