"""The wiring schedule: every run with its size, fuse and length, and the diagram of the supply."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from calculators.declaring import (
    Advice,
    Choice,
    Diagram,
    InputError,
    Number,
    Output,
    OutputDiagram,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import AREA, CURRENT, LENGTH, RATIO, RESISTANCE, TEMPERATURE, VOLTAGE
from calculators.physics import conductors, fuses
from calculators.stages.cables import (
    AMBIENT,
    BODY,
    CONDUCTOR,
    CONDUCTOR_TEMPERATURE,
    CONFIDENCE,
    CURRENTS_NOTE,
    GAUGES,
    INSULATION,
    LOAD_FRACTION,
    SIZES,
    SUPPLY,
    TABLE,
    TABLES,
    USUAL_AMBIENT,
    size_like,
)
from calculators.stages.drawings.supply import Branch, supply_wiring

Kind = Literal["feed", "ground", "speaker", "signal"]
SMALLEST_METRES = 0.01

LEAD_TEMPERATURE, LEAD_SHARE = 20.0, 0.02
"""Speaker pairs, which stay cool, lose a fiftieth of the speaker at most. Common practice, no source."""


@dataclass(frozen=True)
class Run:
    """One cable from place to place."""

    name: Annotated[str, Text("Run", 28)]
    start: Annotated[str, Text("From", 24)]
    end: Annotated[str, Text("To", 24)]
    length: Annotated[float, Number("Length", LENGTH, SMALLEST_METRES, 50, usual=(0.1, 12), units=("ft",))]
    kind: Annotated[
        Kind,
        Choice(
            "Kind",
            {
                "feed": "feed, with a fuse at its start",
                "ground": "ground",
                "speaker": "speaker pair",
                "signal": "signal or remote",
            },
        ),
    ] = "feed"
    current: Annotated[
        float | None,
        Number("Current", CURRENT, 0.01, 500, usual=(0.1, 300), optional=True, empty="none"),
    ] = None
    area: Annotated[
        float | None,
        Number(
            "Size", AREA, 0.3e-6, 130e-6, show="mm²", optional=True, empty="choose", options=SIZES + GAUGES
        ),
    ] = None
    air: Annotated[
        float | None,
        Number("Hottest air", TEMPERATURE, -40, 120, usual=(10, 80), optional=True, empty="as below"),
    ] = None
    insulation: Annotated[str, Choice("Insulation", {"as-below": "as below", **INSULATION.options})] = (
        "as-below"
    )
    colour: Annotated[str, Text("Colour and label", 24)] = ""
    connector: Annotated[str, Text("Connector", 24)] = ""


@dataclass(frozen=True)
class RunScheduled:
    """One line of the schedule."""

    name: Annotated[str, OutputText("Run")]
    start: Annotated[str, OutputText("From")]
    end: Annotated[str, OutputText("To")]
    size: Annotated[float | None, Output("Size", AREA, show="mm²", figures=3, trim=True, none="as drawn")]
    carries: Annotated[float | None, Output("May carry", CURRENT, figures=3, none="–")]
    fuse: Annotated[float | None, Output("Fuse", CURRENT, figures=3, trim=True, none="–")]
    length: Annotated[float, Output("Length", LENGTH, decimals=2)]
    drop: Annotated[float | None, Output("Drop", VOLTAGE, decimals=3, none="–")]
    colour: Annotated[str, OutputText("Colour, label")]
    connector: Annotated[str, OutputText("Connector")]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True)
class DeviceDrop:
    """What one device loses over its whole way, out and back."""

    name: Annotated[str, OutputText("Device")]
    drop: Annotated[float, Output("Lost, out and back", VOLTAGE, decimals=3)]
    drop_fraction: Annotated[float, Output("Of the supply", RATIO, show="%", decimals=2)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True)
class SizeTotal:
    """How much of one size to bring."""

    size: Annotated[str, OutputText("Size")]
    length: Annotated[float, Output("Length in all", LENGTH, decimals=1)]
    runs: Annotated[str, OutputText("Runs")]


@dataclass(frozen=True)
class WiringSchedule:
    """The schedule, its totals and its picture."""

    verdict: Annotated[str, OutputText("Verdict", main=True)]
    runs: Annotated[tuple[RunScheduled, ...], OutputRows("Wiring schedule", copy=True)]
    devices: Annotated[tuple[DeviceDrop, ...], OutputRows("Drop at each device")]
    totals: Annotated[tuple[SizeTotal, ...], OutputRows("Cable to bring")]
    resistances: Annotated[str, OutputText("Resistances from")]
    diagram: Annotated[Diagram, OutputDiagram("Wiring diagram")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Wiring schedule",
    example={
        "runs": [
            {"name": "Main feed", "start": "Battery", "end": "Amplifier", "length": 5.8, "current": 53.7},
            {"name": "Ground", "start": "Amplifier", "end": "Body", "length": 0.5, "current": 53.7,
             "kind": "ground"},
        ],
    },
    sources=("iec-60228", "iso-8820-3", "iso-10133", "iec-60364-4-43", "common-practice"),
    cautions=("S02", "S05"),
)  # fmt: skip
def wiring_schedule(
    runs: Annotated[
        tuple[Run, ...],
        Rows(
            "Runs",
            "run",
            at_most=24,
            help="Use the same word for the same place: a run that ends there leads on to those that begin. "
            "A run that starts in an engine bay has hotter air than the rest: 60 °C or more.",
        ),
    ],
    supply: Annotated[float, SUPPLY] = 13.5,
    allowed_drop: Annotated[
        float, Number("Drop allowed, out and back", RATIO, 0.001, 0.2, show="%", usual=(0.01, 0.05))
    ] = 0.03,
    body_resistance: Annotated[float, BODY] = 0.0033,
    joint_resistance: Annotated[
        float,
        Number("Joints and fuse of each run", RESISTANCE, 0, 0.1, show="mΩ", usual=(0, 0.002)),
    ] = 0.0005,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    temperature: Annotated[float, CONDUCTOR_TEMPERATURE] = 40.0,
    ambient: Annotated[float, AMBIENT] = USUAL_AMBIENT,
    insulation: Annotated[str, INSULATION] = "general-pvc",
    table: Annotated[str, TABLE] = "class-5",
    load_fraction: Annotated[float, LOAD_FRACTION] = fuses.LOAD_FRACTION,
    speaker: Annotated[
        float, Number("Speaker, for the speaker pairs", RESISTANCE, 0.5, 32, usual=(1, 16))
    ] = 4.0,
) -> WiringSchedule:
    """Size and fuse of every run, the drop at every device, and the diagram.

    The drop allowed counts from the battery to the device and back through ground and body; runs
    left without a size share it by their length. A fuse sits at the start of every feed and is
    never above what that cable carries in the hottest air on its way. A ground is as thick as the
    feed of its device. Speaker pairs lose 2 % of the speaker at most.
    """
    plan = _Plan(
        runs, supply * allowed_drop, supply, body_resistance, joint_resistance, conductor, temperature,
        ambient, insulation, TABLES[table], load_fraction, speaker,
    )  # fmt: skip
    lines = tuple(plan.line(place) for place in range(len(runs)))
    devices = plan.devices()
    faults = [line for line in lines if line.verdict not in {"passes", "by the drawing"}]
    short = [device for device in devices if device.verdict != "passes"]
    return WiringSchedule(
        verdict="all runs pass" if not faults and not short else "does not pass: see below",
        runs=lines,
        devices=devices,
        totals=_totals(lines, plan.table),
        resistances=f"{plan.table.standard}{CONFIDENCE[plan.table.confidence]}",
        diagram=supply_wiring(plan.tree(lines)),
        advice=plan.advice(lines, devices),
    )


def _key(place: str) -> str:
    return " ".join(place.casefold().split())


class _Plan:
    """The runs as a tree, and a size for each of them."""

    def __init__(
        self, runs: Sequence[Run], allowed: float, supply: float, body: float, joint: float,
        conductor: conductors.Conductor, temperature: float, ambient: float, insulation: str,
        table: conductors.SizeTable, load_fraction: float, speaker: float,
    ) -> None:  # fmt: skip
        self.runs, self.allowed, self.supply, self.body, self.joint = runs, allowed, supply, body, joint
        self.conductor, self.temperature, self.ambient = conductor, temperature, ambient
        self.insulation, self.table = insulation, table
        self.load_fraction, self.speaker = load_fraction, speaker
        self.feeds = [place for place, run in enumerate(runs) if run.kind == "feed"]
        self.grounds = [place for place, run in enumerate(runs) if run.kind == "ground"]
        self._check()
        self.ways = {_key(runs[place].end): self._way(place) for place in self._last_feeds()}
        self.sizes: dict[int, conductors.CableSize | None] = {}
        for place in (*self.feeds, *self.grounds):
            self.sizes[place] = self._sized(place)

    def _check(self) -> None:
        if not self.feeds:
            raise InputError("runs", "At least one run must be a feed.")
        seen: dict[str, int] = {}
        for place in (*self.feeds, *self.grounds):
            run = self.runs[place]
            if run.current is None:
                raise InputError(f"runs[{place}].current", "A feed or a ground needs its current.")
            if not _key(run.start) or not _key(run.end) or _key(run.start) == _key(run.end):
                raise InputError(f"runs[{place}].end", "A run leads from one named place to another.")
            if run.kind == "feed" and _key(run.end) in seen:
                raise InputError(f"runs[{place}].end", f"Two feeds end at {run.end}: name the places apart.")
            if run.kind == "feed":
                seen[_key(run.end)] = place
        for place in (*self.feeds, *self.grounds):
            self._follow(place)

    def _follow(self, place: int) -> list[int]:
        """Feeds from the source to the end of a feed, or grounds from a ground to the body."""
        feed = self.runs[place].kind == "feed"
        chain = [place]
        while True:
            here = self.runs[chain[-1]]
            onward = [
                other
                for other in (self.feeds if feed else self.grounds)
                if (_key(self.runs[other].end) == _key(here.start)) * feed
                + (_key(self.runs[other].start) == _key(here.end)) * (not feed)
            ]
            if not onward:
                return chain[::-1] if feed else chain
            if onward[0] in chain:
                raise InputError(f"runs[{place}].end", "These runs go round in a ring.")
            chain.append(onward[0])

    def _last_feeds(self) -> list[int]:
        """Feeds that end at a device: nothing is fed from there."""
        starts = {_key(self.runs[place].start) for place in self.feeds}
        return [place for place in self.feeds if _key(self.runs[place].end) not in starts]

    def _way(self, last: int) -> list[int]:
        """All runs between the battery and a device, out and back."""
        device = _key(self.runs[last].end)
        first = next((g for g in self.grounds if _key(self.runs[g].start) == device), None)
        return self._follow(last) + ([] if first is None else self._follow(first))

    def current(self, place: int) -> float:
        """Ampere of a run that has one."""
        return self.runs[place].current or 0.0

    def _by_body(self, way: Sequence[int]) -> float:
        """Volts lost in the body on a way back that does not end at the source itself."""
        source, last = _key(self.runs[way[0]].start), self.runs[way[-1]]
        if last.kind == "ground" and _key(last.end) == source:
            return 0.0
        return self.current(way[-1]) * self.body

    def loss(self, place: int, size: conductors.CableSize) -> float:
        """Volts a run loses in one direction, its joints counted."""
        resistance = conductors.run_resistance(
            size.resistance, self.runs[place].length, self.temperature, self.conductor, self.joint
        )
        return self.current(place) * resistance

    def carries(self, place: int, area: float) -> float:
        """Ampere a cable may carry on the way of one run."""
        run = self.runs[place]
        air = self.ambient if run.air is None else run.air
        insulation = self.insulation if run.insulation == "as-below" else run.insulation
        limit = conductors.INSULATION_LIMITS[insulation]
        return conductors.continuous_current(area, limit, air, self.conductor)

    def _share(self, place: int) -> float:
        """Volts a run may lose: its part, by length, of what its tightest way has left."""
        shares = []
        for way in self.ways.values():
            if place not in way:
                continue
            open_ = [other for other in way if self.runs[other].area is None]
            given = [other for other in way if self.runs[other].area is not None]
            left = self.allowed - self._by_body(way)
            for other in given:
                left -= self.loss(other, size_like(self.runs[other].area or 0.0, self.table))
            left -= sum(self.current(other) * self.joint for other in open_)
            whole = sum(self.runs[other].length * self.current(other) for other in open_)
            if whole > 0:
                mine = self.runs[place].length * self.current(place) / whole
                shares.append(left * mine + self.current(place) * self.joint)
        return min(shares, default=self.allowed)

    def _sized(self, place: int) -> conductors.CableSize | None:
        run = self.runs[place]
        if run.area is not None:
            return size_like(run.area, self.table)
        allowed = self._share(place)
        least = self._feed_area(place) if run.kind == "ground" else 0.0
        for size in self.table.sizes:
            fits = self.loss(place, size) <= allowed * (1 + 1e-9) and size.area >= least * (1 - 1e-9)
            if fits and self._heat(place, size.area) == "passes":
                return size
        return None

    def _feed_area(self, place: int) -> float:
        """Area of the feed, or of the grounds, that a ground carries on from."""
        start = _key(self.runs[place].start)
        before = [
            self.sizes[other]
            for other in (*self.feeds, *self.grounds)
            if other in self.sizes and _key(self.runs[other].end) == start
        ]
        return max((size.area for size in before if size is not None), default=0.0)

    def _heat(self, place: int, area: float) -> str:
        carried = self.carries(place, area)
        if self.current(place) > carried:
            return "too hot"
        if self.runs[place].kind == "feed" and self.fuse(place, area) is None:
            return "too thin for its fuse"
        return "passes"

    def fuse(self, place: int, area: float) -> float | None:
        """The fuse at the start of a feed; None where the cable cannot carry the one it needs."""
        return fuses.choose_fuse(self.current(place), self.carries(place, area), self.load_fraction).rating

    def line(self, place: int) -> RunScheduled:
        """One line of the schedule."""
        run = self.runs[place]
        size, carries, fuse, drop, verdict = None, None, None, None, "by the drawing"
        if run.kind == "speaker":
            size = self._speaker_size(run)
            verdict = "passes" if size is not None else "no size is large enough"
            if size is not None and self._lead(run, size) > LEAD_SHARE * self.speaker * (1 + 1e-9):
                verdict = "over 2 % of the speaker"
        elif run.kind == "signal":
            size = None if run.area is None else size_like(run.area, self.table)
        else:
            size = self.sizes[place]
            verdict = "no size is large enough"
            if size is not None:
                drop, carries = self.loss(place, size), self.carries(place, size.area)
                fuse = self.fuse(place, size.area) if run.kind == "feed" else None
                verdict = self._heat(place, size.area)
        return RunScheduled(
            run.name, run.start, run.end, None if size is None else size.area, carries, fuse, run.length,
            drop, run.colour, run.connector, verdict,
        )  # fmt: skip

    def _lead(self, run: Run, size: conductors.CableSize) -> float:
        return conductors.run_resistance(size.resistance, 2 * run.length, LEAD_TEMPERATURE, self.conductor)

    def _speaker_size(self, run: Run) -> conductors.CableSize | None:
        if run.area is not None:
            return size_like(run.area, self.table)
        fitting = (size for size in self.table.sizes if self._lead(run, size) <= LEAD_SHARE * self.speaker)
        return next(fitting, None)

    def devices(self) -> tuple[DeviceDrop, ...]:
        """The whole drop of each device; one whose runs have no size is left at what is known."""
        rows = []
        for last in self._last_feeds():
            way = self.ways[_key(self.runs[last].end)]
            sizes = [self.sizes[place] for place in way]
            lost = self._by_body(way) + sum(
                self.loss(place, size) for place, size in zip(way, sizes, strict=True) if size is not None
            )
            verdict = "passes" if lost <= self.allowed * (1 + 1e-9) else "loses too much"
            if None in sizes:
                verdict = "no size is large enough"
            rows.append(DeviceDrop(self.runs[last].end, lost, lost / self.supply, verdict))
        return tuple(rows)

    def tree(self, lines: Sequence[RunScheduled]) -> tuple[Branch, ...]:
        """The runs as the diagram wants them."""
        ends = {_key(self.runs[place].end) for place in self.feeds}
        roots: dict[str, str] = {}
        for place in self.feeds:
            start = self.runs[place].start
            if _key(start) not in ends:
                roots.setdefault(_key(start), start)
        return tuple(Branch(name, branches=self._branches(key, lines, set())) for key, name in roots.items())

    def _branches(self, key: str, lines: Sequence[RunScheduled], drawn: set[int]) -> tuple[Branch, ...]:
        found = []
        for place in (*self.feeds, *self.grounds):
            run, line = self.runs[place], lines[place]
            if _key(run.start) != key or place in drawn:
                continue
            drawn.add(place)
            area = "no size" if line.size is None else f"{line.size * 1e6:.3g} mm²"
            fuse = "no fuse!" if line.fuse is None else f"fuse {line.fuse:g} A"
            ground = run.kind == "ground"
            onward = self._branches(_key(run.end), lines, drawn)
            words = f"{area}, {run.length:.3g} m"
            found.append(Branch(run.end, words, run.name, "" if ground else fuse, ground, onward))
        return tuple(found)

    def advice(self, lines: Sequence[RunScheduled], devices: Sequence[DeviceDrop]) -> tuple[Advice, ...]:
        """What could burn first, then what starves, then what to check."""
        found = []
        for place, line in enumerate(lines):
            if line.verdict in {"too hot", "too thin for its fuse"}:
                found.append(
                    Advice(
                        f"runs[{place}].area",
                        f"{line.name}: this cable is {line.verdict}. It may carry {line.carries:.3g} A. "
                        "Fit a larger cable, or one whose insulation bears more heat; never a larger fuse.",
                        danger=True,
                    )
                )
            elif line.verdict == "no size is large enough":
                found.append(
                    Advice(f"runs[{place}].area", f"{line.name}: no size is large enough.", danger=True)
                )
        for device in devices:
            if device.verdict == "loses too much":
                found.append(
                    Advice("devices", f"{device.name} loses {device.drop_fraction:.1%} of the supply.")
                )
        found += self._overloaded()
        grounded = {_key(self.runs[place].start) for place in self.grounds}
        for last in self._last_feeds():
            if _key(self.runs[last].end) not in grounded:
                found.append(
                    Advice(
                        "runs",
                        f"{self.runs[last].end} has no ground run: its way back is counted as body alone.",
                    )
                )
        found.append(Advice("runs", CURRENTS_NOTE))
        return tuple(found)

    def _overloaded(self) -> list[Advice]:
        """Feeds that hand on more current than they are planned for."""
        found = []
        for place in self.feeds:
            end = _key(self.runs[place].end)
            handed = sum(self.current(other) for other in self.feeds if _key(self.runs[other].start) == end)
            if handed > self.current(place) * (1 + 1e-9):
                words = f"planned for {self.current(place):.4g} A, it hands on {handed:.4g} A."
                found.append(Advice(f"runs[{place}].current", f"{self.runs[place].name}: {words}"))
        return found


def _totals(lines: Sequence[RunScheduled], table: conductors.SizeTable) -> tuple[SizeTotal, ...]:
    """Metres to bring of each size; a speaker pair counts once, as a pair."""
    metres: dict[float, float] = {}
    names: dict[float, list[str]] = {}
    for line in lines:
        if line.size is not None:
            metres[line.size] = metres.get(line.size, 0.0) + line.length
            names.setdefault(line.size, []).append(line.name)
    return tuple(
        SizeTotal(size_like(area, table).name, metres[area], ", ".join(names[area]))
        for area in sorted(metres)
    )
