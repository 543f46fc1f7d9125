"""What all cables share: their inputs, and what is said of sheath, voltage and body."""

from dataclasses import replace

from calculators.declaring import Advice, Choice, Number
from calculators.declaring.quantities import COUNT, LENGTH, RATIO, RESISTANCE, TEMPERATURE, VOLTAGE
from calculators.physics import conductors, fuses

TABLES = {
    "class-5": conductors.FLEXIBLE_SIZES,
    "class-5-tinned": conductors.TINNED_FLEXIBLE_SIZES,
    "iso-6722": conductors.VEHICLE_SIZES,
    "gauge": conductors.GAUGE_SIZES,
}

CONFIDENCE = {
    "published": "",
    "memory": " (from memory: check the cable's data sheet)",
    "common-practice": " (stranding by common practice, no source: check the cable's data sheet)",
}

CURRENTS_NOTE = (
    "The current a cable may carry is a planning figure for cable under carpet, common practice kept "
    "under ISO 10133 from memory: check the cable's data sheet."
)

# Rounded to what is typed: 2.5 mm² is 2.5e-6 m², not a hair less.
SIZES = tuple((size.name, round(size.area, 12)) for size in conductors.FLEXIBLE_SIZES.sizes)

GAUGES = tuple(
    (f"{size.name} ({size.area * 1e6:.3g} mm²)", size.area) for size in conductors.GAUGE_SIZES.sizes
)

CONDUCTOR = Choice(
    "Conductor",
    {"copper": "copper", "copper-clad-aluminium": "copper-clad aluminium"},
    help="Scrape a strand: silver under the copper is aluminium.",
)

INSULATION = Choice(
    "Sheath",
    {
        "general-pvc": "PVC, or unknown: 70 °C",
        "vehicle-class-a": "vehicle class A: 85 °C",
        "vehicle-class-b": "vehicle class B: 100 °C",
        "boat-cable": "boat cable: 105 °C",
        "vehicle-class-c": "vehicle class C: 125 °C",
        "vehicle-class-d": "vehicle class D: 150 °C",
        "silicone": "silicone: 180 °C",
        "silicone-200": "silicone, 200 °C printed on it",
    },
    help="Read it off the sheath; if nothing is printed there, choose PVC, or unknown: 70 °C.",
)

LOADED_TEMPERATURE = Number(
    "Temperature of the conductor",
    TEMPERATURE,
    -40,
    200,
    usual=(0, 125),
    optional=True,
    empty="by its air and its load",
    units=("°F",),
    seldom=True,
)

TABLE = Choice(
    "Resistances from",
    {
        "class-5": "IEC 60228 class 5, plain copper",
        "class-5-tinned": "IEC 60228 class 5, tinned copper",
        "iso-6722": "ISO 6722-1 vehicle cable, from memory",
        "gauge": "wire gauge (ASTM B258)",
    },
    seldom=True,
)

RETURN = Choice(
    "Return",
    {"cable": "by cable, both ways counted", "body": "by the body"},
)

SUPPLY = Number("Supply at the battery", VOLTAGE, 6, 60, usual=(11, 15.5))

CONDUCTOR_TEMPERATURE = Number(
    "Temperature of the conductor", TEMPERATURE, -40, 125, usual=(0, 90), units=("°F",), seldom=True
)

BODY = Number(
    "Resistance of the body",
    RESISTANCE,
    0,
    0.1,
    show="mΩ",
    usual=(0.0001, 0.0034),
    help="Counts where the return is by the body: volts lost from the ground cable's lug on it to battery "
    "negative, over the ampere that lost them.",
)

MEASURED_BODY = replace(BODY, optional=True, empty="not measured: 3.3 mΩ, the limit")
BODY_LIMIT = 0.0033
"""Ohm of a body that counts as good: common practice, no source. Taken where none was measured."""

GROUND_CABLE = Number(
    "Ground cable, amplifier to body",
    LENGTH,
    0,
    10,
    usual=(0, 1),
    optional=True,
    empty="0.5 m where the body is the return",
    units=("ft",),
    help="Counts where the return is by the body, which is measured behind it. As thick as the feed.",
    seldom=True,
)
USUAL_GROUND = 0.5
"""Metres of a ground cable: the most that counts as short. Common practice, no source."""

