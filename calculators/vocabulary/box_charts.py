"""The charts of a driver in its box: response, travel, the most it gives, group delay, air in the port."""

from math import ceil, floor

import numpy as np

from calculators.declaring import Axis, Chart, Line
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.box_studies import BY_AMPLIFIER, BY_COIL, BY_PORT, BY_TRAVEL, Study, most_of
from calculators.vocabulary.responses import level_axis, response_chart, round_axis

DEEPEST_SHOWN = 50.0
BY_LIMIT = {
    BY_TRAVEL: "By its travel alone",
    BY_AMPLIFIER: "By the amplifier alone",
    BY_COIL: "By its coil alone",
    BY_PORT: "By the air in the port alone",
}


def box_response_chart(study: Study, other: tuple[str, Study] | None = None) -> Chart:
    """Response over its flat band, with the cabin if there is one, and another design's."""
    at = study.places.at
    own = study.level(at)
    lines: dict[str, tuple[FloatArray, Line]] = {"Half space": (own, "main")}
    if study.cabin is not None:
        lines["With the cabin, an estimate"] = (own + study.cabin_gain(at), "plain")
    if other is not None:
        lines[other[0]] = (other[1].level(at), "plain")
    axis = level_axis(*(line for line, _ in lines.values()))
    return response_chart("Response", study.places, lines, axis, read_at=40.0)


def excursion_chart(study: Study, other: tuple[str, Study] | None = None) -> Chart | None:
    """Travel at the amplifier's rated power against the travel there is, mm."""
    drive = study.drive
    if drive is None:
        return None
    at = study.places.at
    lines: dict[str, tuple[FloatArray, Line]] = {
        "At full power": (1e3 * drive.voltage * study.excursion_per_volt(at), "main")
    }
    if other is not None:
        lines[other[0]] = (1e3 * drive.voltage * other[1].excursion_per_volt(at), "plain")
    if drive.xmax is not None:
        lines["Travel it has"] = (np.full_like(at, 1e3 * drive.xmax), "limit")
    axis = round_axis("Travel one way", "mm", *(line for line, _ in lines.values()), decimals=1)
    return response_chart("Travel of the cone at full power", study.places, lines, axis, read_at=40.0)


def most_chart(study: Study) -> Chart | None:
    """The most it gives at 1 m in half space, and what each limit alone would allow."""
    if study.drive is None:
        return None
    at = study.places.at
    most = most_of(study, at)
    lines: dict[str, tuple[FloatArray, Line]] = {"Most it gives": (most.level, "main")}
    if study.cabin is not None:
        lines["With the cabin, an estimate"] = (most.level + study.cabin_gain(at), "plain")
    if len(most.by_limit) > 1:
        lines |= {BY_LIMIT[name]: (level, "plain") for name, level in most.by_limit.items()}
    top = 10.0 * ceil(max(float(np.max(line)) for line, _ in lines.values()) / 10 + 1e-9)
    foot = 10.0 * floor(float(np.min(most.level)) / 10)
    axis = Axis("Level at 1 m", "dB", max(foot, top - DEEPEST_SHOWN), top)
    return response_chart("Most it gives, 1 m, half space", study.places, lines, axis, read_at=40.0)


def delay_chart(study: Study) -> Chart:
    """Group delay, ms, as the join with the doors sees it."""
    late = 1e3 * study.delay(study.places.at)
    axis = round_axis("Group delay", "ms", late, decimals=1)
    return response_chart("Group delay", study.places, {"Group delay": (late, "main")}, axis, read_at=80.0)


def port_chart(study: Study) -> Chart | None:
    """Peak speed of the air in the port at the amplifier's rated power, m/s."""
    drive = study.drive
    if drive is None or drive.port_area is None:
        return None
    at = study.places.at
    speed = drive.voltage * study.port_speed_per_volt(at)
    lines: dict[str, tuple[FloatArray, Line]] = {"At full power": (speed, "main")}
    if drive.port_speed is not None:
        lines["Most that stays quiet"] = (np.full_like(at, drive.port_speed), "limit")
    axis = round_axis("Air in the port", "m/s", *(line for line, _ in lines.values()), decimals=1)
    return response_chart("Air in the port at full power", study.places, lines, axis, read_at=30.0)
