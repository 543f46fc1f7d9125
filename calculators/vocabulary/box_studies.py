"""A driver in its box as it is driven and heard: what limits it at each frequency."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import log10, sqrt
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL, SPEED, TIME
from calculators.physics import bands, decibels, filters
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.driver_parameters import Driver
from calculators.physics.gain import voltage_at_level
from calculators.physics.loudspeaker_boxes import Box, Motion
from calculators.vocabulary.drivers import THERMAL_SPACE, DriverSheet, high_pass_kind
from calculators.vocabulary.responses import LOWEST_SHOWN, Places, places_shown

BOX_LOWEST, BOX_HIGHEST = 10.0, 500.0
SEARCHED = np.geomspace(1.0, 20e3, 900)
ROW_LOWEST, ROW_HIGHEST = 15.0, 260.0
FILTER_LOWEST, FILTER_HIGHEST = 5.0, 2000.0
HALF_POWER = 10 * log10(2)
BY_TRAVEL, BY_AMPLIFIER, BY_COIL, BY_PORT = "its travel", "the amplifier", "its coil", "the air in the port"


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What drives and what stops a driver.

    ``voltage``: V RMS, of the amplifier at its rated power. ``coil``: V RMS that the coil bears for long.
    ``xmax``: m, one way. ``port_area``: m². ``port_speed``: m/s, peak, that the port bears.
    """

    voltage: float
    coil: float | None = None
    xmax: float | None = None
    port_area: float | None = None
    port_speed: float | None = None


@dataclass(frozen=True, kw_only=True)
class Cabin:
    """Where its rise begins and ends, Hz."""

    transition: float
    leak: float


def cabin_of(longest: float | None, leak: float) -> Cabin | None:
    """A cabin by its longest inside length, m, at 20 °C; None without one."""
    return None if longest is None else Cabin(transition=SPEED_OF_SOUND / (2 * longest), leak=leak)


def drive_of(sheet: DriverSheet, power: float | None, load: float) -> Drive | None:
    """V = √(power · load), W and Ω; None where Re, Sd or the power is not known."""
    if sheet.re is None or sheet.sd is None or power is None:
        return None
    return Drive(voltage=sqrt(power * load), coil=sheet.coil_voltage(), xmax=sheet.xmax)


@dataclass(frozen=True, kw_only=True)
class Study:
    """A driver, its box, what stands in front of it and round it. Frequencies in Hz, arrays."""

    driver: Driver
    box: Box
    source_resistance: float = 0.0
    high_pass: filters.Sections | None = None
    cabin: Cabin | None = None
    drive: Drive | None = None

    @cached_property
    def _motions(self) -> dict[bytes, Motion]:
        return {}

    def filtered(self, frequency: FloatArray) -> ComplexArray:
        """Gain of the high-pass in front."""
        if self.high_pass is None:
            return np.ones_like(frequency, dtype=np.complex128)
        return filters.response(self.high_pass, frequency)

    def motion(self, frequency: FloatArray) -> Motion:
        """By the volt at the speaker's lead, behind the high-pass; for the same places worked out once."""
        key = frequency.tobytes()
        if key not in self._motions:
            self._motions[key] = boxes.motion(self.driver, self.box, frequency, self.source_resistance)
        return self._motions[key]

    def response(self, frequency: FloatArray) -> ComplexArray:
        """Pressure over that of the flat band, high-pass counted, in half space."""
        own = self.motion(frequency).response
        return own if self.high_pass is None else own * self.filtered(frequency)

    def level(self, frequency: FloatArray) -> FloatArray:
        """The response as a level, dB."""
        return decibels.level(self.response(frequency))

    def cabin_gain(self, frequency: FloatArray) -> FloatArray:
        """What the cabin adds, dB; nothing without one."""
        if self.cabin is None:
            return np.zeros_like(frequency)
        return decibels.level(boxes.cabin_gain(frequency, self.cabin.transition, self.cabin.leak))

    def delay(self, frequency: FloatArray) -> FloatArray:
        """Group delay, s, high-pass counted."""
        late = boxes.group_delay(self.driver, self.box, frequency, self.source_resistance)
        return late if self.high_pass is None else late + filters.group_delay(self.high_pass, frequency)

    def excursion_per_volt(self, frequency: FloatArray) -> FloatArray:
        """Peak m of the cone by V RMS asked for in front of the high-pass."""
        moved = self.motion(frequency).excursion * self.filtered(frequency)
        return np.asarray(sqrt(2) * np.abs(moved), dtype=np.float64)

    def port_speed_per_volt(self, frequency: FloatArray) -> FloatArray:
        """Peak m/s of the air in the port by V RMS asked for; 0 without a port's area."""
        if self.drive is None or self.drive.port_area is None:
            return np.zeros_like(frequency)
        flow = self.motion(frequency).port * self.filtered(frequency)
        return np.asarray(sqrt(2) * np.abs(flow) / self.drive.port_area, dtype=np.float64)

    def level_per_volt(self, frequency: FloatArray) -> FloatArray:
        """dB SPL at 1 m in half space by V RMS asked for."""
        flow = self.motion(frequency).output * self.filtered(frequency)
        return decibels.level(boxes.pressure(flow, frequency) / decibels.REFERENCE_PRESSURE)

    @cached_property
    def searched(self) -> FloatArray:
        """Where its largest is looked for: from 1 Hz on, and wherever a curve turns."""
        return np.concatenate([SEARCHED, self.places.at])

    @cached_property
    def places(self) -> Places:
        """Where its curves are drawn: evenly, and wherever one turns."""
        return places_shown((self.level, self._excursion_level), low=BOX_LOWEST, high=BOX_HIGHEST)

    def _excursion_level(self, frequency: FloatArray) -> FloatArray:
        return decibels.level(self.excursion_per_volt(frequency))

    def bounds(self, frequency: FloatArray) -> dict[str, FloatArray]:
        """V RMS that may be asked for at each frequency, by what would be used up there."""
        drive = self.drive
        assert drive is not None
        everywhere = np.ones_like(frequency)
        found = {BY_AMPLIFIER: drive.voltage * everywhere}
        if drive.coil is not None:
            gain = np.abs(self.filtered(frequency))
            found[BY_COIL] = drive.coil / np.maximum(gain, drive.coil / (1e3 * drive.voltage))
        if drive.xmax is not None:
            # At its tuning a port without losses holds the cone still: any voltage would be borne.
            least = drive.xmax / (1e6 * drive.voltage)
            found[BY_TRAVEL] = drive.xmax / np.maximum(self.excursion_per_volt(frequency), least)
        if drive.port_area is not None and drive.port_speed is not None:
            found[BY_PORT] = drive.port_speed / np.maximum(self.port_speed_per_volt(frequency), 1e-12)
        return found


