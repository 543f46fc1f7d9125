"""Job files: read whole or refused with place and reason, changed as copies, worked out in order."""

import copy
import json
import re
from pathlib import Path
from random import Random
from typing import Any

import jsonschema
import pytest

from calculators.declaring import Answer, run_values
from calculators.job import working
from calculators.job.accepting import mark_of
from calculators.job.changing import Forget, Sign, Store, jobsheet, kept
from calculators.job.command import report
from calculators.job.facts import SetFact, locked_by
from calculators.job.papers import papers
from calculators.job.printed import BLANK
from calculators.job.printing import page
from calculators.job.reading import DEEPEST, LARGEST, Job, JobError, read_job, write_job
from calculators.job.schema import job_schema
from calculators.job.working import Worked, work_out
from calculators.site.browser_start import LateExtensionError
from calculators.stages import find_calculator
from tests.conftest import SOAK
from tests.job.sheet_words import on_paper, words_of
from tests.strategies import HOSTILE

FILE = Path("docs/job.json")
CONTENTS = FILE.read_bytes()
JOB = read_job(CONTENTS)
COUNT = 10_000 if SOAK else 150
RELEASE = "0.0.0+test"
NOW = {"by": "A", "at": "2031-05-21 10:00"}


def worked(job: Job = JOB) -> Worked:
    return work_out(job, RELEASE)


def stored() -> Job:
    answers = {name: run.answer for name, run in worked().runs.items() if run.answer}
    return jobsheet(JOB, Store(answers=answers))


WORKED = worked()
STORED = stored()


def test_the_running_job_is_a_job_in_which_nothing_is_left() -> None:
    assert {run.standing for run in WORKED.runs.values()} == {"new"}
    assert (WORKED.missing, [line.name for line in WORKED.out_of_tolerance]) == ([], [])
    failed = [line for line in WORKED.proof if line.passes is False]
    assert [line.name for line in failed] == ["Amplifier's margin in a restart"]
    assert failed[0].accepted


def test_an_exception_covers_the_reading_that_was_accepted_and_none_worse() -> None:
    job = with_runs()
    entry = job["sheet"]["exceptions"][0]
    line = job["sheet"]["proof"][-1]
    for measured, value, accepted in (
        (0.15, 0.15, True),
        (0.4, 0.15, True),
        (-3.0, 0.15, False),
        (0.15, None, False),
    ):
        line["measured"], entry["value"] = measured, value
        assert worked(read_job(json.dumps(job).encode())).proof[-1].accepted == accepted


def test_a_job_written_is_the_job_that_was_read() -> None:
    assert read_job(write_job(JOB)) == JOB
    assert read_job(write_job(STORED)) == STORED


def test_the_schema_is_sound_and_the_running_job_keeps_it() -> None:
    schema = job_schema({run["calculator"] for run in JOB["sheet"]["runs"]})
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    assert list(validator.iter_errors(STORED)) == []
    wrong = copy.deepcopy(JOB)
    wrong["sheet"]["runs"][0]["inputs"]["no_such_input"] = 1
    assert not validator.is_valid(wrong)
    wrong = copy.deepcopy(JOB)
    wrong["sheet"]["hold_points"][0]["point"] = "H7"
    assert not validator.is_valid(wrong)


