"""The lines of a wiring schedule: its records, its totals, and its runs as a tree to draw."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Output, OutputText
from calculators.declaring.quantities import AREA, CURRENT, LENGTH, RATIO, RESISTANCE, VOLTAGE
from calculators.physics import conductors
from calculators.vocabulary.cabling import size_like
from calculators.vocabulary.names import name_key
from calculators.vocabulary.supply_drawing import Branch
from calculators.vocabulary.wiring_plan import Node, Plan


@dataclass(frozen=True, kw_only=True)
class RunScheduled:
    """One line of the schedule."""

    name: Annotated[str, OutputText("Run")]
    start: Annotated[str, OutputText("From")]
    end: Annotated[str, OutputText("To")]
    current: Annotated[float | None, Output("Current", CURRENT, figures=3, none="–")]
    size: Annotated[float | None, Output("Size", AREA, show="mm²", figures=3, trim=True, none="as drawn")]
    carries: Annotated[float | None, Output("May carry", CURRENT, figures=3, none="–")]
    fuse: Annotated[float | None, Output("Fuse", CURRENT, figures=3, trim=True, none="–")]
    length: Annotated[float, Output("Length", LENGTH, decimals=2)]
    resistance: Annotated[float | None, Output("Planned, hot", RESISTANCE, show="mΩ", figures=3, none="–")]
    cold: Annotated[float | None, Output("To measure at 20 °C", RESISTANCE, show="mΩ", figures=3, none="–")]
    drop: Annotated[float | None, Output("Drop", VOLTAGE, decimals=3, none="–")]
    colour: Annotated[str, OutputText("Colour, label")]
    connector: Annotated[str, OutputText("Connector")]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class DeviceDrop:
    """What one device loses over its whole way, out and back."""

    name: Annotated[str, OutputText("Device")]
    drop: Annotated[float, Output("Lost, out and back", VOLTAGE, decimals=3)]
    drop_fraction: Annotated[float, Output("Of the supply", RATIO, show="%", decimals=2)]
    resistance: Annotated[float, Output("Drawing alone, hot", RESISTANCE, show="mΩ", figures=3)]
    cold: Annotated[float, Output("To measure at 20 °C", RESISTANCE, show="mΩ", figures=3)]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class SizeTotal:
    """How much of one size to bring."""

    size: Annotated[str, OutputText("Size")]
    length: Annotated[float, Output("Length in all", LENGTH, decimals=1)]
    runs: Annotated[str, OutputText("Runs")]


def wiring_tree(plan: Plan, lines: Sequence[RunScheduled]) -> tuple[Branch, ...]:
    """The runs as the diagram wants them; under the battery, the body's way back to it."""
    names: dict[str, str] = {}
    for place in plan.live:
        names.setdefault(name_key(plan.runs[place].start), plan.runs[place].start)
    batteries = {name_key(plan.runs[place].start) for place in plan.live if plan.runs[place].kind == "feed"}
    words = f"{plan.body * 1e3:.3g} mΩ, {plan.body_current:.3g} A"
    home = (
        (Branch("Body", words, "all that comes home by it", ground=True, body=True),)
        if plan.body_current
        else ()
    )
    trees, drawn = [], set[int]()
    for key in (key for key in names if key in plan.sources):
        branches = _branches(plan, key, lines, drawn)
        if key in batteries:
            branches, home = branches + home, ()
        trees.append(Branch(names[key], branches=branches, battery=key in batteries))
    return tuple(trees)


def _branches(plan: Plan, key: str, lines: Sequence[RunScheduled], drawn: set[int]) -> tuple[Branch, ...]:
    found = []
    for place in plan.wired():
        run, line = plan.runs[place], lines[place]
        if name_key(run.start) != key or place in drawn:
            continue
        drawn.add(place)
        area = "no size" if line.size is None else f"{line.size * 1e6:.3g} mm²"
        fuse = "no fuse!" if line.fuse is None else f"fuse {line.fuse:g} A"
        ground = run.kind == "ground"
        # A signal line that ends at a fed place ends there: what leads on is drawn under its feed.
        leads_on = ground or plan.suppliers[name_key(run.end)] == place
        onward = _branches(plan, name_key(run.end), lines, drawn) if leads_on else ()
        words = f"{area}, {run.length:.3g} m"
        body = ground and plan.minus(run.end) is Node.BODY
        found.append(
            Branch(
                name=run.end,
                way=words,
                run=run.name,
                fuse="" if ground else fuse,
                ground=ground,
                branches=onward,
                body=body,
            )
        )
    return tuple(found)


def size_totals(
    lines: Sequence[RunScheduled], pairs: Sequence[bool], table: conductors.SizeTable
) -> tuple[SizeTotal, ...]:
    """Metres to bring of each size; those of a speaker pair are of two wires, and stand by themselves."""
    metres: dict[tuple[float, bool], float] = {}
    names: dict[tuple[float, bool], list[str]] = {}
    for line, pair in zip(lines, pairs, strict=True):
        if line.size is not None:
            metres[line.size, pair] = metres.get((line.size, pair), 0.0) + line.length
            names.setdefault((line.size, pair), []).append(line.name)
    return tuple(
        SizeTotal(
            size=size_like(area, table).name + (", pairs" if pair else ""),
            length=metres[area, pair],
            runs=", ".join(names[area, pair]),
        )
        for area, pair in sorted(metres)
    )
