"""What every calculator answers to fixed inputs, as plain data: what `pinned/` keeps of it.

Four things of each: what it declares; its answers to a few cases, the example first; what becomes of the
example `along` each of its inputs, one changed at a time; and what is said on both sides of its `limits`,
where one input, moved by a millionth, changes the words. A long list stands there by a few sums, a picture
and a file always.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from itertools import chain
from math import isclose, log
from pathlib import Path
from statistics import median
from typing import Any
from zlib import crc32

import numpy as np

from calculators.declaring import (
    Calculator,
    Chart,
    Choice,
    Flag,
    InputField,
    Kept,
    Listening,
    Made,
    Number,
    Outcome,
    run_values,
)
from calculators.declaring.answers import plain, values_of
from calculators.declaring.outputs import OutputField
from calculators.declaring.quantities import Quantity
from tests.strategies import LONG_WORK
from tests.variations import numbers_of, with_value

PINNED = Path(__file__).resolve().parent / "pinned"
DIGITS = 11
LONGEST = 24
"""Numbers and words in a value that is kept as it is."""
STEPS = 7
ALONG = {"flatten": 0, "response": 3, "feed-sum": 3, "fir-correction": 5, "job-hours": 5}
"""Of the slow ones, in how many steps an input goes through its range."""
AROUND = (0.7, 0.9, 1.12, 1.4)
"""What the example is multiplied by, too: there the limits of advice are."""
TOLERANCE = 1e-9
LOOSER = {"flatten": 1e-6, "tune": 1e-6, "graphic-equaliser": 1e-6, "equaliser-headroom": 1e-7}
"""What ends by a tolerance of its own."""
ILL_SET = {
    ("feed-sum", "excess_low"): 1.0,
    ("feed-sum", "excess_high"): 1.0,
    ("filter", "phase_chart"): 0.5,
    ("equaliser-headroom", "chart"): 40.0,
}
"""What a last digit moves, and by how much: degrees left by the best delay, which is shallow there, and the
sum of a chart whose points stand beside a jump or where several are as high."""
SAMPLES = 1e-6
"""Of a sound: its samples are rounded to whole numbers."""
FLOOR = 0.1
"""Of the tolerance, a share of what the number's like has in the middle: below it, nothing is told."""
NOISE = 1e-12
NOISE_OF = {"level": 1e-9, "angle": 1e-9, "capacitance": 1e-21, "inductance": 1e-18}
"""What is left where levels or phases cancel, for each number, in its unit; parts never cancel."""
WORDS = {"label", "help", "columns"}
"""Of a declaration, what nothing is worked out by, or what is told apart."""
NAMES_OF_SUMS = {"sum", "weighted", "least", "most"}
NUMERAL = re.compile(r"-\b(?=\d*[A-F])[\dA-F]{4}\b|[-+\N{MINUS SIGN}]?\d[\d.,]*")
"""A number, or four signs in a file's name that stand for its contents: both change with every input."""
ABSENT = object()
SAID: dict[str, list[str]] = {}
"""Words by the sum that is kept of them, of all that was worked out in this run."""


def pinned(
    calculator: Calculator, cases: list[Mapping[str, Any]], limits: list[dict[str, Any]]
) -> dict[str, Any]:
    """All that is kept of a calculator, with these inputs for its cases, and beside these limits."""
    return {
        "declared": declared(calculator),
        "cases": [answered(calculator, inputs) for inputs in cases],
        "along": along(calculator),
        "limits": [beside(calculator, cases, limit) for limit in limits],
    }


def beside(
    calculator: Calculator, cases: list[Mapping[str, Any]], limit: Mapping[str, Any]
) -> dict[str, Any]:
    """What is said and worked out just below a limit and just above, and on it where that is certain."""
    place, inputs = limit["place"], cases[limit["case"]]
    outcomes = [run_values(calculator, with_value(calculator, place, at, inputs)) for at in limit["at"]]
    told = {"words": [code(wording(one)) for one in outcomes], "total": [total(one) for one in outcomes]}
    return {name: limit[name] for name in ("case", "place", "at")} | told


