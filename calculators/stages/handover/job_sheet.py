"""A job file opened: where it stands, what is missing, what does not pass, and its sheets to print."""

from dataclasses import dataclass
from typing import Annotated, Any

from calculators.declaring import (
    Advice,
    Day,
    File,
    InputError,
    Kept,
    Made,
    Output,
    OutputFile,
    OutputRows,
    OutputText,
    Steps,
    Text,
    calculator,
)
from calculators.declaring.quantities import COUNT
from calculators.job.codes import ADDRESS, coded
from calculators.job.papers import papers
from calculators.job.parts import parts_csv
from calculators.job.printing import page
from calculators.job.reading import LARGEST, JobError, read_job, write_job
from calculators.job.sheet import HOLD_POINTS, badly_dated, signed, signers
from calculators.job.working import ProofLine, Worked, steps_out
from calculators.stages import CONTENTS

EXAMPLE: dict[str, Any] = {
    "sheet": {
        "version": 2,
        "title": "A small example",
        "hold_points": [{"point": "H1", "by": "B", "at": "2031-05-06"}],
        "runs": [
            {"name": "current", "calculator": "current-draw", "inputs": {"amplifiers": "job:amplifier.rows"}},
            {
                "name": "feed",
                "calculator": "cable",
                "inputs": {"current": "run:current.peak_current", "length": "job:supply.length"},
            },
            {
                "name": "delays",
                "calculator": "delay",
                "inputs": {"speakers": "job:geometry.driver", "temperature": "job:geometry.temperature"},
            },
        ],
        "proof": [
            {"name": "Delay, tweeter against its woofer", "unit": "ms", "measured": 0.01, "most": 0.02},
            {"name": "Drop of the feed at 50 A", "unit": "V", "measured": None, "most": 0.33},
        ],
    },
    "amplifier": {"rows": [{"name": "Doors, 4 × 70 W", "power": 280.0}]},
    "supply": {"length": 5.0},
    "geometry": {
        "temperature": 21.0,
        "driver": [{"name": "Left", "distance": 0.92}, {"name": "Right", "distance": 1.41}],
    },
}
"""What is shown before a file is chosen."""


ODD_DAYS_NAMED = 3
"""Of changes with an odd date, how many are named."""


@dataclass(frozen=True, kw_only=True)
class RunOpened:
    """One answer of the job."""

    name: Annotated[str, OutputText("Answer")]
    stage: Annotated[str, OutputText("Stage")]
    standing: Annotated[str, OutputText("Stands")]
    why: Annotated[str, OutputText("Why")]


@dataclass(frozen=True, kw_only=True)
class Missing:
    """One thing that is not there yet."""

    what: Annotated[str, OutputText("Missing")]


@dataclass(frozen=True, kw_only=True)
class ProofOpened:
    """One line of the proof."""

    name: Annotated[str, OutputText("Proof")]
    measured: Annotated[str, OutputText("Measured")]
    limit: Annotated[str, OutputText("Limit")]
    verdict: Annotated[str, OutputText("Verdict")]


@dataclass(frozen=True, kw_only=True)
class PointOpened:
    """One hold point."""

    point: Annotated[str, OutputText("Hold point")]
    stands_before: Annotated[str, OutputText("Stands before")]
    signed: Annotated[str, OutputText("Signed")]