@pytest.mark.parametrize(
    ("contents", "place"),
    [
        (b"", "line 1"), (b"[]", "file"), (b"{", "line 1"), (b"\xff\xfe", "file"), (b'{"a":1,"a":2}', "a"),
        (b'{"sheet":{"version":2,"title":"x"},"a":NaN}', "file"),
        (b'{"sheet":{"version":2,"title":"x"},"a":1e400}', "a"),
        (b'{"sheet":{"version":2}}', "sheet.title"), (b'{"sheet":{"version":2,"title":7}}', "sheet.title"),
        (b'{"sheet":{"version":"2","title":"x"}}', "sheet.version"), (b'{"sheet":[]}', "sheet.version"),
        (b'{"sheet":{"version":2,"title":"x","more":1}}', "sheet.more"),
        (b'{"sheet":{"version":2,"title":"x"},"__proto__":{}}', "file"),
        (b'{"sheet":{"version":2,"title":"x","runs":[{"name":"a","calculator":"os","inputs":{}}]}}',
         "sheet.runs[0].calculator"),
        (b'{"sheet":{"version":2,"title":"x","runs":[{"name":"a","calculator":"delay","inputs":{"z":1}}]}}',
         "run a"),
        (b'{"sheet":{"version":2,"title":"x","hold_points":[{"point":"H9","by":"A","at":"2031-05-01"}]}}',
         "sheet.hold_points[0].point"),
        (b'{"a":' + b"[" * 200_000 + b"]" * 200_000 + b"}", "file"),
        (b'{"sheet":{"version":2,"title":"x"},"a":' + b"[" * DEEPEST + b"0" + b"]" * DEEPEST + b"}", None),
        (b'{"sheet":{"version":2,"title":"x"},"a":' + b"9" * 5000 + b"}", "file"),
        (b'{"a":"' + b"x" * LARGEST + b'"}', "file"),
    ],
)  # fmt: skip
def test_what_is_no_job_is_refused_with_its_place(contents: bytes, place: str | None) -> None:
    with pytest.raises(JobError) as refused:
        read_job(contents)
    assert refused.value.message
    assert place is None or refused.value.place == place


def damaged(random: Random) -> bytes:
    """The running job with something wrong in it: a byte, a value, a name, a stretch."""
    way = random.randrange(5)
    if way == 0:
        cut = random.randrange(len(CONTENTS))
        return CONTENTS[:cut]
    if way == 1:
        at = random.randrange(len(CONTENTS))
        return CONTENTS[:at] + bytes([random.randrange(256)]) + CONTENTS[at + 1 :]
    if way == 2:
        start, end = sorted(random.randrange(len(CONTENTS)) for _ in range(2))
        return CONTENTS[:start] + CONTENTS[end:]
    job = copy.deepcopy(JOB)
    holder, key = random.choice(list(places(job)))
    if way == 3:
        holder[key] = random.choice(
            [None, True, -1, 1e300, 10**30, "", "x" * 5000, [], {}, [[[]]], {"a": {"b": 1}}, *HOSTILE,
             "job:sheet", "job:a.b.c", "run:nobody.x", "run:quote.lines[99].amount", "run:feed.__class__"]
        )  # fmt: skip
    elif isinstance(holder, dict):
        holder[random.choice([*HOSTILE, "a", "__proto__", "constructor"])] = holder.pop(key)
    else:
        holder.append(holder[key])
    return json.dumps(job).encode()


def places(value: Any) -> Any:
    """Every place in plain data, as what holds it and its key."""
    entries = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, entry in list(entries):
        yield value, key
        yield from places(entry)


def test_a_file_of_the_wrong_kind_is_refused_in_the_same_words_before_it_is_read() -> None:
    """The page looks at a file's size and letters itself: it shall not hand on what Python refuses."""
    desk = Path("docs/assets/doorcard/job-desk.js").read_text(encoding="utf-8")
    said = dict(re.findall(r'^const (\w+) = "?([^";]+)"?;', desk, re.MULTILINE))
    assert int(said["MOST_BYTES"]) == LARGEST
    for name, contents in (("TOO_LARGE", b" " * (LARGEST + 1)), ("NOT_UTF8", b"\xff")):
        with pytest.raises(JobError) as refused:
            read_job(contents)
        assert said[name] == refused.value.message


def test_damaged_and_hostile_files_are_refused_or_worked_out() -> None:
    random, before, refused, taken = Random(16), copy.deepcopy(JOB), 0, 0
    for number in range(COUNT):
        contents = damaged(random)
        try:
            job = read_job(contents)
            if number % 10 == 0:  # The whole is worked out for some of them: it takes longer than reading.
                worked(job)
        except JobError as error:
            refused += bool(error.place) and error.message.endswith((".", "?"))
        else:
            taken += 1
    assert refused + taken == COUNT
    assert 0.3 * COUNT < refused < COUNT
    assert before == JOB


