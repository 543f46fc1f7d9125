"""The command line: what it prints, what it refuses, and that it never shows a traceback."""

import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calculators.__main__ import main
from calculators.declaring import Calculator, Number, answer_of
from calculators.release import VERSION, release
from calculators.stages import every_calculator, find_calculator, slugs_known
from tests.conftest import SOAK
from tests.examples import example_outcome

ANSWER_KEYS = {"calculator", "release", "version", "inputs", "values", "advice"}
ROOT = Path(__file__).resolve().parents[1]
SPEAKERS = [{"name": "a", "distance": 1.40}, {"name": "b", "distance": 0.85}]
every = pytest.mark.parametrize("calculator", every_calculator(), ids=lambda calculator: calculator.slug)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run the command line; gives the exit status, standard output and standard error."""

    def run_words(*words: str, stdin: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(stdin))
        status = main(words)
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return run_words


def run_process(*words: str, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """Run it as a person does, from a plain checkout."""
    return subprocess.run(
        [sys.executable, "-m", "calculators", *words],
        input=stdin,
        capture_output=True,
        cwd=ROOT,
        env={"PATH": "", **environment},
    )


def test_list_names_every_calculator(run: Any) -> None:
    for words in ((), ("--help",), ("-h",)):
        status, out, err = run(*words)
        assert (status, err) == (0, "")
        for calculator in every_calculator():
            assert f"  {calculator.slug} " in out
            assert calculator.title in out


@every
def test_help_tells_units_and_ranges(calculator: Calculator, run: Any) -> None:
    status, out, err = run(calculator.slug, "--help")
    assert (status, err) == (0, "")
    for entry in calculator.inputs:
        for field in entry.columns or (entry,):
            if isinstance(field.kind, Number) and not field.kind.options:
                assert f"{field.kind.quantity.unit(field.kind.show).to_typed(field.kind.high)}" in out


@every
def test_help_shows_how_a_row_is_written(calculator: Calculator, run: Any) -> None:
    out = run(calculator.slug, "--help")[1]
    for entry in calculator.inputs:
        if entry.columns:
            assert re.search(rf"--{entry.name.replace('_', '-')} \w+=…", out)


def test_help_of_delay(run: Any) -> None:
    out = run("delay", "--help")[1]
    assert "Distance; 5 to 1000 cm; units: cm, m, in" in out
    assert "Air in the cabin; -40 to 60 °C; units: °C, °F; default 20 °C" in out


def without_steps(said: str) -> str:
    """What was said besides how far long work has come."""
    return re.sub(r"^[^\n:]+: \d+ %\n", "", said, flags=re.MULTILINE)


@every
def test_without_values_the_example_is_shown(calculator: Calculator, run: Any) -> None:
    status, out, err = run(calculator.slug)
    assert (status, without_steps(err)) == (0, "")
    assert out.startswith("No values given: this is the built-in example.")


def test_values_by_option(run: Any) -> None:
    status, out, err = run(
        "delay", "--speakers", "name=a", "distance=140", "--speakers", "name=b", "distance=0,85m",
        "--temperature", "68°F", "--sample-rate=48",
    )  # fmt: skip
    assert (status, err) == (0, "")
    assert "1.603 ms" in out
    assert "77" in out


def test_negative_values_by_option(run: Any) -> None:
    for text in ("-10", "−10", "-10,0"):
        status, out, _ = run("sound-speed", "--temperature", text)
        assert status == 0
        assert "325.2 m/s" in out  # 343.2 √(263.15/293.15), ISO 9613-1 Formula A.5


@pytest.mark.parametrize(("words", "field", "reason"), [
    (("delay",  "--speakers", "distance=1"), "speakers[0].name", "missing"),
    (("delay", "--speakers", "name=a", "distance=0.85"), "speakers[0].distance", "between 5 cm and 1000 cm"),
    (("delay", "--speakers", "a"), "speakers", "name=value pairs of: name, distance, latency"),
    (("delay", "--speakers"), "--speakers", "expected at least one argument"),
    (("sound-speed", "--temperature", "99"), "temperature", "between −40 °C and 60 °C"),
    (("sound-speed", "--temperature"), "--temperature", "expected one argument"),
    (("sound-speed", "--temp", "9"), "--temp", "no such option"),
    (("sound-speed", "9"), "9", "no such option"),
    (("sound-speed", "--temperature", "1,200"), "temperature", "two ways"),
    (("sound-speed", "--temperature", "20", "--temperature", "30"), "temperature", "stands twice"),
    (("delay", "--speakers", "name=a", "distance=1", "distance=2"), "speakers[0].distance", "stands twice"),
    (("sound-speed", "--out", "x"), "--out", "no file to write"),
    (("no-such",), "calculator", "no calculator called 'no-such'"),
    (("crossover", "--slope", "6 dB/oct"), "slope", "Linkwitz-Riley comes in"),
    (("decibels", "--decibels", "3", "--power-ratio", "2"), "power_ratio", "just one of the four"),
])  # fmt: skip
def test_wrong_input_exits_2_with_field_and_reason(
    words: tuple[str, ...], field: str, reason: str, run: Any
) -> None:
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert err.startswith(f"{field}: ")
    assert reason in err


@pytest.mark.parametrize(("given_text", "field", "reason"), [
    ('{"temperature": 99}', "temperature", "between −40 °C and 60 °C"),
    ('{"temperature": NaN}', "temperature", "between"), ('{"temperature": 1e999}', "temperature", "between"),
    ('{"temperature": "20"}', "temperature", "a number in °C, without the unit"),
    ('{"heat": 1}', "heat", "no such input"),
    ("[]", "json", "one JSON object"), ("{", "json", "not JSON"), ("7", "json", "one JSON object"),
    ("[" * 100_000, "json", "too deep"),
    ('{"temperature": ' + "[" * 1100 + "]" * 1100 + "}", "json", "too deep"),
    ('{"temperature": 1' + "0" * 5000 + "}", "json", "too long"),
    ('{"temperature": 20, "temperature": 30}', "temperature", "twice"),
])  # fmt: skip
def test_wrong_json_exits_2_with_field_and_reason(given_text: str, field: str, reason: str, run: Any) -> None:
    status, out, err = run("sound-speed", "--json", stdin=given_text)
    assert (status, err) == (2, "")
    errors = json.loads(out)["errors"]
    assert [error["field"] for error in errors] == [field]
    assert reason in errors[0]["message"]


def test_text_files_are_read_one_after_another(tmp_path: Path, run: Any) -> None:
    """The end of the last line is missing, and each begins with the mark that some editors write."""
    columns = "\n".join(f"{hertz} 60 0" for hertz in range(1000, 16_000, 100))
    paths = []
    for point, lines in enumerate((columns, columns.replace(" 60 0", " 60")), start=1):
        path = tmp_path / f"point {point}.txt"
        head = f"\ufeffTweeter; seat 1; point {point}; arrival 2 ms; positive\n"
        path.write_text(head + lines, encoding="utf-8")
        paths.append(str(path))
    row = ("name=Tweeter", "part=tweeter", "side=left", "high_pass=3000")
    status, _, err = run(
        "tune", "--begin-with", "measurements", "--channels", *row, "--measurements", *paths
    )  # fmt: skip
    assert status == 2
    assert "measurements: Tweeter, seat 1, point 2 (line 152): a tune needs the phase too" in err
    given = {
        "begin_with": "measurements",
        "measurements": paths,
        "channels": [{"name": "Tweeter", "part": "tweeter", "side": "left", "high_pass": 3000.0}],
    }
    assert "point 2 (line 152)" in run("tune", "--json", stdin=json.dumps(given))[1]
    status, _, err = run("tune", "--measurements", paths[0], str(tmp_path / "none.txt"))
    assert (status, "There is no file" in err) == (2, True)
    assert "--measurements FILE …" in run("tune", "--help")[1]


def test_files_chosen_together_may_stand_behind_several_options_and_paths_may_be_odd(
    tmp_path: Path, run: Any
) -> None:
    for name in ("a", "b"):
        (tmp_path / name).write_text("nothing", encoding="utf-8")
    paths = [word for name in ("a", "b") for word in ("--measurements", str(tmp_path / name))]
    row = ("name=Tweeter", "part=tweeter", "side=left", "high_pass=3000")
    status, _, err = run("tune", "--begin-with", "measurements", "--channels", *row, *paths)
    assert (status, "No line of the file says whose" in err) == (2, True), err
    status, _, err = run("tune", "--measurements", "x" * 5000)
    assert (status, "cannot be read: File name too long" in err) == (2, True), err


def test_two_ways_to_write_a_name_are_one_name(run: Any) -> None:
    """An accent with its letter as two signs, as some devices type it: Unicode Standard Annex 15."""
    tasks = [{"name": "a", "work": 1.0}]
    people = [{"name": "Zoe\u0308"}, {"name": "Zo\u00eb"}]
    status, out, _ = run("job-hours", "--json", stdin=json.dumps({"people": people, "tasks": tasks}))
    assert (status, "a name of their own" in out) == (2, True)


def test_other_wrong_uses_of_json(run: Any) -> None:
    status, out, _ = run("no-such", "--json")
    assert status == 2
    assert json.loads(out)["errors"][0]["field"] == "calculator"
    status, out, _ = run("delay", "--json", "--temperature", "20")
    assert status == 2
    assert "standard input" in json.loads(out)["errors"][0]["message"]


def test_delay_by_json() -> None:
    """Path difference 1.40 m to 0.85 m at 20 °C: 1.60256 ms, 76.92 samples at 48 kHz (0.55/343.2)."""
    given_text = json.dumps({"speakers": SPEAKERS, "temperature": 20})
    done = run_process("delay", "--json", stdin=given_text.encode())
    assert (done.returncode, done.stderr) == (0, b"")
    answer = json.loads(done.stdout)
    assert set(answer) == ANSWER_KEYS
    assert (answer["calculator"], answer["version"]) == ("delay", 1)
    assert answer["release"].startswith(f"{VERSION}+")
    assert answer["inputs"]["speakers"][1]["distance"] == 0.85
    assert answer["inputs"]["temperature"] == 20
    far, near = answer["values"]["speakers"]
    assert (far["name"], far["delay"], far["samples"]) == ("a", 0, 0)
    assert near["name"] == "b"
    assert near["delay"] == pytest.approx(1.60256e-3, abs=0.5e-8)
    assert near["delay"] == pytest.approx(0.55 / 343.2, rel=1e-15)
    assert near["samples"] == 77


def test_the_answer_in_the_readme_is_the_answer(run: Any) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = json.loads(re.search(r"```json\n(.*?)```", text, re.DOTALL)[1])
    answer = json.loads(run(shown["calculator"], "--json", stdin=json.dumps(shown["inputs"]))[1])
    assert answer.pop("release").startswith(shown.pop("release").rstrip("…"))
    assert answer == shown


def test_a_release_follows_what_the_calculators_are_made_of(tmp_path: Path) -> None:
    package = tmp_path / "calculators"
    (package / "site").mkdir(parents=True)
    (package / "one.py").write_text("SPEED = 343.2", encoding="utf-8")
    before = release(package)
    release.cache_clear()
    (package / "site" / "build.py").write_text("", encoding="utf-8")
    assert release(package) == before
    release.cache_clear()
    (package / "one.py").write_text("SPEED = 999", encoding="utf-8")
    assert release(package) != before


def test_json_holds_advice(run: Any) -> None:
    far = [{"name": "a", "distance": 9}, {"name": "b", "distance": 0.5}]
    answer = json.loads(run("delay", "--json", stdin=json.dumps({"speakers": far}))[1])
    assert [set(entry) for entry in answer["advice"]] == [{"about", "message", "danger"}] * 2
    assert [entry["about"] for entry in answer["advice"]] == ["speakers", "speakers[0].distance"]
    assert not any(entry["danger"] for entry in answer["advice"])


def test_json_says_which_advice_is_a_danger(run: Any) -> None:
    """A metre of cable between battery and fuse, chafed through, burns (the running job's fuse)."""
    given_values = dict(find_calculator("fuse").example) | {"distance": 1.0}
    answer = json.loads(run("fuse", "--json", stdin=json.dumps(given_values))[1])
    assert answer["advice"][0]["danger"] is True
    assert "burn" in answer["advice"][0]["message"]


@every
def test_json_gives_full_precision(calculator: Calculator, run: Any) -> None:
    status, out, err = run(calculator.slug, "--json", stdin=json.dumps(dict(calculator.example)))
    assert (status, without_steps(err)) == (0, "")
    wanted = answer_of(example_outcome(calculator), release())
    assert json.loads(out) == json.loads(json.dumps(wanted.data()))


def test_describe_tells_inputs_outputs_units_and_ranges(run: Any) -> None:
    status, out, err = run("describe", "--json")
    assert (status, err) == (0, "")
    described = {entry["slug"]: entry for entry in json.loads(out)}
    assert tuple(described) == slugs_known()
    for calculator in every_calculator():
        entry = described[calculator.slug]
        assert [field["name"] for field in entry["inputs"]] == [field.name for field in calculator.inputs]
        assert [field["name"] for field in entry["outputs"]] == [field.name for field in calculator.outputs]
    temperature = described["sound-speed"]["inputs"][0]
    assert temperature["unit"] == "°C"
    assert (temperature["minimum"], temperature["maximum"], temperature["default"]) == (-40, 60, 20.0)
    rows = described["delay"]["inputs"][0]
    assert (rows["at_least"], rows["at_most"]) == (1, 16)
    assert [column["unit"] for column in rows["rows"][1:]] == ["m", "s", "s"]
    assert [entry["slug"] for entry in json.loads(run("describe", "delay")[1])] == ["delay"]
    assert run("describe", "no-such")[0] == 2


IMPORT_NOTHING_ELSE = """
import contextlib, io, sys

class Wall:
    def find_spec(self, name, path=None, target=None):
        top = name.partition(".")[0]
        if top not in sys.stdlib_module_names and top not in {"numpy", "calculators"}:
            raise ImportError(f"{name} is neither Python's nor NumPy's")

sys.meta_path.insert(0, Wall())
from calculators.__main__ import main
from calculators.stages import slugs_known

with contextlib.redirect_stdout(io.StringIO()):
    for words in ([], ["describe", "--json"], *([slug] for slug in slugs_known()[:: int(sys.argv[1])])):
        assert main(words) == 0, words
print("done", "calculators.site" in sys.modules)
"""


def test_python_and_numpy_are_enough() -> None:
    """For one calculator in eight; in the browser, where there is nothing else, and in long tests for all."""
    command = [sys.executable, "-c", IMPORT_NOTHING_ELSE, "1" if SOAK else "8"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    assert done.stdout == "done False\n", done.stderr


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_any_terminal_and_any_bytes(encoding: str) -> None:
    """The narrowest terminal meets all; wider ones what they write: the help, a name that is no text."""
    name = "Tür \\ud800 −".encode()
    given_text = b'{"speakers": [{"name": "%s", "distance": 1}]}' % name
    cases = (
        (("delay", "--json"), given_text, 0),
        (("delay", "--json"), b"\xef\xbb\xbf" + given_text, 0),
        (("delay", "--json"), b"\xff\xfe{", 2),
        (("delay",), b"", 0),
        (("delay", "--help"), b"", 0),
        (("delay", "--speakers", "name=−\udcff", "distance=1m"), b"", 0),
        (("delay", "--speakers", "name=−\udcff", "distance=\udcff"), b"", 2),
    )
    for words, stdin, status in cases if SOAK or encoding == "ascii" else cases[4:6]:
        done = run_process(*words, stdin=stdin, PYTHONIOENCODING=encoding)
        assert b"Traceback" not in done.stderr, done.stderr.decode("utf-8", "replace")
        assert done.returncode == status, words


OPTIONS = [
    f"--{entry.name.replace('_', '-')}" for calculator in every_calculator() for entry in calculator.inputs
]
WORDS = st.one_of(
    st.sampled_from(
        [*OPTIONS, "--json", "--", "-", "--help", "-h", "describe", "", "name=a", "=", "-1", "−1,5"]
    ),
    st.text(max_size=8),
    st.tuples(st.sampled_from(OPTIONS), st.text(max_size=5)).map("=".join),
)
SLUGS = st.sampled_from([*slugs_known(), "describe", "", "nonsense"])


@given(slug=SLUGS, words=st.lists(WORDS, max_size=5), stdin=st.text(max_size=10))
@example(slug="delay", words=["--", "--speakers"], stdin="")
@example(slug="delay", words=["--speakers", "--"], stdin="")
@example(slug="delay", words=["--speakers=x", "x=y"], stdin="")
@example(slug="delay", words=["--speakers", "a[0]=1", "[=2", ".=3"], stdin="")
@example(slug="sound-speed", words=["--temperature", "%(prog)s"], stdin="")
def test_any_words_end_with_0_or_2(slug: str, words: list[str], stdin: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", io.StringIO(stdin))
        patch.setattr(sys, "stdout", io.StringIO())
        patch.setattr(sys, "stderr", io.StringIO())
        assert main([slug, *words]) in {0, 2}


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@every
def test_any_json_ends_with_0_or_2(calculator: Calculator) -> None:
    names = st.sampled_from([entry.name for entry in calculator.inputs] or ["x"])

    @settings(max_examples=SOAK or 8)  # The door is the same for all; each brings its own names to it.
    @given(st.dictionaries(names, JSON, max_size=3))
    def check(given_values: dict[str, Any]) -> None:
        with pytest.MonkeyPatch.context() as patch:
            out = io.StringIO()
            patch.setattr(sys, "stdin", io.StringIO(json.dumps(dict(calculator.example) | given_values)))
            patch.setattr(sys, "stdout", out)
            status = main([calculator.slug, "--json"])
            assert set(json.loads(out.getvalue())) == (ANSWER_KEYS, {}, {"errors"})[status]

    check()


def test_names_are_found() -> None:
    assert find_calculator("delay").slug == "delay"
    with pytest.raises(KeyError, match="There are: battery-state"):
        find_calculator("nothing")


@pytest.mark.parametrize("words", [(), ("describe", "cable"), ("job", "docs/job.json"), ("cable",)], ids=str)
def test_a_full_standard_output_is_told_and_is_no_answer(words: tuple[str, ...]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "calculators", *words],
            stdin=subprocess.DEVNULL, stdout=full, stderr=subprocess.PIPE, cwd=ROOT, env={"PATH": ""},
        )  # fmt: skip
    assert (done.returncode, b"No space left on device" in done.stderr) == (2, True)
    assert not re.search(b"Traceback|Exception", done.stderr)


def test_a_closed_standard_input_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.MonkeyPatch.context() as closed:
        closed.setattr(sys, "stdin", None)
        status = main(["cable", "--json"])
    assert (status, "Standard input is closed" in capsys.readouterr().out) == (2, True)
