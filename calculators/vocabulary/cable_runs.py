"""A run of cable whose size is not yet known: what each size would do, and what is said of it."""

from dataclasses import dataclass
from typing import Literal

from calculators.declaring import Advice
from calculators.physics import conductors
from calculators.vocabulary.cabling import CONFIDENCE, CURRENTS_NOTE, sheath_advice, voltage_advice

Verdict = Literal["passes", "drops too much", "too thin for its fuse", "too hot"]


@dataclass(frozen=True)
class CableRun:
    """What a run asks for, before its size is known; ``fixed`` ohm are joints and body.

    ``loop`` metres of cable are the route, once or twice, and the ``ground`` from amplifier to body.
    """

    current: float
    one_way: float
    loop: float
    ground: float
    allowed: float
    supply: float
    temperature: float | None
    conductor: conductors.Conductor
    extra: float
    body: float
    body_guessed: bool
    insulation_limit: float
    ambient: float
    together: float
    fuse: float | None

    @property
    def fixed(self) -> float:
        """Ohm besides the cable: joints and fuses, and the body where it is the way back."""
        return self.extra + self.body

    @property
    def fixed_drop(self) -> float:
        """Volts lost in those, whatever the cable."""
        return self.current * self.fixed

    def warmed(self, area: float) -> float:
        """Degrees Celsius of a conductor of ``area`` m2: as typed, never under its air; else by both."""
        if self.temperature is not None:
            return max(self.temperature, self.ambient)
        return conductors.loaded_temperature(
            area, self.current, self.ambient, self.insulation_limit, self.conductor, self.together
        )

    def resistance(self, size: conductors.CableSize) -> float:
        """Ohm of the whole run in a cable of that size."""
        return conductors.run_resistance(
            size.resistance, self.loop, self.warmed(size.area), self.conductor, self.fixed
        )

    def continuous(self, area: float) -> float:
        """Ampere a cable of ``area`` m2 may carry here."""
        return conductors.continuous_current(
            area, self.insulation_limit, self.ambient, self.conductor, self.together
        )

    def verdict(self, size: conductors.CableSize) -> Verdict:
        """What is wrong with a size, the worst first."""
        carried = self.continuous(size.area)
        if self.current > carried:
            return "too hot"
        if self.fuse is None or self.fuse > carried:
            return "too thin for its fuse"
        # A hair of tolerance: a size that meets the drop exactly passes.
        lost = self.current * self.resistance(size)
        return "drops too much" if lost > self.allowed * (1 + 1e-9) else "passes"


def first_that_passes(run: CableRun, table: conductors.SizeTable) -> conductors.CableSize | None:
    """Smallest size of a table with nothing wrong, or None."""
    return next((size for size in table.sizes if run.verdict(size) == "passes"), None)


def longest_route(run: CableRun, size: conductors.CableSize) -> float | None:
    """One-way route at which a size loses just what is allowed; None for a size no length makes safe."""
    if run.verdict(size) in ("too hot", "too thin for its fuse"):
        return None
    metres = conductors.longest_run(
        size.resistance, run.current, run.allowed, run.warmed(size.area), run.conductor, run.fixed
    )
    route = (metres - run.ground) * run.one_way / (run.loop - run.ground)
    return route if route > 0 else None


def decided_by(run: CableRun, table: conductors.SizeTable, chosen: conductors.CableSize | None) -> str:
    """Which test the next smaller size fails."""
    failed: dict[Verdict, str] = {
        "drops too much": "the voltage drop",
        "too thin for its fuse": "the fuse the cable must carry",
        "too hot": "the heat in the cable",
    }
    place = len(table.sizes) if chosen is None else table.sizes.index(chosen)
    if place == 0:
        return "nothing: the smallest size will do"
    return failed.get(run.verdict(table.sizes[place - 1]), "the voltage drop")


def cable_advice(
    run: CableRun,
    table: conductors.SizeTable,
    chosen: conductors.CableSize | None,
    checked: conductors.CableSize | None,
) -> tuple[Advice, ...]:
    """What burns first, then what to check."""
    advice = [] if checked is None else _checked_advice(run, checked, chosen)
    too_hot = sheath_advice(run.insulation_limit, run.ambient)
    if too_hot:
        advice += too_hot
    elif chosen is None:
        advice.append(Advice("size", _none_passes(run), danger=True))
    advice += voltage_advice(run.supply)
    if run.conductor != "copper":
        advice.append(
            Advice(
                "conductor",
                "Copper-clad aluminium is counted with 1.65 times the resistance of copper (common practice, "
                "the worst of 1.55 to 1.65) and 78 % of its current. It corrodes and creeps under a screw: "
                "use lugs made for it, or fit copper.",
            )
        )
    if run.body_guessed:
        advice.append(
            Advice(
                "body_resistance",
                "The body was not measured: 3.3 mΩ is the most that counts as good, not what this vehicle "
                "has. Measure from the amplifier's ground point to battery negative.",
            )
        )
    if table.confidence != "published":
        about = f"{table.standard}: these resistances are"
        advice.append(
            Advice("table", f"{about}{CONFIDENCE[table.confidence]}.".replace(" (", " ").replace(")", ""))
        )
    if run.extra == 0:
        advice.append(
            Advice("extra", "No joints are counted: add about 0.5 mΩ for each cable, out and back.")
        )
    if run.temperature is not None and run.temperature < run.ambient:
        advice.append(
            Advice(
                "drop",
                f"A conductor is never cooler than its air: counted at {run.ambient:g} °C, not at the "
                f"{run.temperature:.1f} °C typed.",
            )
        )
    advice.append(Advice("continuous", CURRENTS_NOTE))
    return tuple(advice)


def _none_passes(run: CableRun) -> str:
    """What helps where no size does: first what no cable makes up for."""
    words = "No cable of this table passes. "
    eaten = run.fixed_drop > run.allowed / 2
    if eaten:
        what = "Joints and body" if run.body else "Joints and fuses"
        words += (
            f"{what} alone take {run.fixed_drop:.3f} V of the {run.allowed:.3f} V allowed: mend and measure "
            "those first, for no cable makes up for them. "
        )
    if eaten and run.body:
        # Two feeds would lose as much in the body, which is the way back of both.
        ways = "Bring the return back by a cable, or move the amplifier."
    else:
        ways = (
            "Shorten the route, move the amplifier, take a sheath that stands more heat, or run two feeds to "
            "two amplifiers, each with its own fuse: two feeds are never joined again on one terminal."
        )
    return f"{words}{ways} Never fit a larger fuse instead."


def _checked_advice(
    run: CableRun, size: conductors.CableSize, chosen: conductors.CableSize | None
) -> list[Advice]:
    """What is wrong with the size the reader has, and which passes."""
    verdict = run.verdict(size)
    carried = run.continuous(size.area)
    lost = run.current * run.resistance(size)
    words = {
        "too hot": f"{size.name} would overheat: it may carry {carried:.3g} A here, and the load is "
        f"{run.current:.4g} A. Do not fit it.",
        "too thin for its fuse": f"{size.name} may carry {carried:.3g} A here, less than the "
        f"{'fuse' if run.fuse is None else f'{run.fuse:g} A fuse'} this load needs: in a fault it could burn "
        "before the fuse opens.",
        "drops too much": f"{size.name} loses {lost:.3f} V, more than the {run.allowed:.3f} V allowed.",
    }
    if verdict == "passes":
        return []
    passes = "" if chosen is None else f" {chosen.name} passes."
    return [Advice("area", f"{words[verdict]}{passes}", danger=verdict != "drops too much")]