@dataclass(frozen=True, kw_only=True)
class Most:
    """The most a study gives: dB SPL at 1 m in half space, by each limit alone, and what limits."""

    level: FloatArray
    by_limit: Mapping[str, FloatArray]
    limit: tuple[str, ...]


def most_of(study: Study, frequency: FloatArray) -> Most:
    """What a study can give at frequencies, Hz; it needs a drive."""
    bounds = study.bounds(frequency)
    names, per_volt = list(bounds), study.level_per_volt(frequency)
    allowed = np.stack(list(bounds.values()))
    by_limit = {name: per_volt + decibels.level(bound) for name, bound in bounds.items()}
    tightest = np.argmin(allowed, axis=0)
    return Most(
        level=per_volt + decibels.level(np.min(allowed, axis=0)),
        by_limit=by_limit,
        limit=tuple(names[place] for place in tightest.tolist()),
    )


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """How a drive uses the cone's travel up, from 1 Hz on. None where the travel is not known.

    ``excursion``: m, the largest at the amplifier's voltage. ``voltage``: V RMS at which it just reaches
    Xmax. ``inside_from``: Hz, above which it stays inside at full voltage, 1 or more.
    """

    excursion: float
    voltage: float | None
    inside_from: float | None


def stroke_of(study: Study) -> Stroke:
    """The stroke of a study with a drive."""
    drive = study.drive
    assert drive is not None
    largest = float(np.max(study.excursion_per_volt(study.searched)))
    if drive.xmax is None:
        return Stroke(excursion=largest * drive.voltage, voltage=None, inside_from=None)
    inside = boxes.last_above(study.excursion_per_volt, SEARCHED, drive.xmax / drive.voltage)
    return Stroke(
        excursion=largest * drive.voltage,
        voltage=drive.xmax / largest,
        inside_from=float(SEARCHED[0]) if inside is None else inside,
    )


def lowest_high_pass(study: Study, family: str, slope: float) -> float | None:
    """Hz, the lowest corner of a high-pass behind which the cone keeps inside its travel at full voltage.

    None where it needs none, where even 2 kHz is not enough, or where the travel is not known; 5 Hz is the
    lowest looked at. A high-pass that the study has already is taken out.
    """
    needed = _high_pass_needed(study, family, slope)
    return None if needed is None or needed > FILTER_HIGHEST else max(needed, FILTER_LOWEST)


def _high_pass_needed(study: Study, family: str, slope: float) -> float | None:
    """Hz, the corner behind which the cone just keeps inside its travel, however high; None without need."""
    drive = study.drive
    if drive is None or drive.xmax is None:
        return None
    per_volt = sqrt(2) * np.abs(study.motion(SEARCHED).excursion)  # Without the high-pass in front.
    gain = drive.xmax / (drive.voltage * per_volt)
    far = gain < 1
    if not np.any(far):
        return None
    return float(np.max(SEARCHED[far] / filters.over_corner(*high_pass_kind(family, slope), gain[far])))


