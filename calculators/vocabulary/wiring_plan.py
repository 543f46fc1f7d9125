"""The runs of a vehicle's wiring as one network: who carries what, how thick, behind which fuse."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Literal

import numpy as np

from calculators.declaring import Choice, InputError, Number, Text
from calculators.declaring.quantities import AREA, CURRENT, LENGTH, TEMPERATURE
from calculators.physics import conductors, dc_networks, fuses
from calculators.vocabulary.cabling import GAUGES, INSULATION, SIZES, size_like
from calculators.vocabulary.names import name_key
from calculators.vocabulary.surroundings import ROUTE_AIR

RunKind = Literal["feed", "capacitor", "ground", "speaker", "wake-up", "signal"]
SMALLEST_METRES = 0.01
LEAD_TEMPERATURE, LEAD_SHARE = 20.0, 0.02
"""Speaker pairs, which stay cool, lose a fiftieth of the speaker at most. Common practice, no source."""

TYPED_TOLERANCE = 0.01
"""A typed current that agrees this well with the computed one is the same, rounded."""

UNSENSED = 1e-9
"""Part of a current under which none of it runs through a cable."""


@dataclass(frozen=True)
class Run:
    """One cable from place to place."""

    name: Annotated[str, Text("Run", 28)]
    start: Annotated[str, Text("From", 24)]
    end: Annotated[str, Text("To", 24)]
    length: Annotated[float, Number("Length", LENGTH, SMALLEST_METRES, 50, usual=(0.1, 12), units=("ft",))]
    kind: Annotated[
        RunKind,
        Choice(
            "Kind",
            {
                "feed": "feed, with a fuse at its start",
                "capacitor": "leg of a capacitor, its fuse beside it: flows for seconds",
                "ground": "ground",
                "speaker": "speaker pair",
                "wake-up": "wake-up or turn-on line, with a fuse at the tap",
                "signal": "signal: carries no supply",
            },
        ),
    ] = "feed"
    current: Annotated[
        float | None,
        Number("Current", CURRENT, 0.01, 500, usual=(0.1, 300), optional=True, empty="not typed"),
    ] = None
    area: Annotated[
        float | None,
        Number(
            "Size", AREA, 0.3e-6, 130e-6, show="mm²", optional=True, empty="choose", options=SIZES + GAUGES
        ),
    ] = None
    air: Annotated[
        float | None,
        Number("Hottest air", TEMPERATURE, -40, 120, usual=(10, 105), optional=True, empty="as below"),
    ] = None
    insulation: Annotated[str, Choice("Sheath", {"as-below": "as below", **INSULATION.options})] = "as-below"
    colour: Annotated[str, Text("Colour and label", 24)] = ""
    connector: Annotated[str, Text("Connector", 24)] = ""


NO_SIZE = "no size is large enough"
BURNS = ("too hot", "too thin for its fuse", "thinner than its feed", NO_SIZE)
UNPLANNED = ("hands on more than planned", "carries more than planned")
"""Verdicts that are dangers: a cable that may burn, and a current that nobody planned for."""

ONE_END, NO_AIR, PAST_SENSOR = "fused at one end only", "type its hottest air", "goes round the sensor"
"""Verdicts on a run whose size is right: a second source at its far end, and a heat nobody has said, are
dangers; a ground on the battery's post is not."""


class Node(Enum):
    """Nodes of the network besides the places: both poles of the battery, and the body."""

    SOURCE = 1
    BODY = 2


COLD = 20.0
"""Degrees Celsius of a cable that is measured."""

SETTLING_ROUNDS = 50
"""Rounds that grounds side by side get to share their current anew; all else settles in two."""


def is_battery(place: str) -> bool:
    """Whether a place is called a battery: "Second battery", "Batt. 2", "Battery minus post"."""
    return any(word.startswith(("batt", "accu")) for word in name_key(place).split())