def test_text_of_a_job_stays_text_on_every_sheet() -> None:
    job = copy.deepcopy(JOB)
    for number, hostile in enumerate(HOSTILE[:6]):
        job["brief"]["complaints"].append({"words": hostile, "test": hostile, "before": hostile})
        job["quote"]["lines"].append({"id": f"x{number}", "name": hostile, "price": "1"})
    job["sheet"]["title"] = HOSTILE[0]
    done = worked(read_job(json.dumps(job).encode()))
    for paper in papers(done):
        printed = page(paper, HOSTILE[0], "2031-05-21", HOSTILE[1])
        assert "<script" not in printed
        assert "<img" not in printed
        assert "alert(1)</style" not in printed.split("</style>")[0]
    assert done.runs["quote"].outcome is not None
    rows = done.runs["quote"].outcome.result.sheet.contents.decode(errors="replace").splitlines()
    assert not [row for row in rows if row.startswith(("=", "+", "@"))]


def test_a_change_gives_another_job_and_leaves_this_one() -> None:
    before = copy.deepcopy(STORED)
    change = SetFact(path="verification.drop", value=0.31, reason="measured again", **NOW)
    after = jobsheet(STORED, change)
    assert before == STORED
    assert after["verification"]["drop"] == 0.31
    (entry,) = after["sheet"]["history"]
    assert (entry["path"], entry["before"], entry["after"]) == ("verification.drop", "0.29", "0.31")
    assert jobsheet(
        STORED, SetFact(path="geometry.driver[1].distance", value=0.99, reason="taped again", **NOW)
    )["geometry"]["driver"][1] == {"name": "Left woofer", "distance": 0.99}


def test_behind_a_hold_point_a_fact_changes_with_a_reason_alone() -> None:
    assert locked_by(JOB, "wiring.runs[0].length") == "H4"
    assert locked_by(JOB, "quote.rate") == "H1"
    assert locked_by(JOB, "plan.paper") == ""
    with pytest.raises(JobError, match="H4 is signed: give the reason"):
        jobsheet(JOB, SetFact(path="supply.length", value=6.1, **NOW))
    with pytest.raises(JobError, match="give your initials"):
        jobsheet(JOB, SetFact(path="supply.length", value=6.1, by=" ", at="now", reason="longer way"))
    changed = jobsheet(JOB, SetFact(path="plan.tasks[0].work", value=3.0, **NOW))
    assert changed["sheet"]["history"][0]["reason"] == ""


def test_hold_points_are_signed_once_by_somebody() -> None:
    fresh = JOB | {"sheet": JOB["sheet"] | {"hold_points": []}}
    one = jobsheet(fresh, Sign(point="H1", by="B", at="2031-05-06 12:40"))
    assert [point["by"] for point in one["sheet"]["hold_points"]] == ["B"]
    for again in (Sign(point="H1", by="A", at="2031-05-07"), Sign(point="H2", by=" ", at="2031-05-07")):
        with pytest.raises(JobError):
            jobsheet(one, again)
    with pytest.raises(JobError):
        jobsheet(one, Sign(point="H2", by="A", second="B", at="tomorrow"))
    assert "H2, airbags safe: not signed" in worked(one).missing


def test_a_fact_that_is_not_there_or_of_another_form_is_refused() -> None:
    for path, value in (
        ("nothing.here", 1),
        ("sheet.title", "x"),
        ("geometry.driver", 3),
        ("geometry.driver[9]", 1),
    ):
        with pytest.raises(JobError):
            jobsheet(STORED, SetFact(path=path, value=value, reason="try", **NOW))


def test_an_early_value_makes_every_later_answer_stale() -> None:
    assert {run.standing for run in worked(STORED).runs.values()} == {"fresh"}
    rows = copy.deepcopy(STORED["amplifier"]["rows"])
    rows[0]["power"] = 300.0
    later = worked(jobsheet(STORED, SetFact(path="amplifier.rows", value=rows, reason="another one", **NOW)))
    assert [(run.name, run.why) for run in later.stale] == [
        ("current", "“Amplifiers” was changed"),
        ("feed", "rests on current"),
        ("feed-fuse", "rests on current"),
    ]
    assert not later.finished
    again = {name: run.answer for name, run in later.runs.items() if run.answer}
    assert worked(jobsheet(later.job, Store(answers=again, reason="more power", **NOW))).stale == []