@dataclass(frozen=True, kw_only=True)
class Corner:
    """``f3``: Hz, above which a response stays within 3 dB of its flat band. ``peak``: dB over it."""

    f3: float
    peak: float


def corner_of(study: Study, *resonances: float) -> Corner:
    """By the curve, round the system's resonances (Hz); the coil's inductance and the high-pass left out."""
    bare = replace(study, high_pass=None, driver=replace(study.driver, le=0.0))
    places = np.geomspace(min(resonances) / 100, 100 * max(resonances), 3000)
    levels = bare.level(places)
    f3 = boxes.last_above(
        lambda frequency: -(levels if frequency is places else bare.level(frequency)), places, HALF_POWER
    )
    assert f3 is not None  # Far below its resonances nothing is left of a driver.
    return Corner(f3=f3, peak=max(float(np.max(levels)), 0.0))


@dataclass(frozen=True, kw_only=True)
class BoxBand:
    """One third-octave band of a driver in its box."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    response_level: Annotated[float, Output("Response", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    level: Annotated[
        float | None, Output("Most it gives, 1 m, half space", LEVEL, decimals=1, none="not known")
    ]
    limit: Annotated[str, OutputText("Stopped by")]
    level_in_cabin: Annotated[
        float | None, Output("With the cabin, an estimate", LEVEL, decimals=1, none="left out")
    ]
    excursion: Annotated[
        float | None, Output("Travel at full power", LENGTH, show="mm", figures=3, none="not known")
    ]
    port_speed: Annotated[
        float | None, Output("Air in the port at full power", SPEED, figures=3, none="no port")
    ]
    group_delay: Annotated[float, Output("Group delay", TIME, show="ms", decimals=1)]


def bands_of(study: Study) -> tuple[BoxBand, ...]:
    """From 16 to 250 Hz."""
    exact = bands.exact_third_octaves()
    names = np.asarray(bands.NOMINAL_THIRD_OCTAVES)
    kept = (names > ROW_LOWEST) & (names < ROW_HIGHEST)
    at, drive = np.extract(kept, exact), study.drive
    most = None if drive is None else most_of(study, at)
    gain, response, late = study.cabin_gain(at), study.level(at), study.delay(at)
    excursion, air = study.excursion_per_volt(at), study.port_speed_per_volt(at)
    return tuple(
        BoxBand(
            frequency=float(name),
            response_level=float(response[place]),
            level=None if most is None else float(most.level[place]),
            limit="not known" if most is None else most.limit[place],
            level_in_cabin=None
            if most is None or study.cabin is None
            else float(most.level[place] + gain[place]),
            excursion=None if drive is None else float(excursion[place]) * drive.voltage,
            port_speed=None
            if drive is None or drive.port_area is None
            else float(air[place]) * drive.voltage,
            group_delay=float(late[place]),
        )
        for place, name in enumerate(np.extract(kept, names).tolist())
    )


def coil_advice(coil: float | None, power: float | None, load: float) -> tuple[Advice, ...]:
    """A danger where the amplifier gives more volts than the coil bears, V RMS."""
    if coil is None or power is None or power * load <= coil**2:
        return ()
    text = (
        f"The amplifier gives {sqrt(power * load):.1f} V; for long the coil bears {coil:.1f} V, √(rating · "
        "its own impedance), and burns above. A smaller amplifier, or a thermal limiter set and proven 3 dB "
        f"under that, {voltage_at_level(coil, -THERMAL_SPACE):.1f} V, before any music."
    )
    return (Advice("driver_power", text, danger=True),)


def high_pass_advice(study: Study, family: str, slope: float) -> tuple[Advice, ...]:
    """A word where no high-pass that was looked at keeps the cone inside its travel."""
    needed = _high_pass_needed(study, family, slope)
    if needed is None or needed <= FILTER_HIGHEST:
        return ()
    text = (
        f"No high-pass up to 2 kHz keeps the cone inside its travel at full power, at {slope:.0f} dB/oct: "
        "less power, or a driver with more area or travel."
    )
    return (Advice("minimum_high_pass", text),)


def stroke_advice(study: Study, stroke: Stroke | None, about: str) -> tuple[Advice, ...]:
    """A word where full power asks more travel than there is."""
    drive = study.drive
    if stroke is None or drive is None or drive.xmax is None or stroke.voltage is None:
        return ()
    if stroke.excursion <= drive.xmax or stroke.inside_from is None:
        return ()
    text = (
        f"At full power the cone would travel {1e3 * stroke.excursion:.1f} mm one way; it has "
        f"{1e3 * drive.xmax:.1f} mm. That is below {stroke.inside_from:.0f} Hz: a limiter that holds "
        f"{stroke.voltage:.1f} V, a higher high-pass, or less power. More power buys nothing there."
    )
    return (Advice(about, text),)