@dataclass(frozen=True, kw_only=True)
class JobSheet:
    """Where a job stands, and its sheets."""

    verdict: Annotated[str, OutputText("The job", main=True, brief="unfinished")]
    title: Annotated[str, OutputText("Name")]
    unfinished: Annotated[float, Output("Stale, missing or out of tolerance", COUNT, decimals=0)]
    runs: Annotated[tuple[RunOpened, ...], OutputRows("Answers by stage")]
    missing: Annotated[tuple[Missing, ...], OutputRows("Missing")]
    proof: Annotated[tuple[ProofOpened, ...], OutputRows("Proof")]
    hold_points: Annotated[tuple[PointOpened, ...], OutputRows("Hold points")]
    order: Annotated[Made, OutputFile("Order")]
    condition_record: Annotated[Made, OutputFile("Condition record")]
    bay_plan: Annotated[Made, OutputFile("Bay plan, for the shop")]
    wiring_schedule: Annotated[Made, OutputFile("Wiring schedule")]
    parts_list: Annotated[Made, OutputFile("Parts list, for the shop")]
    parts_table: Annotated[Made, OutputFile("Parts list as a table, in CSV")]
    tuning_sheet: Annotated[Made, OutputFile("Tuning sheet")]
    handover: Annotated[Made, OutputFile("Handover")]
    guarantee: Annotated[Made, OutputFile("Guarantee and after-care")]
    glove_box_card: Annotated[Made, OutputFile("Card for the glove box")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Job sheet",
    example={"date": "2031-05-21"},
    sources=("common-practice",),
    cautions=("S18",),
)
def job_sheet(
    *,
    job: Annotated[
        Kept | None,
        File(
            "Job file",
            most=LARGEST,
            accept=".json,application/json",
            optional=True,
            help="It is read here, on this device, and sent nowhere. None: a small example.",
        ),
    ] = None,
    date: Annotated[str, Day("Printed on")] = "",
    address: Annotated[
        str,
        Text(
            "Handbook's address",
            longest=200,
            pattern=ADDRESS,
            wanted="like https://example.org/handbook/",
            help="The codes on the tuning sheet open its values there. Empty: no codes.",
            seldom=True,
        ),
    ] = "",
    shop: Annotated[
        str,
        Text("Shop", longest=200, help="As it stands on each sheet: name, street, telephone.", seldom=True),
    ] = "",
    release: Annotated[
        str, Text("Release", longest=40, help="Of the calculators: at the foot of each sheet.", seldom=True)
    ] = "",
) -> Steps[JobSheet]:
    """A job file, worked out whole: every answer in the order in which they rest on each other.

    An answer is stale where a value that it rests on was changed after it was kept. Missing is an answer
    that cannot be worked out, a line of the proof without a reading, a hold point that nobody signed. The
    sheets are pages to print, A4 in black and white: an answer that is out of date stands there as it was
    kept, with a mark.
    """  # fmt: skip
    try:
        opened = read_job(write_job(EXAMPLE) if job is None else b"".join(job.blocks()))
        worked = yield from steps_out(opened, "")
    except JobError as error:
        raise InputError(
            "job", f"This is no job file that can be used. {error.place}: {error.message}"
        ) from None
    title = opened["sheet"]["title"]
    files = {
        paper.name.replace("-", "_"): _html(
            f"{paper.name}.html", page(coded(paper, title, address), title, date, release, shop=shop)
        )
        for paper in papers(worked)
    }
    return JobSheet(
        verdict=_verdict(worked),
        title=title,
        unfinished=float(sum(count for count, _ in _unfinished(worked))),
        runs=tuple(
            RunOpened(name=run.name, stage=_stage_of(run.calculator), standing=run.standing, why=run.why)
            for run in worked.runs.values()
        ),
        missing=tuple(Missing(what=what) for what in worked.missing),
        proof=tuple(_proof(line) for line in worked.proof),
        hold_points=_points(worked),
        parts_table=Made.whole("parts-list.csv", "text/csv", parts_csv(worked)),
        advice=_advice(worked, date),
        **files,
    )


def _html(name: str, text: str) -> Made:
    return Made.whole(name, "text/html", text.encode("utf-8", "replace"))


def _verdict(worked: Worked) -> str:
    if worked.finished:
        return "finished: nothing stale, missing or out of tolerance"
    return ", ".join(f"{count} {word}" for count, word in _unfinished(worked) if count)


def _unfinished(worked: Worked) -> tuple[tuple[int, str], ...]:
    """What keeps the job from being finished: how much of each kind."""
    return (
        (len(worked.stale), "stale"),
        (len(worked.missing), "missing"),
        (len(worked.out_of_tolerance) + len(worked.failing), "out of tolerance"),
    )


def _stage_of(slug: str) -> str:
    return next(stage.title for stage in CONTENTS.values() if slug in stage.slugs)


def _proof(line: ProofLine) -> ProofOpened:
    unknown = "not measured" if line.measured is None else "no limit"
    passes = {True: "passes", False: "does not pass", None: unknown}[line.passes]
    return ProofOpened(
        name=line.name,
        measured="–" if line.measured is None else f"{line.measured:g} {line.unit}".strip(),
        limit=line.limit,
        verdict="exception, accepted" if line.passes is False and line.accepted else passes,
    )


def _points(worked: Worked) -> tuple[PointOpened, ...]:
    have = signed(worked.job["sheet"])
    return tuple(
        PointOpened(
            point=point,
            stands_before=what,
            signed=f"{signers(have[point])}, {have[point]['at']}" if point in have else "not yet",
        )
        for point, what in HOLD_POINTS.items()
    )


def _advice(worked: Worked, today: str) -> tuple[Advice, ...]:
    found = [
        Advice("proof", f"{line.name} does not pass: mend it, or have it accepted.")
        for line in worked.out_of_tolerance
    ]
    found += [Advice("runs", f"{name}: {wrong}") for name, wrong in worked.failing]
    stale = ", ".join(run.name for run in worked.stale)
    if stale:
        found.append(Advice("runs", f"Out of date, and marked so on the sheets: {stale}."))
    if odd := badly_dated(worked.job["sheet"], today):
        more = f", and {len(odd) - ODD_DAYS_NAMED} more" if len(odd) > ODD_DAYS_NAMED else ""
        words = f"In the history {'; '.join(odd[:ODD_DAYS_NAMED])}{more}: "
        found.append(Advice("title", f"{words}look at the date of the device that wrote it."))
    return tuple(found)