def test_another_release_makes_all_answers_stale() -> None:
    old = work_out(STORED, "0.0.1+test")
    assert {run.why for run in old.stale} >= {"worked out by another release"}
    assert len(old.stale) == len(old.runs)


def test_runs_in_a_circle_and_runs_of_nobody_are_named() -> None:
    runs = [
        {"name": "a", "calculator": "sound-speed", "inputs": {"temperature": "run:b.speed"}},
        {"name": "b", "calculator": "sound-speed", "inputs": {"temperature": "run:a.speed"}},
    ]
    job = JOB | {"sheet": JOB["sheet"] | {"runs": runs}}
    with pytest.raises(JobError, match="rest on each other"):
        worked(job)
    with pytest.raises(JobError, match="no run called"):
        worked(JOB | {"sheet": JOB["sheet"] | {"runs": runs[:1]}})


def test_a_size_that_nobody_sells_is_refused_at_its_run_alone() -> None:
    held = dict(find_calculator("fixing-load").example) | {"bolt": 0.0045}
    runs = [
        {"name": "bolts", "calculator": "fixing-load", "inputs": held},
        {"name": "air", "calculator": "sound-speed", "inputs": {"temperature": 20}},
    ]
    done = worked(JOB | {"sheet": JOB["sheet"] | {"runs": runs, "proof": []}}).runs
    assert (done["bolts"].standing, done["air"].standing) == ("refused", "new")
    assert done["bolts"].why.endswith("Bolts must be one of: M4, M5, M6, M8, M10, M12.")


def test_a_calculator_that_fails_inside_takes_its_own_answer_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(slug: str, values: Any, release: str) -> Any:
        return {}["no such size"] if slug == "sound-speed" else answered(slug, values, release)

    answered = working._answered
    monkeypatch.setattr(working, "_answered", failing)
    runs = [
        {"name": "air", "calculator": "sound-speed", "inputs": {"temperature": 20}},
        {"name": "warm", "calculator": "sound-speed", "inputs": {"temperature": "run:air.speed"}},
        {"name": "water", "calculator": "wavelength", "inputs": dict(find_calculator("wavelength").example)},
    ]
    with pytest.warns(RuntimeWarning, match="air .sound-speed., KeyError"):
        job = worked(JOB | {"sheet": JOB["sheet"] | {"runs": runs, "proof": []}})
    assert [run.standing for run in job.runs.values()] == ["refused", "refused", "new"]
    assert "went wrong inside" in job.runs["air"].why
    assert job.missing[0].startswith("air: something went wrong inside this calculator (KeyError)")
    with pytest.raises(RuntimeWarning):  # No test passes over a fault of a calculator in a job.
        worked(job.job)