class Plan:
    """The runs as a network, and a size for each of them. A run is known by its place in the list."""

    def __init__(
        self, runs: Sequence[Run], supply: float, allowed: float, body: float, joint: float,
        conductor: conductors.Conductor, ambient: float, insulation: str,
        table: conductors.SizeTable, load_fraction: float, speaker: float,
    ) -> None:  # fmt: skip
        """Solve and size it all, in SI units and °C; ``body``, ``joint`` and ``speaker`` are ohm.

        ``allowed`` are the volts a device may lose. Raises `InputError` for runs that make no sense.
        """
        self.runs, self.supply, self.allowed, self.body, self.joint = runs, supply, allowed, body, joint
        self.conductor, self.ambient, self.insulation = conductor, ambient, insulation
        self.table, self.load_fraction, self.speaker = table, load_fraction, speaker
        live = [place for place, run in enumerate(runs) if self._live(run)]
        self.grounds = [place for place, run in enumerate(runs) if run.kind == "ground"]
        self.live = sorted(live, key=lambda place: runs[place].kind == "wake-up")
        self._check_ends()
        # The run that supplies a place: its feed, or where it has none, a wake-up line.
        self.suppliers: dict[str, int] = {}
        for place in self.live:
            self.suppliers.setdefault(name_key(runs[place].end), place)
        self.sources = {name_key(runs[place].start) for place in live} - set(self.suppliers)
        self._check_rings()
        self.planned = {place: self._planned(place) for place in self.live}
        self._check_currents()
        self._solve({place: runs[place].length for place in self.wired()})
        self.sizes: dict[int, conductors.CableSize | None] = {}
        for place in self.wired():
            self.sizes[place] = self._sized(place)
        self._settle()

    @staticmethod
    def _live(run: Run) -> bool:
        """Whether a run carries the battery's voltage."""
        return run.kind in {"feed", "capacitor", "wake-up"}

    def wired(self) -> list[int]:
        """Runs of the network: out, then back."""
        return [*self.live, *self.grounds]

    def upstream_first(self) -> list[int]:
        """All runs: those from a source, what they hand on to, the ways back, and then the rest."""
        order = [place for place in self.live if self.plus(place) == Node.SOURCE]
        for place in order:  # It grows by what each run hands on to.
            order += self.onward(place)
        return [*order, *self.grounds, *sorted(set(range(len(self.runs))) - {*order, *self.grounds})]

    # What makes no sense.

    def _check_ends(self) -> None:
        fed: set[str] = set()
        for place in self.wired():
            run = self.runs[place]
            start, end = name_key(run.start), name_key(run.end)
            if not start or not end or start == end:
                raise InputError(f"runs[{place}].end", "A run leads from one named place to another.")
            if run.kind in {"feed", "capacitor"} and end in fed:
                words = (
                    f"Two feeds end at {run.end}: name the places apart. Feeds are never joined at a device."
                )
                raise InputError(f"runs[{place}].end", words)
            if run.kind in {"feed", "capacitor"}:
                fed.add(end)
        if not fed:
            raise InputError("runs", "At least one run must be a feed.")

    def _check_rings(self) -> None:
        """Every live run comes from a source, every ground leads home."""
        steps = [(self.runs[place].end, self.runs[place].start, place) for place in self.live]
        self._reach(steps, self.sources)
        steps = [(self.runs[place].start, self.runs[place].end, place) for place in self.grounds]
        homes = {name_key(far) for _, far, _ in steps} - {name_key(near) for near, _, _ in steps}
        self._reach(steps, self.sources | homes)

    @staticmethod
    def _reach(steps: Sequence[tuple[str, str, int]], ends: set[str]) -> None:
        """Refuse what never gets to one of the ``ends``; a step leads from a near to a far place."""
        reached = set(ends)
        while found := {name_key(near) for near, far, _ in steps if name_key(far) in reached} - reached:
            reached |= found
        for _, far, place in steps:
            if name_key(far) not in reached:
                raise InputError(f"runs[{place}].end", "These runs go round in a ring.")

    def _check_currents(self) -> None:
        ends = {name_key(self.runs[place].end) for place in self.live} | self.sources
        ends |= {name_key(self.runs[place].end) for place in self.grounds}
        for place, run in enumerate(self.runs):
            if run.kind == "signal" and run.current is not None:
                words = (
                    "A signal carries no supply. A line that does, and has a current, is a wake-up or "
                    "turn-on line: choose that, and it gets its fuse."
                )
                raise InputError(f"runs[{place}].kind", words)
        for place in self.wired():
            run = self.runs[place]
            if run.current is None and place in self.planned and not self.onward(place):
                words = "This feed ends at a device: it needs its current, what the device draws."
                if run.kind == "wake-up":
                    words = "A wake-up line carries the battery's voltage: its fuse goes by its current."
                raise InputError(f"runs[{place}].current", words)
            if run.kind == "ground" and run.current is None and name_key(run.start) not in ends:
                words = (
                    f"Nothing arrives at {run.start}: a ground needs its current, or the name of its device."
                )
                raise InputError(f"runs[{place}].current", words)

    # Currents.

    def onward(self, place: int) -> list[int]:
        """Live runs that go on from the end of one."""
        end = name_key(self.runs[place].end)
        if self.suppliers[end] != place:
            return []
        return [other for other in self.live if name_key(self.runs[other].start) == end]

    def _planned(self, place: int) -> float:
        """Ampere of a live run for hours: what it hands on, or what was typed for it if that is more."""
        handed = sum(self._planned(other) for other in self.onward(place))
        run = self.runs[place]
        return handed if run.kind == "capacitor" else max(handed, run.current or 0.0)

    def _burst(self, place: int) -> float:
        """Ampere that capacitors add to a live run for seconds, when they fill or give."""
        run = self.runs[place]
        own = run.current or 0.0 if run.kind == "capacitor" else 0.0
        return own + sum(self._burst(other) for other in self.onward(place))

    def drawn(self, place: int) -> float:
        """Ampere drawn where a live run ends."""
        handed = sum(self.planned[other] for other in self.onward(place))
        left = self.planned[place] - handed
        # 55.1 less 54 and 1.1 is a hair off nothing in binary.
        return left if left > UNSENSED * self.planned[place] else 0.0

    def plus(self, place: int) -> Hashable:
        """Node that a live run starts from."""
        start = name_key(self.runs[place].start)
        return Node.SOURCE if start in self.sources else self.suppliers[start]

    def minus(self, place_name: str) -> Hashable:
        """Node of a place on the way home: where no ground leads on, the body."""
        key = name_key(place_name)
        if key in self.sources or is_battery(key):
            return Node.SOURCE
        starts = {name_key(self.runs[place].start) for place in self.grounds}
        return key if key in starts else Node.BODY

    def solved(self, ohms: dict[int, float]) -> dc_networks.Flow:
        """The whole network with these resistances, in ohm by run."""
        wired = self.wired()
        resistors = [
            dc_networks.Resistor(self.plus(place), place, ohms[place])
            if place in self.planned
            else dc_networks.Resistor(
                self.minus(self.runs[place].start), self.minus(self.runs[place].end), ohms[place]
            )
            for place in wired
        ]
        resistors.append(dc_networks.Resistor(Node.BODY, Node.SOURCE, self.body))
        loads = [
            dc_networks.Load(place, self.minus(self.runs[place].end), self.drawn(place))
            for place in self.live
        ]
        return dc_networks.solve(resistors, loads, Node.SOURCE)

    def _solve(self, ohms: dict[int, float]) -> None:
        """Current of each run, the live runs whose ends' currents it carries, and the whole solution."""
        wired = self.wired()
        self.flow = self.solved(ohms)
        self.currents = {place: abs(float(self.flow.currents[row])) for row, place in enumerate(wired)}
        carried = np.abs(self.flow.shares) > UNSENSED
        self.served = {
            place: {self.live[column] for column in np.flatnonzero(carried[row])}
            for row, place in enumerate(wired)
        }

    def _settle(self) -> None:
        """Warm every conductor by its current. Grounds side by side share anew as they warm."""
        for _ in range(SETTLING_ROUNDS):
            before = self.currents
            self.ohms = {place: self._ohms(place, self._taken(place)) for place in self.wired()}
            self._solve(self.ohms)
            if all(abs(now - before[place]) <= 1e-12 * now for place, now in self.currents.items()):
                break

    @property
    def body_current(self) -> float:
        """Ampere that come home by the body: the last resistor of the network."""
        return abs(float(self.flow.currents[-1]))

    def need(self, place: int) -> float:
        """Ampere a run is judged by: what it carries, or what was typed for it if that is more."""
        return max(self.currents[place], self.runs[place].current or 0.0)

    # Sizes.

    def air(self, place: int) -> float:
        """Degrees Celsius of the hottest air of a run."""
        air = self.runs[place].air
        return self.ambient if air is None else air

    def limit(self, place: int) -> float:
        """Degrees Celsius that the sheath of a run bears."""
        sheath = self.runs[place].insulation
        return conductors.INSULATION_LIMITS[self.insulation if sheath == "as-below" else sheath]

    def _taken(self, place: int) -> conductors.CableSize:
        """The size of a run; the largest there is stands in for one that has none."""
        return self.sizes[place] or self.table.sizes[-1]

    def _ohms(self, place: int, size: conductors.CableSize) -> float:
        """Ohm of a run, joints counted, as warm as its current makes it."""
        warm = conductors.loaded_temperature(
            size.area, self.currents[place], self.air(place), self.limit(place), self.conductor
        )
        return self._at(place, size, warm)

    def _at(self, place: int, size: conductors.CableSize, warm: float) -> float:
        """Ohm of a run at a temperature in degrees Celsius, joints counted."""
        length = self.runs[place].length
        return conductors.run_resistance(size.resistance, length, warm, self.conductor, self.joints(place))

    def joints(self, place: int) -> float:
        """Ohm of a run's fuse and joints. A ground to the body has no fuse, and the body is measured at its
        lug: its joint is in the body's figure."""
        run = self.runs[place]
        return 0.0 if run.kind == "ground" and self.minus(run.end) is Node.BODY else self.joint

    def cold(self, place: int) -> float:
        """Ohm of a run at 20 degrees Celsius: what a meter shows before anything is loaded."""
        return self._at(place, self._taken(place), COLD)

    def _loss(self, place: int, size: conductors.CableSize) -> float:
        """Volts a run of that size would lose."""
        return self.currents[place] * self._ohms(place, size)

    def carries(self, place: int, area: float) -> float:
        """Ampere a cable may carry on the way of one run."""
        return conductors.continuous_current(area, self.limit(place), self.air(place), self.conductor)

    def lost_in_body(self, device: int) -> float:
        """Volts that the body takes from a device; 0 for one that comes home by cables alone."""
        by_body = abs(float(self.flow.shares[-1, self.live.index(device)]))
        return by_body * self.body_current * self.body

    def _share(self, place: int) -> float:
        """Volts a run may lose: its part, by length, of what its tightest device has left."""
        shares = []
        for device in self.devices():
            way = [other for other in self.wired() if device in self.served[other]]
            if place not in way:
                continue
            open_ = [other for other in way if self.runs[other].area is None]
            left = self.allowed - self.lost_in_body(device)
            for other in way:
                area = self.runs[other].area
                if area is not None:
                    left -= self._loss(other, size_like(area, self.table))
            left -= sum(self.currents[other] * self.joints(other) for other in open_)
            whole = sum(self.runs[other].length * self.currents[other] for other in open_)
            if whole > 0:
                mine = self.runs[place].length * self.currents[place] / whole
                shares.append(left * mine + self.currents[place] * self.joints(place))
        return min(shares, default=self.allowed)

    def devices(self) -> list[int]:
        """Feeds that end where something is drawn."""
        return [place for place in self.live if self.runs[place].kind == "feed" and self.drawn(place)]

    def _sized(self, place: int) -> conductors.CableSize | None:
        """The size typed, or the smallest one with nothing wrong. Grounds come after all feeds."""
        area = self.runs[place].area
        if area is not None:
            return size_like(area, self.table)
        allowed = self._share(place)
        for size in self.table.sizes:
            fits = self._loss(place, size) <= allowed * (1 + 1e-9)
            if fits and self.fault(place, size.area) in {"passes", *UNPLANNED}:
                return size
        return None

    def fuse(self, place: int) -> float | None:
        """The fuse that a run's current asks for, whatever its cable; None above the largest there is.

        What flows for hours is a part of it; with the burst of a capacitor it may be all of it.
        """
        hours = self.planned.get(place, self.need(place))
        burst = self._burst(place) if place in self.planned else 0.0
        asked = max(hours, (hours + burst) * self.load_fraction)
        return fuses.choose_fuse(asked, fuses.FUSE_RATINGS[-1], self.load_fraction).rating

    def _let_through(self, place: int, served: set[int]) -> float:
        """Ampere that fuses let through to faults where the ``served`` runs end, by this run."""
        own = self.fuse(place) or self.need(place)
        if place in served:
            return own
        return min(own, sum(self._let_through(other, served) for other in self.onward(place)))

    def guard(self, place: int) -> float:
        """Ampere of fuse a run stands behind: its own, or for a ground those of all that comes home by it."""
        own = self.fuse(place) or self.need(place) if self.need(place) > 0 else 0.0
        if place in self.planned:
            in_front = self.suppliers.get(name_key(self.runs[place].start))
            if self.runs[place].kind == "capacitor" and in_front is not None:
                # Its fuse sits beside the capacitor: up to there the fuse in front guards the leg.
                return max(own, self.fuse(in_front) or self.need(in_front))
            return own
        first = [other for other in self.live if self.plus(other) == Node.SOURCE]
        arriving = sum(self._let_through(other, self.served[place]) for other in first)
        # More current than arrives was typed: something that is not on the list comes home here too.
        foreign = self.need(place) > self.currents[place] * (1 + TYPED_TOLERANCE)
        return max(arriving, own) if foreign else arriving

    def _feed_area(self, place: int) -> float:
        """Area of the thickest feed whose current a ground brings home; 0 for what is no ground."""
        if place in self.planned:
            return 0.0
        feeds = (self.sizes[other] for other in self.served[place])
        return max((size.area for size in feeds if size is not None), default=0.0)

    def fault(self, place: int, area: float) -> str:
        """What is wrong with a run of some area, what could burn first."""
        carried = self.carries(place, area)
        typed = self.runs[place].current
        if self.need(place) > carried:
            return "too hot"
        if self.guard(place) > carried:
            return "too thin for its fuse"
        if area < self._feed_area(place) * (1 - 1e-9):
            return "thinner than its feed"
        if typed is not None and typed < self.currents[place] * (1 - TYPED_TOLERANCE):
            return "hands on more than planned" if place in self.planned else "carries more than planned"
        return "passes"

    def unsaid(self, place: int) -> str:
        """What a run of the right size still lacks: a second fuse, its air, a way past the sensor."""
        run = self.runs[place]
        from_source = name_key(run.start) in self.sources
        if place not in self.planned:
            ends = (run.start, run.end)
            return PAST_SENSOR if any(self.on_battery(end) for end in ends) else "passes"
        if is_battery(run.end) or (run.kind == "capacitor" and from_source):
            return ONE_END
        leaves = from_source and (run.kind != "wake-up" or is_battery(run.start))
        if leaves and run.air is None and self.ambient < ROUTE_AIR["engine-bay"]:
            return NO_AIR
        return "passes"

    def on_battery(self, place_name: str) -> bool:
        """Whether a place is a battery's post."""
        return is_battery(place_name) or name_key(place_name) in self.sources

    def grounded(self, place: int) -> bool:
        """Whether a ground leads on from where a live run ends."""
        end = name_key(self.runs[place].end)
        return end in {name_key(self.runs[ground].start) for ground in self.grounds}

    def ungrounded(self, place: int) -> bool:
        """Whether a run ends at a device, or at a capacitor, that no ground leads on from."""
        run = self.runs[place]
        hands_on = any(self.runs[other].kind != "wake-up" for other in self.onward(place))
        device = run.kind == "capacitor" or (run.kind == "feed" and self.drawn(place) > 0 and not hands_on)
        return device and not self.grounded(place)

    def speaker_pair(self, place: int) -> tuple[conductors.CableSize | None, str]:
        """Size and verdict of a speaker pair, which no fuse guards."""
        run = self.runs[place]
        tried = self.table.sizes if run.area is None else (size_like(run.area, self.table),)
        size, verdict = None, NO_SIZE
        for size in tried:
            lost = conductors.run_resistance(
                size.resistance, 2 * run.length, LEAD_TEMPERATURE, self.conductor
            )
            if run.current is not None and run.current > self.carries(place, size.area):
                verdict = "too hot"
            elif lost > LEAD_SHARE * self.speaker * (1 + 1e-9):
                verdict = "over 2 % of the speaker"
            else:
                return size, "passes" if run.current is not None else "type its current"
        return (None, NO_SIZE) if run.area is None else (size, verdict)
