"""A calculator that is declared wrongly: told where it stands, with the field and a remedy."""

import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import pytest

from calculators import __main__, stages
from calculators.declaring import (
    Advice,
    Bands,
    Calculator,
    Choice,
    Number,
    Output,
    OutputList,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.errors import DeclarationError
from calculators.declaring.inputs import Kind
from calculators.declaring.outputs import OutputKind
from calculators.declaring.quantities import LENGTH, LEVEL, RATIO
from calculators.job.schema import SCHEMAS
from calculators.presenting import plain_text, results, values
from calculators.presenting.inputs import RENDERERS


@dataclass(frozen=True, kw_only=True)
class Warmth:
    """A result that is declared well."""

    case: Annotated[float, Output("Case", LENGTH, main=True)]
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True)
class Bare:
    """A row whose column is not annotated."""

    name: str


@dataclass(frozen=True)
class Nested:
    """A row with rows in it."""

    parts: Annotated[tuple[Bare, ...], Bands("Parts", LEVEL, -1, 1)]


def declare(function: Callable[..., Any], **example: Any) -> Callable[..., Any]:
    return calculator(title="Heat", example=example, sources=("arithmetic",))(function)


def taking(kind: Kind, *default: Any) -> Callable[..., Any]:
    """A calculator with one input of that kind."""

    def heat(output: Any) -> Warmth:
        """How warm it is."""
        return Warmth(case=1.0)

    heat.__annotations__["output"] = Annotated[float, kind]
    heat.__defaults__ = default
    return heat


def giving(kind: Any, hint: Any = float) -> Callable[..., Any]:
    """A calculator with one output of that kind, or with a bare one for None."""

    @dataclass(frozen=True, kw_only=True)
    class Wrong:
        case: hint if kind is None else Annotated[hint, kind]  # type: ignore[valid-type]

    def heat() -> Any:
        """How warm it is."""
        return Wrong(case=1.0)

    heat.__annotations__["return"] = Wrong
    return heat


@dataclass(frozen=True, kw_only=True)
class Listed:
    """A result whose list is named as a figure."""

    case: Annotated[str, OutputText("Case", brief="sizes")]
    sizes: Annotated[tuple[float, ...], OutputList("Sizes", LENGTH)]


@dataclass(frozen=True, kw_only=True)
class Undecided:
    """A result with two answers that the reader came for."""

    case: Annotated[float, Output("Case", LENGTH, main=True)]
    size: Annotated[float, Output("Size", LENGTH, main=True)]


def deciding() -> Undecided:
    return Undecided(case=1.0, size=1.0)


def listing() -> Listed:
    return Listed(case="", sizes=())


def unannotated(output: float) -> Warmth:
    return Warmth(case=output)


def resultless(output: Annotated[float, Number("Output", RATIO, 0, 1)]) -> float:
    return output


MISTAKES = [
    (unannotated, "unannotated: output is not annotated with an input: write output: Annotated"),
    (resultless, "resultless: its result is .*float.*: return a frozen dataclass of outputs"),
    (giving(None), "heat: case of its result is not annotated with an output, so nobody would see it: write"),
    (giving(Output("Case", LENGTH, show="percent")),
     "heat: case of its result: 'percent' is no unit of length: use one of 'm', "),
    (giving(Output("Case", LENGTH, also=("acre",))), "case of its result: 'acre' is no unit of length"),
    (giving(OutputList("Case", LENGTH, show="Hz")), "case of its result: 'Hz' is no unit of length"),
    (giving(OutputText("Case", brief="core"), str), "case of its result: brief: there is no output 'core'"),
    (listing, "case of its result: brief: 'sizes' is more than a line: name"),
    (deciding, "deciding: size of its result: main: case is the answer the reader came for already: mark"),
    (giving(Output("Case", LENGTH)), "heat: none of its outputs is what the reader came for: mark that one"),
    (taking(Number("Output", RATIO, 0, 1, unless="measured")),
     "output: unless: there is no input 'measured'"),
    (giving(Output("Case", 1.0)), r"case of its result: 1\.0 is no quantity: name one of"),
    (giving(OutputRows("Case")), "heat: case holds rows: annotate a tuple"),
    (taking(Number("Output", RATIO, 0, 1, show="percent")), "heat: output: 'percent' is no unit of ratio"),
    (taking(Number("Output", RATIO, 0, 1, units=("W",))), "heat: output: 'W' is no unit of ratio"),
    (taking(Number("Output", 0, 1, 2)), "heat: output: 0 is no quantity: name one of"),
    (taking(Number("Output", RATIO, 5000, 0)), "heat: output: its range ends at 0, below 5000: give"),
    (taking(Number("Output", RATIO, 0, 1, usual=(0.8, 0.2))), r"usual range \(0.8, 0.2\) is turned round"),
    (taking(Number("Output", RATIO, 0, 1, usual=(2, 3))), r"usual range \(2, 3\) lies outside 0 to 1"),
    (taking(Number("Output", RATIO, 0, 1, options=(("two", 2.0),))), "its option 'two' lies outside 0 to 1"),
    (taking(Number("Output", RATIO, 0, 1), 7.0), r"its default 7\.0: Output must be between 0 and 1\."),
    (taking(Number("Output", RATIO, 0, 1), None), "its default None: Output must be a number"),
    (taking(Bands("Output", LEVEL, 3, -3)), "heat: output: its range ends at -3, below 3"),
    (taking(Choice("Output", {})), "heat: output: it has no options: give the words"),
    (taking(Choice("Output", {"a": "A"}), "b"), "its default 'b': Output must be one of: a"),
    (taking(Text("Output", longest=2), "long"), "its default 'long': Output can have 2 letters at most"),
]  # fmt: skip