def test_a_module_that_is_not_there_yet_is_asked_for_and_blamed_on_no_calculator(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def waiting(slug: str, values: Any, release: str) -> Any:
        raise LateExtensionError("numpy.fft._pocketfft_umath")

    monkeypatch.setattr(working, "_answered", waiting)
    with pytest.raises(LateExtensionError, match="_pocketfft_umath"):  # The worker reads the name from it.
        worked(JOB)


def test_the_customer_can_be_forgotten_and_is_on_no_sheet() -> None:
    named = JOB | {"sheet": JOB["sheet"] | {"customer": [{"field": "name", "value": "Quillon Asterby"}]}}
    read = read_job(write_job(named))
    assert "Quillon" not in " ".join(word for paper in papers(worked(read)) for word in words_of(paper))
    assert "customer" not in jobsheet(read, Forget())["sheet"]


def test_a_stale_value_is_printed_with_a_mark() -> None:
    lines = copy.deepcopy(STORED["quote"]["lines"])
    lines[0]["hours"] = "5"
    later = worked(jobsheet(STORED, SetFact(path="quote.lines", value=lines, reason="longer", **NOW)))
    # What was agreed stays on the order, and in the file, until somebody asks for today's.
    agreed, printed = (on_paper(done, "order") for done in (WORKED, later))
    price = agreed[agreed.index("Price") + 1]
    assert printed[printed.index("Price") + 1] == f"{price} (out of date)"
    assert [word.replace(" (out of date)", "") for word in printed] == agreed
    assert worked(kept(later)).runs["quote"].standing == "stale"
    # H1 closes it: without a reason even who asks for today's answers keeps the price that was signed.
    assert worked(kept(later, renew=True)).runs["quote"].standing == "stale"
    unsigned = later.job | {"sheet": later.job["sheet"] | {"hold_points": []}}
    renewed = kept(worked(unsigned), renew=True, at="2031-05-21")
    assert worked(renewed).runs["quote"].standing == "fresh"
    (entry,) = (entry for entry in renewed["sheet"]["history"] if entry["path"] == "quote")
    assert entry["before"].startswith("Price")
    assert entry["before"] != entry["after"]


def test_what_was_kept_in_another_form_is_a_place_for_the_pen() -> None:
    for values in (None, [], {"lines": "x", "adding": [7], "price": {}, "rates": [{"net": {}}]}):
        job = copy.deepcopy(STORED)
        job["quote"]["rate"] = "99"
        job["sheet"]["runs"][0]["answer"]["values"] = values
        assert on_paper(worked(job), "order")


def test_an_order_adds_up_and_says_when_it_was_quoted() -> None:
    words = on_paper(WORKED, "order")
    for word in ("How it adds up", "Consumables", "Without tax", "With tax", "Amount, without tax",
                 "Total changes by, with tax", "Dated 2031-05-06, valid until 2031-06-06.",
                 "Stays for good"):  # fmt: skip
        assert word in words
    declined = words.index("Boost regulator for the amplifier")
    assert words[declined + 2].startswith("(")
    assert words[declined + 3] == f"option, declined: on {BLANK} by {BLANK}"
    (left_open,) = (line for line in words if line.startswith("Not in it, only"))
    assert re.search(r"after you agree: [\d.]+ h, [\d.]+\s\w+ with tax\.$", left_open)
    assert any("views, taken on" in line for line in on_paper(WORKED, "condition-record"))


def test_a_refused_quote_is_not_replaced_by_another() -> None:
    job = copy.deepcopy(JOB)
    first = job["sheet"]["runs"][0]
    job["sheet"]["runs"].append(copy.deepcopy(first) | {"name": "second"})
    first["inputs"]["rate"] = "job:no.such_fact"
    words = on_paper(worked(job), "order")
    assert words[words.index("Price") + 1].startswith("____")


def test_the_card_names_the_fuse_at_the_battery() -> None:
    job = copy.deepcopy(JOB)
    job["wiring"]["runs"].insert(0, job["wiring"]["runs"].pop(8))  # The wake-up line comes first.
    assert on_paper(worked(job), "glove-box-card")[2] == on_paper(WORKED, "glove-box-card")[2]
    bare = with_runs("quote")
    del bare["condition"]["airbag_looms"]
    words = on_paper(worked(bare), "glove-box-card")
    assert not [word for word in words if "capacitor" in word]
    assert [word for word in words if word.startswith("Airbag looms: ☐ not cut")]
    charged = on_paper(worked(with_runs("wiring")), "glove-box-card")
    assert [word for word in charged if "capacitor" in word]
    assert [word for word in charged if word.startswith("Jump start from a 24 V vehicle")]


def test_the_handover_says_whole_days_and_the_fuse_of_the_card() -> None:
    words = " ".join(on_paper(WORKED, "handover"))
    assert re.search(r"Parked and locked: about \d+ days until.*Main fuse: 70 A ", words)
    assert "Noise at the tweeter 0.4 mV 0.5 mV or less passes" in words
    assert {paper.name: paper.says for paper in papers(WORKED)}["order"] == "as agreed"
    (sheet,) = (paper for paper in papers(WORKED) if paper.name == "handover")
    assert "Tarnholm, printed __________, as measured" in page(sheet, "Tarnholm", "", "")


def test_ears_are_told_in_hours_at_the_usual_level() -> None:
    words = " ".join(on_paper(WORKED, "handover"))
    assert "At your usual 76 dB(A) an adult's ears can take about 100 hours of music a week" in words
    assert "At 85 dB(A) it is about 12 hours, a child's about 4 hours." in words  # ITU-T H.870: 40 h at 80.


def with_runs(*names: str, **facts: Any) -> Job:
    """The running job with some of its runs alone, and facts put over its own."""
    job = copy.deepcopy(JOB)
    job["sheet"]["runs"] = [run for run in job["sheet"]["runs"] if run["name"] in names]
    for section, values in facts.items():
        job[section] |= values
    return job


def test_wiring_that_burns_and_an_overloaded_vehicle_are_not_finished() -> None:
    thin = copy.deepcopy(JOB["wiring"]["runs"])
    thin[0]["area"] = 6e-06
    burns = worked(with_runs("wiring", wiring={"runs": thin}))
    heavy = worked(with_runs("mass", mass={"payload": 1.0}))
    for done, words in ((burns, "Main feed"), (heavy, "Over the payload")):
        ((name, wrong),) = done.failing
        assert words in wrong
        assert not done.finished
        assert f"  {name}: {wrong}" in report(done)
        # Nobody accepts a danger.
        accepted = {"what": name, "why": "cheap", "accepted": "customer, 2031-05-21"}
        done.job["sheet"]["exceptions"].append(accepted)
        assert not worked(done.job).finished
    assert WORKED.finished


def test_a_verdict_that_endangers_nobody_can_be_accepted() -> None:
    strict = with_runs("wiring", supply={"allowed_drop": 0.005})
    done = worked(strict)
    if done.runs["wiring"].danger:
        raise AssertionError(done.runs["wiring"].danger)
    assert [name for name, _ in done.failing] == ["wiring"]
    answer = done.runs["wiring"].answer
    assert answer is not None
    said = {"what": "wiring", "why": "long way", "accepted": "customer, 2031-05-21"}
    accepted = said | {"mark": mark_of(answer)}
    strict["sheet"]["exceptions"].append(accepted)
    assert worked(strict).failing == []


@pytest.mark.parametrize(
    "line",
    [
        {"measured": 1.0, "most": "job:no.such_fact"},
        {"measured": 1.0, "least": 0.0, "most": "job:no.such_fact"},
        {"measured": 1.0},
    ],
)
def test_a_line_of_the_proof_without_its_limit_does_not_pass(line: dict[str, Any]) -> None:
    job = with_runs()
    job["sheet"]["proof"] = [{"name": "Drop", **line}]
    assert worked(read_job(json.dumps(job).encode())).missing == ["Drop: no limit"]


def test_a_job_without_a_proof_is_not_finished() -> None:
    job = with_runs()
    job["sheet"]["proof"] = []
    assert worked(job).missing == ["proof: no line"]


@pytest.mark.parametrize(
    ("rows", "field", "value", "words"),
    [
        ("exceptions", "accepted", " ", "Say who accepted it, and on which day."),
        ("hold_points", "by", " ", "Somebody signs it: type the initials."),
        ("hold_points", "at", "2031-13-45", "There is no such day or time."),
        ("hold_points", "at", "2031-05-14 27:30", "There is no such day or time."),
    ],
)
def test_a_signature_is_somebody_s_and_of_a_day(rows: str, field: str, value: str, words: str) -> None:
    job = copy.deepcopy(JOB)
    job["sheet"][rows][0][field] = value
    with pytest.raises(JobError) as refused:
        read_job(json.dumps(job).encode())
    assert (refused.value.place, refused.value.message) == (f"sheet.{rows}[0].{field}", words)


def test_names_of_lines_are_compared_with_capitals_and_spaces_forgiven() -> None:
    lines = [
        {"id": "main  feed", "name": "Feed", "section": "Wiring", "price": "1"},
        {"id": "x", "name": "Amplifier", "section": "Wiring", "price": "1", "needs": "Main feed"},
    ]
    terms = {name: value for name, value in JOB["quote"].items() if name != "stays"}
    outcome = run_values(find_calculator("quote"), terms | {"lines": lines})
    assert outcome.errors == ()


def test_an_answer_is_what_a_run_gives() -> None:
    assert all(isinstance(run.answer, Answer) for run in WORKED.runs.values())
