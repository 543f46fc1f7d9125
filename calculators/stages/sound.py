"""Sound in air: speed, wavelength, decibels and bands."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import (
    FREQUENCY,
    LENGTH,
    LEVEL,
    POWER,
    PRESSURE,
    RATIO,
    RESISTANCE,
    SPEED,
    TEMPERATURE,
    VOLTAGE,
)
from calculators.physics import air, bands, levels

AIR_TEMPERATURE = Number(
    "Air in the cabin",
    TEMPERATURE,
    -40,
    60,
    usual=(0, 45),
    units=("°F",),
    help="Measured at seat height, doors shut.",
)


@dataclass(frozen=True)
class SoundSpeed:
    """Speed of sound in dry and in humid air."""

    speed: Annotated[float, Output("Speed of sound, dry air", SPEED, decimals=1, also=("ft/s",), main=True)]
    humid_speed: Annotated[float, Output("Speed of sound, humid air", SPEED, decimals=1)]
    difference: Annotated[float, Output("What the humidity adds", SPEED, decimals=2)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Speed of sound",
    example={"temperature": 20.0},
    sources=("iso-9613-1", "cramer-1993"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "difference = humid_speed - speed",
    ),
)
def sound_speed(
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    humidity: Annotated[float, Number("Relative humidity", RATIO, 0, 1, show="%")] = 0.5,
    pressure: Annotated[
        float,
        Number("Air pressure", PRESSURE, 50e3, 110e3, show="hPa", usual=(85e3, 106e3)),
    ] = 101325.0,
) -> SoundSpeed:
    """Speed of sound at the temperature of the cabin.

    Every other calculator uses the speed in dry air: humidity changes it by less than half a
    percent, which is less than a tape measure is out by. The humid figure is shown so that you
    can see how little it matters.
    """
    dry = air.speed_of_sound(temperature)
    humid = air.humid_speed_of_sound(temperature, humidity, pressure)
    advice: tuple[Advice, ...] = ()
    if not air.cramer_holds(temperature, humidity, pressure):
        advice = (
            Advice(
                "humid_speed",
                "The formula for humid air was fitted from 0 to 30 °C at ground level: "
                "here its figure is a guide. The dry figure is not affected.",
            ),
        )
    return SoundSpeed(dry, humid, humid - dry, advice)


@dataclass(frozen=True)
class Wavelength:
    """Length of one cycle in air, and the fractions of it that matter."""

    wavelength: Annotated[float, Output("Wavelength", LENGTH, also=("ft",), main=True)]
    half: Annotated[float, Output("Half a wavelength", LENGTH, show="cm", also=("in",))]
    quarter: Annotated[float, Output("Quarter of a wavelength", LENGTH, show="cm", also=("in",))]
    tenth: Annotated[float, Output("Tenth of a wavelength", LENGTH, show="cm", also=("in",))]


@calculator(
    title="Wavelength",
    example={"frequency": 80.0},
    sources=("iso-9613-1", "cox-dantonio"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "wavelength = speed/frequency",
        "half = wavelength/2",
        "quarter = wavelength/4",
        "tenth = wavelength/10",
    ),
)
def wavelength(
    frequency: Annotated[float, Number("Frequency", FREQUENCY, 1, 100e3, usual=(10, 24e3), units=("kHz",))],
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> Wavelength:
    """How long one cycle of a tone is in air.

    A gap of half a wavelength between two paths cancels. A porous absorber takes a good part away
    where it is a tenth of a wavelength thick, and nearly all at a quarter.
    """
    length = air.wavelength(frequency, air.speed_of_sound(temperature))
    return Wavelength(length, length / 2, length / 4, length / 10)


@dataclass(frozen=True)
class Decibels:
    """One ratio, written in every way it is written."""

    decibels: Annotated[float, Output("Level", LEVEL, decimals=2, main=True)]
    voltage_ratio: Annotated[float, Output("Voltage ratio", RATIO)]
    power_ratio: Annotated[float, Output("Power ratio", RATIO)]
    voltage: Annotated[float | None, Output("Voltage", VOLTAGE, none="needs a reference")]
    power: Annotated[float | None, Output("Power", POWER, show="mW", none="needs dBm")]


@calculator(
    title="Decibels, voltage and power",
    example={"decibels": 3.0},
    sources=("iec-60027-3", "itu-r-bs-645"),
    equations=("voltage_ratio = 10**(decibels/20)", "power_ratio = 10**(decibels/10)"),
)
def decibels(
    decibels: Annotated[float | None, Number("Level", LEVEL, -300, 300, optional=True)] = None,
    voltage_ratio: Annotated[float | None, Number("Voltage ratio", RATIO, 1e-15, 1e15, optional=True)] = None,
    power_ratio: Annotated[float | None, Number("Power ratio", RATIO, 1e-30, 1e30, optional=True)] = None,
    voltage: Annotated[
        float | None,
        Number("Voltage", VOLTAGE, 1e-9, 1e6, optional=True, units=("mV",), help="Needs a reference."),
    ] = None,
    reference: Annotated[
        str,
        Choice(
            "Reference",
            {
                "none": "none: a plain ratio",
                "dbv": "dBV: 1 V",
                "dbu": "dBu: 0.7746 V",
                "dbm": "dBm: 1 mW into the resistance",
            },
        ),
    ] = "none",
    resistance: Annotated[float, Number("Resistance for dBm", RESISTANCE, 0.1, 1e6)] = 600.0,
) -> Decibels:
    """Decibels as a ratio of voltages and of powers, and as volts against a reference.

    Fill in one of the four; the others follow. Twice the power is 3 dB, twice the voltage is
    6 dB.
    """
    ways = {
        "decibels": decibels,
        "voltage_ratio": voltage_ratio,
        "power_ratio": power_ratio,
        "voltage": voltage,
    }
    given = [name for name, value in ways.items() if value is not None]
    if len(given) != 1:
        raise InputError(
            given[1] if given else "decibels", "Fill in just one of the four, and leave the others empty."
        )
    unit_voltage = {
        "none": None,
        "dbv": levels.VOLTAGE_AT_0_DBV,
        "dbu": levels.VOLTAGE_AT_0_DBU,
        "dbm": levels.voltage_at_0_dbm(resistance),
    }[reference]
    if voltage is not None:
        if unit_voltage is None:
            raise InputError("reference", "A voltage is a level only against a reference: choose one.")
        voltage_ratio = voltage / unit_voltage
    if voltage_ratio is not None:
        decibels = levels.decibels_from_voltage_ratio(voltage_ratio)
    elif power_ratio is not None:
        decibels = levels.decibels_from_power_ratio(power_ratio)
    assert decibels is not None
    power = levels.power_ratio(decibels) * levels.POWER_AT_0_DBM if reference == "dbm" else None
    return Decibels(
        decibels,
        levels.voltage_ratio(decibels),
        levels.power_ratio(decibels),
        None if unit_voltage is None else unit_voltage * levels.voltage_ratio(decibels),
        power,
    )


@dataclass(frozen=True)
class ThirdOctaveBand:
    """One band: the name on the slider, and where it truly lies."""

    nominal: Annotated[float, Output("Name", FREQUENCY, figures=5, trim=True)]
    exact: Annotated[float, Output("Exact centre", FREQUENCY, figures=5, trim=True)]
    lower: Annotated[float, Output("Lower edge", FREQUENCY, figures=5, trim=True)]
    upper: Annotated[float, Output("Upper edge", FREQUENCY, figures=5, trim=True)]
    note: Annotated[str, OutputText("Nearest note")]


@dataclass(frozen=True)
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
        bands.THIRD_OCTAVE_Q,
        tuple(
            ThirdOctaveBand(
                float(nominal),
                float(exact),
                float(edges[0]),
                float(edges[1]),
                bands.nearest_note(float(exact)),
            )
            for nominal, exact, edges in rows
        ),
    )