@pytest.mark.parametrize(("function", "said"), MISTAKES, ids=[said[:50] for _, said in MISTAKES])
def test_a_mistake_is_told_where_it_is_declared(function: Callable[..., Any], said: str) -> None:
    with pytest.raises(DeclarationError, match=rf"^[\w.]*test_declarations, .*{said}"):
        declare(function)


def rows_of(record: type, at_least: int = 1) -> Callable[..., Any]:
    heat = taking(Rows("Parts", "part", at_least=at_least, at_most=4))
    heat.__annotations__["output"] = Annotated[
        tuple[record, ...], Rows("Parts", "part", at_least=at_least, at_most=4)  # type: ignore[valid-type]
    ]
    return heat


def test_a_mistake_in_a_row_names_its_column() -> None:
    with pytest.raises(DeclarationError, match="heat, output: name is not annotated with an input"):
        declare(rows_of(Bare))
    with pytest.raises(DeclarationError, match="output: its column parts has fields of its own"):
        declare(rows_of(Nested))
    with pytest.raises(DeclarationError, match="output holds rows: annotate a tuple"):
        declare(rows_of(int))
    with pytest.raises(DeclarationError, match="it wants 5 to 4 rows: give the smaller number first"):
        declare(rows_of(Warmthless, at_least=5))


@dataclass(frozen=True)
class Warmthless:
    """A row that is declared well."""

    name: Annotated[str, Text("Name")]


@pytest.mark.parametrize(("what", "key"), [("source", "thermal"), ("caution", "S99")])
def test_an_unknown_key_is_told_by_what_it_should_be(what: str, key: str) -> None:
    given: dict[str, Any] = {"sources": ("arithmetic",), "cautions": (), f"{what}s": (key,)}
    entry = Calculator(taking(Text("Output")), "Heat", equations=(), example={}, **given)
    said = rf"_declarations, heat: {what}s: there is no {what} '{key}' in calculators/{what}s\.py: add"
    with pytest.raises(DeclarationError, match=said):
        stages.with_known_keys(entry)


def test_a_key_without_its_comma_is_told() -> None:
    """`("kinsler")` is a text, of which each letter would be a key."""
    entry = Calculator(taking(Text("Output")), "Heat", "kinsler", (), (), {})  # type: ignore[arg-type]
    with pytest.raises(
        DeclarationError, match=r"heat: sources: write them as a tuple of keys: \('kinsler',\)"
    ):
        stages.with_known_keys(entry)


def test_a_calculator_without_a_source_is_told() -> None:
    entry = Calculator(taking(Text("Output")), "Heat", (), (), (), {})
    with pytest.raises(DeclarationError, match="_declarations, heat: sources: it names none: give a key of"):
        stages.with_known_keys(entry)


def test_an_example_gives_what_is_asked_for_and_no_more() -> None:
    number = Number("Output", RATIO, 0, 1)
    with pytest.raises(DeclarationError, match="example: there is no input 'outptu': use one of output"):
        declare(taking(number), outptu=0.5)
    with pytest.raises(DeclarationError, match="example: it gives no output, which has no default: give"):
        declare(taking(number))


def test_an_example_keeps_to_the_ranges() -> None:
    """Of rows, too: the command line would answer it, and tests fail at other places."""
    with pytest.raises(DeclarationError, match=r"heat: example: output: Output must be between 0 and 1\."):
        declare(taking(Number("Output", RATIO, 0, 1)), output=7.0)
    with pytest.raises(DeclarationError, match=r"heat: example: output: Parts: give 1 to 4"):
        declare(rows_of(Warmthless), output=[{"name": "one"}] * 5)


