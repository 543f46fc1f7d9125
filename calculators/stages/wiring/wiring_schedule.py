"""The wiring schedule: every run with its size, fuse and length, and the diagram of the supply."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Drawing,
    Number,
    Output,
    OutputDrawing,
    OutputFlag,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import CURRENT, RATIO, RESISTANCE, VOLTAGE
from calculators.physics import conductors, fuses
from calculators.vocabulary.cabling import (
    BODY,
    BODY_LIMIT,
    CONDUCTOR,
    CONFIDENCE,
    CURRENTS_NOTE,
    FUSE_LOAD,
    INSULATION,
    JOINT,
    SUPPLY,
    TABLE,
    TABLES,
    size_like,
    voltage_advice,
)
from calculators.vocabulary.supply_drawing import supply_wiring
from calculators.vocabulary.surroundings import AMBIENT, USUAL_AMBIENT
from calculators.vocabulary.wiring_faults import faults, first_to_mend, name_advice
from calculators.vocabulary.wiring_lines import (
    DeviceDrop,
    RunScheduled,
    SizeTotal,
    size_totals,
    wiring_tree,
)
from calculators.vocabulary.wiring_plan import BURNS, NO_SIZE, Plan, Run

ALL_PASS = "all runs pass"


@dataclass(frozen=True, kw_only=True)
class WiringSchedule:
    """The schedule, its totals and its picture."""

    verdict: Annotated[str, OutputText("Verdict", main=True, brief="all_pass")]
    runs: Annotated[tuple[RunScheduled, ...], OutputRows("Wiring schedule", copy=True)]
    devices: Annotated[tuple[DeviceDrop, ...], OutputRows("Drop at each device")]
    body_current: Annotated[float, Output("The body carries", CURRENT, figures=3)]
    body_drop: Annotated[float, Output("The body loses", VOLTAGE, decimals=3)]
    all_pass: Annotated[bool, OutputFlag("All runs pass")]
    totals: Annotated[tuple[SizeTotal, ...], OutputRows("Cable to bring")]
    resistances: Annotated[str, OutputText("Resistances from")]
    diagram: Annotated[Drawing, OutputDrawing("Wiring diagram")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Wiring schedule",
    example={
        "runs": [
            {"name": "Main feed", "start": "Battery", "end": "Amplifier", "length": 5.8, "current": 53.7,
             "air": 85.0, "insulation": "vehicle-class-c"},
            {"name": "Ground", "start": "Amplifier", "end": "Body", "length": 0.5, "current": 53.7,
             "kind": "ground"},
        ],
    },
    sources=("iec-60228", "iso-8820-3", "iso-13297", "iec-60364-4-43", "ohm", "common-practice"),
    cautions=("S02", "S03", "S05"),
)  # fmt: skip
def wiring_schedule(
    runs: Annotated[
        tuple[Run, ...],
        Rows(
            "Runs",
            "run",
            at_most=24,
            help="Use the same word for the same place: a run that ends there leads on to those that begin. "
            "Type what each device draws on the feed that ends at it; shared feeds and grounds are added up. "
            "Speaker pair: the root of watts over ohms. Leg of a capacitor: the most that it takes or "
            "gives after a start, never from empty. "
            "A wake-up or turn-on line carries the battery's voltage: type its current, and it gets a fuse. "
            "A run from the battery asks for its hottest air: 85 °C under a bonnet unless you logged less, "
            "40 °C where it is under carpet all the way.",
        ),
    ],
    supply: Annotated[float, SUPPLY] = 13.5,
    allowed_drop: Annotated[
        float, Number("Drop allowed, out and back", RATIO, 0.001, 0.2, show="%", usual=(0.01, 0.05))
    ] = 0.03,
    body_resistance: Annotated[float, BODY] = BODY_LIMIT,
    joint_resistance: Annotated[
        float,
        Number(
            "Joints and fuse of each run",
            RESISTANCE,
            0,
            0.1,
            show="mΩ",
            usual=(0, 0.002),
            help="Not of a ground to the body: the body was measured at its lug, joint and all.",
        ),
    ] = JOINT,
    conductor: Annotated[conductors.Conductor, CONDUCTOR] = "copper",
    ambient: Annotated[float, AMBIENT] = USUAL_AMBIENT,
    insulation: Annotated[str, INSULATION] = "general-pvc",
    table: Annotated[str, TABLE] = "class-5",
    load_fraction: Annotated[float, FUSE_LOAD] = fuses.LOAD_FRACTION,
    speaker: Annotated[
        float, Number("Speaker, for the speaker pairs", RESISTANCE, 0.5, 32, usual=(1, 16))
    ] = 4.0,
) -> WiringSchedule:
    """Size and fuse of every run, the drop at every device, and the diagram.

    Runs, joints and body are one network of resistors, solved whole from what the devices draw;
    each conductor is as warm as its air and its current make it. What a shared feed is planned for
    above the sum of its devices counts as drawn where it ends. The body carries the sum of all
    that comes home by it, and a device without a ground run comes home by it alone.

    The drop allowed counts from the battery to the device and back; runs left without a size share
    it by their length. A fuse sits at the start of every run that carries the battery's voltage and
    is never above what that cable carries in the hottest air on its way; a capacitor's sits beside the
    capacitor, so the fuse before the leg must spare it too. Its leg flows for seconds: it adds to the
    fuses before it, not to the load. A link to a second battery wants a fuse at both ends, which this
    schedule cannot plan, so it does not pass. A ground is as thick as the feeds whose current it
    brings home and carries what their fuses let through. A current typed on a ground is checked, and
    counts for its heat where it is the larger. Speaker pairs lose 2 % of the speaker at most and
    carry their current. The resistances to measure are those of cold cables.
    """
    plan = Plan(
        runs, supply, supply * allowed_drop, body_resistance, joint_resistance, conductor,
        ambient, insulation, TABLES[table], load_fraction, speaker,
    )  # fmt: skip
    lines = tuple(_line(plan, place) for place in range(len(runs)))
    devices = _devices(plan, lines)
    for_voltage = voltage_advice(supply)
    found = faults(plan, lines)
    verdict = _verdict(plan, found, devices, any(entry.danger for entry in for_voltage))
    return WiringSchedule(
        verdict=verdict,
        all_pass=verdict == ALL_PASS,
        runs=lines,
        devices=devices,
        body_current=plan.body_current,
        body_drop=plan.body_current * body_resistance,
        totals=size_totals(lines, [run.kind == "speaker" for run in runs], plan.table),
        resistances=f"{plan.table.standard}{CONFIDENCE[plan.table.confidence]}",
        diagram=supply_wiring(wiring_tree(plan, lines)),
        advice=(*for_voltage, *(entry for _, entry in found), *_advice(plan, lines, devices)),
    )


def _line(plan: Plan, place: int) -> RunScheduled:
    """One line of the schedule."""
    run = plan.runs[place]
    current, size, fuse, ohms, verdict = run.current, None, None, None, "by the drawing"
    if place in plan.sizes:
        current = run.current if run.kind == "capacitor" else plan.currents[place]
        size, verdict = plan.sizes[place], NO_SIZE
        if size is not None:
            ohms, verdict = plan.ohms[place], plan.fault(place, size.area)
            if place in plan.planned and verdict not in BURNS:
                fuse = plan.fuse(place)
            verdict = plan.unsaid(place) if verdict == "passes" else verdict
    elif run.kind == "speaker":
        size, verdict = plan.speaker_pair(place)
    elif run.area is not None:
        size = size_like(run.area, plan.table)
    return RunScheduled(
        name=run.name,
        start=run.start,
        end=run.end,
        current=current,
        size=None if size is None else size.area,
        carries=None if size is None or verdict == "by the drawing" else plan.carries(place, size.area),
        fuse=fuse,
        length=run.length,
        resistance=ohms,
        cold=None if ohms is None else plan.cold(place),
        drop=None if ohms is None or run.kind == "capacitor" else ohms * plan.currents[place],
        colour=run.colour,
        connector=run.connector,
        verdict=verdict,
    )


def _devices(plan: Plan, lines: Sequence[RunScheduled]) -> tuple[DeviceDrop, ...]:
    """The whole drop of each device; a run without a size counts as the largest there is."""
    rows = []
    cold = plan.solved({place: plan.cold(place) for place in plan.wired()}).resistances
    for place in plan.devices():
        column = plan.live.index(place)
        lost = float(plan.flow.drops[column])
        verdict = "passes" if lost <= plan.allowed * (1 + 1e-9) else "loses too much"
        if any(place in plan.served[other] and plan.sizes[other] is None for other in plan.wired()):
            verdict = f"{NO_SIZE}: first mend {first_to_mend(plan, lines, {place})}"
        elif plan.ungrounded(place):
            verdict = "no ground run"
        alone = float(plan.flow.resistances[column])
        rows.append(
            DeviceDrop(
                name=plan.runs[place].end,
                drop=lost,
                drop_fraction=lost / plan.supply,
                resistance=alone,
                cold=float(cold[column]),
                verdict=verdict,
            )
        )
    return tuple(rows)


def _verdict(
    plan: Plan, found: Sequence[tuple[str, Advice]], devices: Sequence[DeviceDrop], wrong_voltage: bool
) -> str:
    """One line for the whole: it passes, or what to mend first. The rest may pass when that does."""
    bare = [plan.runs[place].end for place in plan.live if plan.ungrounded(place)]
    starved = [device.name for device in devices if device.verdict != "passes"]
    if found:
        return f"does not pass: first mend {found[0][0]}"
    if bare:
        return f"does not pass: {bare[0]} has no ground run"
    if starved:
        return f"does not pass: {starved[0]} loses too much"
    return "does not pass: no blade fuse breaks this voltage" if wrong_voltage else ALL_PASS


def _advice(plan: Plan, lines: Sequence[RunScheduled], devices: Sequence[DeviceDrop]) -> tuple[Advice, ...]:
    """What starves, then what to check."""
    found = [
        Advice(
            "devices",
            f"{device.name} loses {device.drop_fraction:.1%} of the supply, "
            f"{_most_lost(plan, lines, place)}.",
        )
        for place, device in zip(plan.devices(), devices, strict=True)
        if device.verdict == "loses too much"
    ]
    legs = [
        Advice(f"runs[{place}].current", leg_note(run.name, lines[place].fuse))
        for place, run in enumerate(plan.runs)
        if run.kind == "capacitor"
    ]
    return (*found, *name_advice(plan.runs), *_way_home(plan), *legs, Advice("runs", CURRENTS_NOTE))


def leg_note(name: str, fuse: float | None) -> str:
    """What bounds the fuse of a capacitor's leg: this schedule knows its cable, and no charge resistor."""
    here = "" if fuse is None else f", here {fuse:g} A,"
    return (
        f"{name}: its fuse{here} must be no larger than hold-up's "
        "\u201cLargest leg fuse that opens then\u201d, though the cable would carry it. "
        "Its current is the one after a start, never from empty."
    )