def wording(outcome: Outcome) -> list[str]:
    """All that an outcome says, without the numbers in it, for these change with every input."""
    if outcome.errors:
        return [f"{one.field}: {NUMERAL.sub('#', one.message)}" for one in outcome.errors]
    everything = {**values_of(outcome.result, outcome.calculator.outputs), **pictures_of(outcome)}
    shown = [value for value in everything.values() if not isinstance(value, Listening)]
    words = [part for part in parts(shown) if isinstance(part, str)]
    words += [f"{one.about}{'!' if one.danger else ''}: {one.message}" for one in outcome.advice]
    return [NUMERAL.sub("#", word) for word in words]


def total(outcome: Outcome) -> float:
    """The numbers of an outcome in one, in which a leap of any shows."""
    if outcome.errors:
        return 0.0
    values = values_of(outcome.result, outcome.calculator.outputs)
    steady = [value for name, value in values.items() if (outcome.calculator.slug, name) not in ILL_SET]
    return rounded(weighted(np.array([part for part in parts(steady) if not isinstance(part, str)])))


def declared(calculator: Calculator) -> list[dict[str, Any]]:
    """Its cautions and sources; then its inputs and outputs: ranges, units, defaults, how much is shown."""
    keys = {"cautions": " ".join(calculator.cautions), "sources": " ".join(calculator.sources)}
    own = {"name": calculator.slug, **keys}
    return [own, *(facts(entry) for entry in (*calculator.inputs, *calculator.outputs))]


def facts(entry: InputField | OutputField) -> dict[str, Any]:
    """All that one input or output, or a column of one, is declared by, but its words."""
    kind = entry.kind
    found = {"name": entry.name, "kind": type(kind).__name__}
    if isinstance(entry, InputField) and not entry.required:
        found["default"] = plain(entry.default)
    for field in fields(kind):
        value = getattr(kind, field.name)
        if field.name not in WORDS and value != field.default:
            named = isinstance(value, Quantity | type)
            found[field.name] = getattr(value, "name", "a record") if named else plain(value)
    return found | ({"columns": [facts(column) for column in entry.columns]} if entry.columns else {})