@pytest.mark.parametrize("equations", [{"output": "2"}, ("2*output",), "output = 2"])
def test_equations_that_are_no_tuple_of_equations_are_told(equations: Any) -> None:
    entry = Calculator(taking(Text("Output")), "Heat", (), (), equations, {"output": "2"})
    with pytest.raises(DeclarationError, match="_declarations, heat: equations: write them as a tuple"):
        entry.checked()


def test_a_name_in_an_equation_that_nothing_has_is_told() -> None:
    """Printed as it stands, it would send a reader to look for an input that is not there."""
    equations = ("half = output/2", "case = 2*half*ouptut")
    entry = Calculator(taking(Number("Output", RATIO, 0, 1)), "Heat", (), (), equations, {"output": 0.5})
    with pytest.raises(DeclarationError, match=r"heat: equations: ouptut in 'case = 2\*half\*ouptut' is no"):
        entry.checked()


def test_a_function_that_equations_do_not_know_is_told() -> None:
    """Any other is met by what prints the equation, in words of that."""
    equations = ("half = min(output, 1)", "case = Max(half, output)")
    entry = Calculator(taking(Number("Output", RATIO, 0, 1)), "Heat", (), (), equations, {"output": 0.5})
    said = r"heat: equations: Max in 'case = Max\(half, output\)' is no function .*: use one of abs, cos"
    with pytest.raises(DeclarationError, match=said):
        entry.checked()


def test_a_calculator_without_help_is_told() -> None:
    mute = taking(Number("Output", RATIO, 0, 1), 0.5)
    mute.__doc__ = None
    with pytest.raises(DeclarationError, match="_declarations, heat: it has no docstring: write what it"):
        declare(mute)


def test_a_function_named_unlike_its_file_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The file, what it declares instead, and what the function should be called."""
    entry = stages.find_calculator("delay")
    said = r"stages\.tuning\.delay: it declares no calculator delay: {}; decorate the function delay with"
    monkeypatch.setattr(stages, "registered", lambda: {"latency": entry})
    with pytest.raises(DeclarationError, match=said.format("what is decorated there is called latency")):
        stages.find_calculator("delay")
    monkeypatch.setattr(stages, "registered", dict)
    with pytest.raises(DeclarationError, match=said.format("nothing there is decorated")):
        stages.find_calculator("delay")


def test_the_command_line_tells_a_wrong_declaration_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def wrong(slug: str) -> Calculator:
        raise DeclarationError(f"{slug}: its range ends at 0, below 5000: give the lower end first")

    monkeypatch.setattr(__main__, "find_calculator", wrong)
    monkeypatch.setattr("sys.argv", ["doorcard", "heat"])
    assert __main__.run() == 1
    assert capsys.readouterr().err == "heat: its range ends at 0, below 5000: give the lower end first\n"


def test_the_tables_of_input_kinds_are_complete() -> None:
    """A new kind of input is one file and one row of each table: how it is shown, how a job holds it."""
    kinds = {kind for kind in Kind.__subclasses__() if kind.__module__.startswith("calculators.")}
    assert kinds == set(RENDERERS)
    assert kinds == set(SCHEMAS)
    assert all(renderer.control or kind.several for kind, renderer in RENDERERS.items())


def test_the_tables_of_output_kinds_are_complete() -> None:
    """A new kind of output is one class, and one row for a line, or one each for page and terminal."""

    def below(kind: type[OutputKind]) -> set[type[OutputKind]]:
        return {kind}.union(*map(below, kind.__subclasses__())) - {OutputKind}

    ours = {kind for kind in below(OutputKind) if kind.__module__.startswith("calculators.")}
    assert set(values.WORDS) | set(results.BLOCKS) == ours
    assert set(values.WORDS) | set(plain_text.BLOCKS) == ours


def test_a_result_that_is_declared_well_says_nothing() -> None:
    declare(taking(Number("Output", RATIO, 0, 1), 0.5))
    assert OutputText("Case").fault() is None
    assert re.fullmatch(r".*test_declarations, heat", Calculator(taking(Text("T")), "", (), (), (), {}).place)


def test_a_test_file_that_a_wrong_declaration_stops_says_the_sentence_alone(tmp_path: Path) -> None:
    broken = tmp_path / "test_broken.py"
    raises = "raise DeclarationError('delay: equations: write one of abs, cos')"
    broken.write_text(f"from calculators.declaring.errors import DeclarationError\n{raises}\n", "utf-8")
    command = (sys.executable, "-m", "pytest", "-q", "-n", "0", "-p", "tests.conftest", str(broken))
    told = subprocess.run(command, capture_output=True, text=True, check=False).stdout
    assert "\ndelay: equations: write one of abs, cos\n" in told
    assert "raise DeclarationError" not in told