def _most_lost(plan: Plan, lines: Sequence[RunScheduled], place: int) -> str:
    """Where a device loses most of its voltage, and what helps there."""
    lost = {
        lines[other].name: lines[other].drop or 0.0
        for other in plan.wired()
        if place in plan.served[other] and plan.runs[other].kind != "capacitor"
    }
    name = max(lost, key=lambda each: round(lost[each], 9))
    body = plan.lost_in_body(place)
    if body > lost[name]:
        return f"most of it in the body, {body:.3f} V: a better ground point, or a cable home"
    return f"most of it in {name}, {lost[name]:.3f} V: a larger cable there, or a shorter way"


def _way_home(plan: Plan) -> list[Advice]:
    """Devices without a ground of their own, and what a shared feed is planned for beyond its devices."""
    found = []
    for place in plan.live:
        run, drawn = plan.runs[place], plan.drawn(place)
        if plan.ungrounded(place):
            words = (
                f"{run.end} has no ground run: its current comes home by whatever touches it, a signal "
                "lead's screen above all. Its way back is counted as body alone."
            )
        elif run.kind == "feed" and drawn > 0 and not plan.grounded(place):
            words = f"{run.name}: {drawn:.3g} A more than is on the list is counted as drawn at {run.end}."
        else:
            continue
        found.append(Advice(f"runs[{place}].end", words))
    return found