JOINT = 0.0005
"""Ohm of one cable's joints: a fuse with its holder, and two crimps. Common practice, no source."""

TOGETHER = Number(
    "Loaded cables in one sleeve",
    COUNT,
    1,
    12,
    usual=(1, 6),
    whole=True,
    help="This one counted. A feed and its return are two.",
    seldom=True,
)

EXTRA = Number(
    "Joints and fuses add",
    RESISTANCE,
    0,
    0.5,
    show="mΩ",
    usual=(0, 0.01),
    help="About 0.5 mΩ for each cable, out and back: a fuse with its holder 0.4, two crimps 0.05 each.",
    seldom=True,
)

JOINTS = replace(EXTRA, optional=True, empty="0.5 mΩ a cable, out and back")

FUSE_LOAD = Number(
    "Load as part of the fuse",
    RATIO,
    0.5,
    1,
    show="%",
    usual=(0.7, 0.8),
    help="A fuse that carries more than 80 % of its rating for hours tires and opens.",
    seldom=True,
)


def joints_counted(return_: str, extra: float | None) -> float:
    """Ohm of joints and fuses: as typed, or of each cable of the way. Those of a ground to the body are
    in the body's figure."""
    if extra is not None:
        return extra
    return JOINT if return_ == "body" else 2 * JOINT


def ground_counted(return_: str, ground: float | None) -> float:
    """Metres of ground cable where the body is the way back: as typed, or a short one. Else none."""
    if return_ != "body":
        return 0.0
    return USUAL_GROUND if ground is None else ground


def body_counted(return_: str, body_resistance: float | None) -> float:
    """Ohm of the body where it is the way back: as measured, or the most that counts as good."""
    if return_ != "body":
        return 0.0
    return BODY_LIMIT if body_resistance is None else body_resistance


def sheath_advice(limit: float, ambient: float) -> list[Advice]:
    """Danger where no size can help, because the sheath does not stand the air."""
    if ambient < limit:
        return []
    return [
        Advice(
            "insulation",
            f"This sheath ends at {limit:.0f} °C and the air is {ambient:.0f} °C: no size of it will do. "
            "Take a cable with another sheath, or another route.",
            danger=True,
        )
    ]


def voltage_advice(supply: float, fuse_type: fuses.FuseType | None = None) -> list[Advice]:
    """What a supply above 16 V asks of its fuses; above what they are made for, a danger.

    ``fuse_type`` is the one judged; None for fuses of any kind.
    """
    if supply <= fuses.CAR_SUPPLY:
        return []
    made_for = fuses.BLADE.voltage
    if supply <= made_for:
        return [
            Advice(
                "supply",
                f"Fuse, holder and every device must be made for this voltage: blade fuses are for "
                f"{made_for:.0f} V (ISO 8820-3), most strips too; read it on them. In a 24 V vehicle take "
                "12 V from a converter, never from one battery of the pair.",
            )
        ]
    blade = fuse_type in (None, fuses.BLADE)
    return [
        Advice(
            "supply",
            f"{f'No blade fuse above {made_for:.0f} V: its arc would not go out. ' if blade else ''}"
            f"Most strip fuses are made for {made_for:.0f} V as well: only one whose body and sheet name "
            "your voltage or more, such as 58 or 70 V, in a holder made for it. The 48 V of a mild hybrid "
            "is not tapped at all: take 12 V, which its converter keeps alive.",
            danger=True,
        )
    ]


def size_like(area: float, table: conductors.SizeTable) -> conductors.CableSize:
    """The table's size of that area; one between sizes counts with a flexible cable's resistance."""
    for size in (*table.sizes, *conductors.GAUGE_SIZES.sizes):
        if abs(size.area / area - 1) < 1e-6:
            return size
    ideal = conductors.ideal_resistance(area)
    return conductors.CableSize(f"{area * 1e6:.3g} mm²", area, ideal * conductors.GAUGE_STRANDING_RATIO)
