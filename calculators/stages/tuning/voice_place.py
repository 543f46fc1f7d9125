"""Where a voice can stand: the trade between level and delay at one seat."""

from dataclasses import dataclass
from math import asin, atan2, degrees, hypot, sqrt
from typing import Annotated

from calculators.declaring import Advice, InputError, Number, Output, calculator
from calculators.declaring.quantities import ANGLE, LENGTH, LEVEL, RATIO, TIME
from calculators.physics import air, stereo
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

# As much as left and right of a pair may be apart; more is a choice that every band must bear.
PAIR_LIMIT = 5e-5
MUCH_LEVEL = 3.0


@dataclass(frozen=True, kw_only=True)
class VoicePlace:
    """Where a voice stands, and what it costs to move it."""

    image: Annotated[float, Output("Voice stands off the nose by", LENGTH, show="cm", decimals=0, main=True)]
    image_angle: Annotated[float, Output("That is an angle of", ANGLE, decimals=1)]
    middle: Annotated[
        float, Output("Middle between the speakers, off the nose by", LENGTH, show="cm", decimals=0)
    ]
    goal: Annotated[float, Output("Place asked for, off the nose by", LENGTH, show="cm", decimals=0)]
    level_trade: Annotated[
        float, Output("To get there by level alone: far side louder at the head by", LEVEL, decimals=1)
    ]
    delay_trade: Annotated[
        float, Output("To get there by delay alone: near side later by about", TIME, show="ms", decimals=2)
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Where a voice can stand",
    example={"near": 0.86, "far": 1.38, "between": 1.36},
    sources=("clark-dutton-vanderlyn-1957", "woodworth-1938", "iso-9613-1"),
    equations=(
        "aside = (between**2 + near**2 - far**2)/(2*between)",
        "depth = sqrt(near**2 - aside**2)",
        "middle = between/2 - aside",
        "far_sine = (between - aside)/far",
        "sine = (far_sine*10**(level/20) - aside/near)/(1 + 10**(level/20))",
        "image = depth*sine/sqrt(1 - sine**2)",
        "goal = place*middle",
        "goal_sine = goal/sqrt(goal**2 + depth**2)",
        "level_trade = 20*log((goal_sine + aside/near)/(far_sine - goal_sine))/log(10)",
    ),
)
def voice_place(
    near: Annotated[
        float, Number("Near speaker to the head", LENGTH, 0.2, 5, show="cm", usual=(0.4, 2), units=("in",))
    ],
    far: Annotated[
        float, Number("Far speaker to the head", LENGTH, 0.2, 5, show="cm", usual=(0.6, 2.5), units=("in",))
    ],
    between: Annotated[
        float,
        Number("From one speaker to the other", LENGTH, 0.2, 5, show="cm", usual=(0.8, 2), units=("in",)),
    ],
    level: Annotated[
        float,
        Number(
            "Far side louder at the head by",
            LEVEL,
            -24,
            24,
            usual=(-6, 6),
            help="0: both sides equally loud.",
        ),
    ] = 0.0,
    place: Annotated[
        float,
        Number(
            "Wanted: how far to the middle",
            RATIO,
            0,
            1,
            show="%",
            help="0: straight ahead of the nose, over the wheel. 100: the middle between the speakers.",
        ),
    ] = 1.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> VoicePlace:
    """Where a voice stands that reaches one head from both sides at the same moment.

    With equal arrival and equal level it stands between the wheel and the middle, not in the middle:
    the near speaker is seen at the smaller angle. More of the far side, or a little more delay of
    the near one, moves it on, and every band must move alike. A model of low voices in the free
    field: a guide to what to expect, not a value to type.
    """
    if near > far:
        raise InputError("near", "Type the nearer of the two speakers here.")
    if not abs(far - near) < between < near + far:
        raise InputError("between", "No head can be at these two distances from speakers so far apart.")
    seat = stereo.seat(near, far, between)
    if seat.depth < 0.05:
        raise InputError("between", "This head is in line with the two speakers: check the three distances.")
    sine = stereo.image_sine(seat, level)
    middle = between / 2 - seat.aside
    goal = place * middle
    goal_sine = goal / hypot(goal, seat.depth)
    speed = air.speed_of_sound(temperature)
    delay = stereo.interaural_delay(atan2(goal, seat.depth), speed) - stereo.interaural_delay(
        asin(sine), speed
    )
    if not seat.near < goal_sine < seat.far:
        raise InputError("place", "That place lies outside the two speakers: no voice can stand there.")
    needed = stereo.level_for_sine(seat, goal_sine)
    return VoicePlace(
        image=seat.depth * sine / sqrt(1 - sine**2),
        image_angle=degrees(asin(sine)),
        middle=middle,
        goal=goal,
        level_trade=needed,
        delay_trade=delay,
        advice=_trade_advice(needed, delay),
    )


def _trade_advice(needed: float, delay: float) -> tuple[Advice, ...]:
    if abs(needed) <= MUCH_LEVEL and abs(delay) <= PAIR_LIMIT:
        return ()
    return (
        Advice(
            "place",
            "Getting there takes more than the limits of an even pair allow. It is a choice to make with the "
            "customer: move tweeter and woofer together, check that 300 Hz, 1 kHz and 3 kHz agree, and "
            "write it on the job sheet.",
        ),
    )