def answered(calculator: Calculator, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """One case: its inputs, and the errors or the whole answer."""
    outcome = run_values(calculator, inputs)
    told: dict[str, Any] = {"inputs": inputs}
    if outcome.errors:
        return told | {"errors": [{"field": one.field, "message": one.message} for one in outcome.errors]}
    values = values_of(outcome.result, calculator.outputs)
    kept = {name: condensed(value) for name, value in values.items()}
    pictures = {name: sums(value) for name, value in pictures_of(outcome).items()}
    files = {name: file_sums(made) for name, made in outcome.files.items() if not made.too_large}
    advice = [f"{one.about}{'!' if one.danger else ''}: {one.message}" for one in outcome.advice]
    sounds = {f"{name} {at}": file_sums(made) for at, (name, made) in enumerate(outcome.sounds)}
    several = (("pictures", pictures), ("files", files), ("sounds", sounds))
    more = {name: found for name, found in several if found}
    return told | {"values": kept, **more, "advice": advice}


def pictures_of(outcome: Outcome) -> dict[str, Any]:
    """Charts, drawings, papers and sounds to compare: what is no data."""
    outputs = [output for output in outcome.calculator.outputs if not output.kind.data]
    return {output.name: getattr(outcome.result, output.name) for output in outputs}


def parts(value: Any) -> Iterator[float | str]:
    """Every number and every text in a value, in their order.

    Of a chart's curves the ends alone, and not how far its upright axis goes: which points are left out as
    needless, and whether a curve that touches a line of the grid fits, hangs on the last digit.
    """
    if isinstance(value, str):
        yield value
    elif isinstance(value, bool | np.bool_) or value is None:
        yield str(value)
    elif isinstance(value, int | float):
        yield float(value)
    elif isinstance(value, Mapping):
        yield from chain.from_iterable(map(parts, value.values()))
    elif isinstance(value, list | tuple | np.ndarray):
        yield from chain.from_iterable(map(parts, value))
    elif isinstance(value, Chart):
        ends = (
            (min(known, default=0.0), max(known, default=0.0))
            for known in ([one for one in series.values if one is not None] for series in value.series)
        )
        upright = (value.y.label, value.y.unit, value.y.scale, value.y.decimals)
        rest = (value.title, value.x, upright, value.bands, value.table_at, value.read_at)
        names = ((series.label, series.line) for series in value.series)
        yield from chain.from_iterable(map(parts, (*rest, *names, *ends)))
    elif isinstance(value, Made | Kept):
        yield from (value.name, float(value.size))
    elif is_dataclass(value):
        yield from chain.from_iterable(parts(getattr(value, field.name)) for field in fields(value))
    else:
        yield str(value)


def condensed(value: Any) -> Any:
    """A value as it is, or by its sums if it is long; numbers to the figures that are kept."""
    if isinstance(value, list | dict):
        if sum(1 for _ in parts(value)) > LONGEST:
            if isinstance(value, list) and value and isinstance(value[0], dict):
                return {name: sums([row.get(name) for row in value]) for name in value[0]}
            if isinstance(value, dict):
                return {name: condensed(entry) for name, entry in value.items()}
            return sums(value)
        if isinstance(value, list):
            return [condensed(entry) for entry in value]
        return {name: condensed(entry) for name, entry in value.items()}
    return rounded(value) if isinstance(value, float) else value


def rounded(value: float) -> float:
    """A number to the figures that are kept."""
    return float(f"{value:.{DIGITS}g}")


def sums(value: Any) -> dict[str, Any]:
    """A few sums of the numbers in a value, and one of its texts."""
    found = list(parts(value))
    words = [part for part in found if isinstance(part, str)]
    numbers = np.array([part for part in found if not isinstance(part, str)])
    told: dict[str, Any] = {"words": code(words)} if words else {}
    if not numbers.size:
        return told
    return told | {
        "numbers": numbers.size,
        "sum": rounded(float(numbers.sum())),
        "weighted": rounded(weighted(numbers)),
        "size": rounded(float(np.abs(numbers).sum())),
        "least": rounded(float(numbers.min())),
        "most": rounded(float(numbers.max())),
    }


def weighted(numbers: np.ndarray) -> float:
    """A sum in which each place counts otherwise, so that two that changed places show."""
    return float(numbers @ (1 + np.arange(numbers.size) % 97 / 97))


def code(words: list[str]) -> str:
    """A short sum of texts; what it stands for is remembered, to be told."""
    short = f"{crc32(chr(0).join(words).encode(errors='replace')):08x}"
    SAID[short] = words
    return short


def file_sums(made: Made) -> dict[str, Any]:
    """What a file holds: the numbers and words of a text, the power of a sound, the bytes of another.

    Of each channel of a sound a sum besides, in which polarity and side show.
    """
    contents = made.contents
    if made.media_type.startswith("audio/"):
        samples = np.frombuffer(contents[44 : 44 + (len(contents) - 44) // 2 * 2], "<i2").astype(float)
        powers = {
            "power": samples,
            "of_steps": np.diff(samples),
            "of_the_first_half": samples[: samples.size // 2],
        }
        means = {name: rounded(float(np.mean(wave**2))) for name, wave in powers.items() if wave.size}
        channels = int.from_bytes(contents[22:24], "little")
        sides = {f"channel_{side + 1}": rounded(hashed(samples[side::channels])) for side in range(channels)}
        size = rounded(float(np.mean(np.abs(samples)))) if samples.size else 0.0
        return {"bytes": len(contents), "sound": means | sides | {"size": size}}
    if made.holds or made.media_type == "application/zip":
        return {"bytes": len(contents), "holds": sorted(one.name for one in made.holds)}
    pieces = re.split(r"(-?\d+\.\d+)", contents.decode(errors="replace"))
    return sums([float(piece) if at % 2 else piece for at, piece in enumerate(pieces)])


def hashed(samples: np.ndarray) -> float:
    """A mean with weights from -1 to 1 in no order, so that no tone and no noise comes to nothing in it."""
    places = np.arange(samples.size, dtype=np.uint64)
    weights = (places * places * np.uint64(2654435761) % np.uint64(2**32)) / 2.0**31 - 1
    return float(np.mean(samples * weights)) if samples.size else 0.0


def along(calculator: Calculator) -> dict[str, Any]:
    """What becomes of the example when one input is changed, and then the next."""
    steps = ALONG.get(calculator.slug, 0 if calculator.slug in LONG_WORK else STEPS)
    return {place: column(calculator, place, values) for place, values in ways(calculator, steps)}


def ways(calculator: Calculator, steps: int) -> Iterator[tuple[str, list[Any]]]:
    """Each place that holds a number, a choice or a flag, and what is put there."""
    if not steps:
        return
    for place, kind in numbers_of(calculator):
        value = at_place(calculator.example, place)
        yield place, points(kind, value, steps) + ([None] if kind.optional else [])
    for entry in calculator.inputs:
        if isinstance(entry.kind, Choice):
            yield entry.name, list(entry.kind.options)
        elif isinstance(entry.kind, Flag):
            yield entry.name, [False, True]
        for inner in entry.columns:
            if isinstance(inner.kind, Choice | Flag) and calculator.example.get(entry.name):
                options = getattr(inner.kind, "options", (False, True))
                yield f"{entry.name}[0].{inner.name}", list(options)


def at_place(values: Mapping[str, Any], place: str) -> Any:
    """What the example has at a place; None if nothing."""
    found: Any = values
    for step in re.findall(r"\w+", place):
        try:
            found = found[int(step) if step.isdigit() else step]
        except (KeyError, IndexError, TypeError):
            return None
    return found


def points(kind: Number, value: float | None, steps: int) -> list[float]:
    """Numbers from end to end of a range, and around the example's."""
    if kind.options:
        return [size for _, size in kind.options][:: max(1, len(kind.options) // (2 * steps))]
    low, high = kind.low, kind.high
    shares = [step / (steps - 1) for step in range(steps)]
    if low > 0 and log(high / low) > 3:
        found = [low * (high / low) ** share for share in shares]
    else:
        found = [low + (high - low) * share for share in shares]
    found += [value * part for part in AROUND if value and steps == STEPS]
    if kind.whole:
        found = [float(round(one)) for one in found]
    return sorted({min(max(float(f"{one:.4g}"), low), high) for one in found})


def column(calculator: Calculator, place: str, values: list[Any]) -> dict[str, Any]:
    """What each value at a place leads to: for each output one number, what was said, and its words."""
    rows = [point(run_values(calculator, with_value(calculator, place, value))) for value in values]
    names = list(dict.fromkeys(chain.from_iterable(rows)))
    return {"at": values} | {name: alike([row.get(name) for row in rows]) for name in names}


def point(outcome: Outcome) -> dict[str, Any]:
    """An outcome in one line."""
    if outcome.errors:
        return {"said": f"no: {' '.join(one.field for one in outcome.errors)}"}
    told: dict[str, Any] = {
        "said": " ".join(f"{one.about}{'!' if one.danger else ''}" for one in outcome.advice)
    }
    words: list[str] = []
    everything = {**values_of(outcome.result, outcome.calculator.outputs), **pictures_of(outcome)}
    for name, value in everything.items():
        if isinstance(value, Listening):
            continue
        found = list(parts(value))
        numbers = np.array([part for part in found if not isinstance(part, str)])
        words += [part for part in found if isinstance(part, str)]
        if numbers.size:
            told[f"= {name}"] = rounded(weighted(numbers))
    return told | {"words": code(words)}


def alike(values: list[Any]) -> Any:
    """One value, where all are the same."""
    return values[0] if all(value == values[0] for value in values) else values


def differences(slug: str, before: Any, after: Any, tolerance: float = TOLERANCE) -> list[str]:
    """A line for each value that is another one: where, before and after.

    tolerance: how near two numbers are alike, as a ratio, where `LOOSER` has none for a calculator.
    """
    before, after = (spread(json.loads(json.dumps(kept))) for kept in (before, after))
    old, new = dict(leaves(before)), dict(leaves(after))
    quantities = quantities_of(before.get("declared", []))
    sizes: dict[str, list[float]] = {}
    for where, value in old.items():
        if isinstance(value, float) and value:
            sizes.setdefault(kin(where), []).append(abs(value))
    middles = {name: median(found) for name, found in sizes.items()}
    lines = []
    for where in dict.fromkeys((*old, *new)):
        one, other = old.get(where, ABSENT), new.get(where, ABSENT)
        if is_number(one) and is_number(other):
            name = output_of(where)
            beside, _, last = where.rpartition(".")
            size = old.get(f"{beside}.size", 0.0) if last in NAMES_OF_SUMS or "channel_" in last else 0.0
            nearness = SAMPLES if ".sound." in where else LOOSER.get(slug, tolerance)
            noise = NOISE_OF.get(quantities.get(name, ""), NOISE) * old.get(f"{beside}.numbers", 1)
            small = nearness * max(FLOOR * middles.get(kin(where), 0.0), size)
            least = max(small, noise, ILL_SET.get((slug, name), 0.0))
            if isclose(one, other, rel_tol=nearness, abs_tol=least) or is_length_of_text(where, old):
                continue
        elif one == other and isinstance(one, bool) is isinstance(other, bool):
            continue
        lines.append(f"{where}: {shown(one)} before, {shown(other)} now{said_alone(where, new)}")
    return lines


def said_alone(where: str, new: Mapping[str, Any]) -> str:
    """What is said now on one side of a limit and not on all: its sum tells a reader nothing."""
    if not (limit := re.match(r"limits\[\d+\]\.words", where)):
        return ""
    sides = [SAID.get(short, []) for place, short in new.items() if place.startswith(f"{limit[0]}[")]
    alone = [words for words in SAID.get(new.get(where, ""), []) if not all(words in side for side in sides)]
    return f", here alone: {' / '.join(alone)}" if alone else ""


def spread(kept: dict[str, Any]) -> dict[str, Any]:
    """What is kept, without `alike`: a last digit in one value of a column makes no other list of it."""
    return kept | {
        "along": {
            place: {
                name: found if isinstance(found, list) else [found] * len(column["at"])
                for name, found in column.items()
            }
            for place, column in kept.get("along", {}).items()
        }
    }


def quantities_of(entries: list[dict[str, Any]]) -> dict[str, str]:
    """The quantity of each input, output and column, by its name."""
    found: dict[str, str] = {}
    for entry in entries:
        found |= quantities_of(entry.get("columns", [])) | {entry["name"]: entry.get("quantity", "")}
    return found


def output_of(where: str) -> str:
    """The name of the output, or of its column, that a number belongs to."""
    names = [
        name
        for name in re.findall(r"\w+", where)
        if not name.isdigit() and name not in {*NAMES_OF_SUMS, "size"}
    ]
    return names[-1] if names else ""


def is_number(value: Any) -> bool:
    """Whether a value is a number and no flag."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def is_length_of_text(where: str, kept: Mapping[str, Any]) -> bool:
    """Whether a number is the bytes of a text, which hang on how its numbers are written: these are kept."""
    found = re.fullmatch(r"(.*)\.values\.(\w+)\.size", where)
    return found is not None and f"{found[1]}.files.{found[2]}.words" in kept


def shown(value: Any) -> str:
    """A value as a line tells it."""
    return "nothing" if value is ABSENT else json.dumps(value)


def leaves(value: Any, where: str = "") -> Iterator[tuple[str, Any]]:
    """Everything that is no list and no record, with where it stands."""
    if isinstance(value, dict) and value:
        for name, entry in value.items():
            yield from leaves(entry, f"{where}.{name}" if where else name)
    elif isinstance(value, list) and value:
        for index, entry in enumerate(value):
            yield from leaves(entry, f"{where}[{index}]")
    else:
        yield where, value


def kin(where: str) -> str:
    """The name that the same number of other cases has, too."""
    return re.sub(r"\[\d+\]", "[]", where)


def path_of(slug: str) -> Path:
    """Where what is kept of a calculator lies."""
    return PINNED / f"{slug}.json"


def read(slug: str) -> dict[str, Any]:
    """What is kept of a calculator."""
    kept: dict[str, Any] = json.loads(path_of(slug).read_text(encoding="utf-8"))
    return kept


def misfits(calculator: Calculator, inputs: Mapping[str, Any]) -> list[str]:
    """Names in a case that its calculator does not know, and those that it wants and the case has not."""
    known = {entry.name: entry for entry in calculator.inputs}
    wanted = {name for name, entry in known.items() if entry.required}
    found = [*(name for name in inputs if name not in known), *sorted(wanted - set(inputs))]
    for name, entry in known.items():
        names = {column.name for column in entry.columns}
        rows = inputs.get(name) if names else None
        columns = chain.from_iterable(rows) if isinstance(rows, list | tuple) else ()
        found += [f"{name}.{column}" for column in dict.fromkeys(columns) if column not in names]
    return found


def changes(calculator: Calculator) -> list[str]:
    """What a calculator answers otherwise than it did."""
    kept = read(calculator.slug)
    now = pinned(calculator, [case["inputs"] for case in kept["cases"]], kept["limits"])
    return differences(calculator.slug, kept, now)
