"""The command line: ``python -m calculators`` lists, ``python -m calculators delay --help`` explains.

Needs Python and NumPy alone.
"""

import argparse
import json
import sys
from binascii import crc32
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from functools import partial
from io import TextIOWrapper
from itertools import chain
from pathlib import Path
from re import fullmatch
from typing import Any
from unicodedata import category, normalize

from calculators.declaring import (
    Calculator,
    File,
    InputError,
    Kept,
    Outcome,
    Working,
    answer_of,
    drain,
    example_fields,
    run_values,
    steps_typed,
)
from calculators.declaring.errors import DeclarationError
from calculators.job.codes import ADDRESS
from calculators.job.command import JOB_FILE, files, report, status
from calculators.job.reading import LARGEST, JobError, read_job
from calculators.job.schema import job_schema
from calculators.job.working import Worked, work_out
from calculators.presenting import plain_text, values
from calculators.release import release
from calculators.stages import CONTENTS, every_calculator, find_calculator

WRONG_INPUT = 2
WRONG_DECLARATION = 1


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit status is 0, or 2 for wrong input."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if not words or words[0] in {"-h", "--help"}:
        print(listing())
        return 0
    if words[0] == "describe":
        return describe(words[1:])
    if words[0] == "job":
        return work_job(words[1:])
    try:
        calculator = find_calculator(words[0])
    except KeyError as error:
        return fail([InputError("calculator", str(error.args[0]))], "--json" in words)
    if {"-h", "--help"} & set(words[1:]):
        print(plain_text.manual(calculator))
        return 0
    as_json = "--json" in words
    try:
        rest, out = without_out(words[1:])
    except InputError as error:
        return fail([error], as_json)
    return (run_json if as_json else run_options)(calculator, rest, out)


JOB_USE = (
    "job FILE              work a job file out, and say what is stale, missing and out of tolerance",
    "job FILE --out FOLDER write its sheets, and the job with its answers, too",
    "    --renew           with today's answers in place of those that are out of date",
    "    --address URL     with codes on the tuning sheet, which open in the handbook at that address",
    "    --shop WORDS      with who prints them on each sheet",
    "job --schema          the form of a job file, as a JSON Schema",
)


def listing() -> str:
    """All calculators, by stage."""
    lines = ["Calculators. Run one with: python -m calculators NAME; its options with: … NAME --help", ""]
    for stage in CONTENTS.values():
        lines.append(f"{stage.title}:")
        lines += [f"  {slug:<22} {find_calculator(slug).title}" for slug in stage.slugs]
    lines += ["", *JOB_USE]
    lines += ["describe --json       every calculator's inputs, outputs, units and ranges"]
    return "\n".join(lines)


def describe(words: Sequence[str]) -> int:
    """Print the description of all calculators, or of those named, as JSON."""
    names = [word for word in words if word != "--json"]
    try:
        chosen = [find_calculator(name) for name in names] if names else list(every_calculator())
    except KeyError as error:
        return fail([InputError("calculator", str(error.args[0]))], True)
    print(json.dumps([values.description(calculator) for calculator in chosen], indent=2))
    return 0


def without_out(words: Sequence[str]) -> tuple[list[str], Path | None]:
    """The other words, and the path behind ``--out``. Raises InputError where there is none."""
    if "--out" not in words:
        return list(words), None
    place = words.index("--out")
    if place + 1 == len(words):
        raise InputError("--out", "Say where the file shall be written.")
    return [*words[:place], *words[place + 2 :]], Path(words[place + 1])


RENEW = "--renew"
"""Asks for today's answers in place of those that were kept and are out of date."""


def work_job(words: Sequence[str]) -> int:
    """Work a job file out, say what is left of it, and write its sheets where that is asked for.

    The status is 0 for a finished job, 1 for one with something stale, missing or out of tolerance, and 2 for
    a file that is no job.
    """
    if {"-h", "--help"} & set(words):
        print("\n".join(JOB_USE))
        return 0
    if "--schema" in words:
        if extra := [word for word in words if word != "--schema"]:
            return fail([InputError(extra[0], "Behind job --schema nothing stands.")], False)
        print(json.dumps(job_schema(), indent=1))
        return 0
    try:
        rest, out = without_out([word for word in words if word != RENEW])
        rest, address = without_said(rest, "--address")
        rest, shop = without_said(rest, "--shop")
        if address and not fullmatch(ADDRESS, address):
            raise InputError(
                "--address", "Say where the handbook stands, like https://example.org/handbook/."
            )
        if len(rest) != 1:
            raise InputError("job", "Name one job file.")
        file = Path(rest[0])
        worked = work_out(read_job(bytes_of(file)), release())
        if out is not None:
            if is_folder(out) and (out / JOB_FILE).resolve() == file.resolve():
                raise InputError("--out", f"{file} was read: it is not written over. Name another folder.")
            if is_folder(out) and (out / JOB_FILE).exists():
                raise InputError("--out", f"A job lies in {out} already: name another folder.")
            write_sheets(worked, out, RENEW in words, address, shop)
    except JobError as error:
        return fail([InputError(error.place, error.message)], False)
    except InputError as error:
        return fail([error], False)
    print(without_controls(report(worked)))
    return status(worked)


def bytes_of(path: Path) -> bytes:
    """A file's contents, no more than tells it too large. Raises InputError where it cannot be read."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        raise InputError("job", f"{path} cannot be read: {error.strerror}.") from None


def without_said(words: list[str], name: str) -> tuple[list[str], str]:
    """The words without an option and what it says, and that. Raises InputError where it says nothing."""
    if name not in words:
        return words, ""
    place = words.index(name)
    if place + 1 == len(words):
        raise InputError(name, "Say it behind the option.")
    return [*words[:place], *words[place + 2 :]], words[place + 1]


def write_sheets(worked: Worked, folder: Path, renew: bool, address: str, shop: str) -> None:
    """The sheets of a job as new files of a folder. Raises InputError, in words, where that cannot be."""
    # All are made before the first is written: a folder never holds half a job, nor a mix of two.
    made = list(files(worked, date.today().isoformat(), release(), renew, address, shop))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError("--out", f"{folder} cannot be written: {error.strerror}.") from None
    wanted = [(folder / name, (contents,)) for name, contents in made]
    if there := next((path for path, _ in wanted if path.is_symlink() or path.exists()), None):
        raise InputError("--out", f"{there} is there already: name another folder.")
    write_all(wanted)
    print(f"The sheets are written to {folder}.", file=sys.stderr)


def write_files(outcome: Outcome, out: Path | None, read: Iterable[Kept]) -> list[dict[str, Any]]:
    """Write the files made, if that was asked for, and say which: path, size and checksum of each.

    Raises InputError, in words, where it cannot be done, and where a file that was read would be lost.
    """
    if out is None:
        return []
    files = [*outcome.files.values(), *(made for _, made in outcome.sounds)]
    into = is_folder(out)
    if into:
        files = [each for made in files for each in made.holds or (made,)]
    if not files:
        raise InputError("--out", "There is no file to write.")
    if len(files) > 1 and not into:
        raise InputError("--out", f"{len(files)} files are made: name a folder that is there.")
    paths = [out / Path(made.name).name if into else out for made in files]
    for path in paths:
        if path.exists() and any(path.samefile(each.handle) for each in read):
            raise InputError("--out", f"{path} was read: it is not written over. Name another.")
        if (
            path.is_file() or paths.count(path) > 1
        ):  # Another speaker's, perhaps, whose name differs by a sign.
            raise InputError("--out", f"{path} is there already: name another.")
    written = write_all([(path, made.pieces()) for path, made in zip(paths, files, strict=True)])
    for each in written:
        words = f"{each['path']} is written: {each['size']} bytes, CRC-32 {each['crc32']}."
        print(words, file=sys.stderr)
    return written


def is_folder(path: Path) -> bool:
    """Whether a path is a folder that is there. Raises InputError for what can be no path."""
    try:
        return path.is_dir()
    except OSError as error:
        raise InputError("--out", f"{path} cannot be written: {error.strerror}.") from None


def write_all(files: Iterable[tuple[Path, Iterable[bytes]]]) -> list[dict[str, Any]]:
    """Write files, and say path, size and checksum of each; where one cannot be written whole, none stays.

    Raises InputError, in words, where it cannot be done.
    """
    begun: list[Path] = []
    try:
        return [write(path, pieces, begun) for path, pieces in files]
    except BaseException:  # A full disk, or Ctrl-C: a file cut off is taken for a whole one later.
        for path in begun:
            with suppress(OSError):
                path.unlink()
        raise


def write(path: Path, pieces: Iterable[bytes], begun: list[Path]) -> dict[str, Any]:
    """Write a file, named in ``begun`` once it is a new one. Raises InputError where it cannot be done."""
    size, checksum = 0, 0
    new = not path.exists()  # A terminal or a pipe is there, and is no file to write anew.
    try:
        with path.open("xb" if new else "wb") as file:
            begun += [path] if new else []
            for piece in pieces:
                file.write(piece)
                size += len(piece)
                checksum = crc32(piece, checksum)
    except OSError as error:
        raise InputError("--out", f"{path} cannot be written: {error.strerror}.") from None
    return {"path": str(path), "size": size, "crc32": f"{checksum:08x}"}


def run_json(calculator: Calculator, words: Sequence[str], out: Path | None) -> int:
    """Read one JSON object from standard input, print one on standard output."""
    extra = [word for word in words if word != "--json"]
    if extra:
        return fail([InputError(extra[0], "With --json all values come from standard input.")], True)
    try:
        given = read_object(calculator)
        read = kept_files(calculator, given)
        outcome = run_values(
            calculator, given | {name: as_one(files) for name, files in read.items()}, tell_step
        )
        if outcome.errors:
            return fail(outcome.errors, True)
        files = list(chain.from_iterable(read.values()))
        named = [*map(told_of, files), *write_files(outcome, out, files)]
    except InputError as error:
        return fail([error], True)
    answer = answer_of(outcome, release()).data()
    # What stands outside the answer: the files that were read and written.
    print(json.dumps(answer | ({"files": named} if named else {}), allow_nan=False))
    return 0


def told_of(file: Kept) -> dict[str, Any]:
    """A file that was read: path, size and checksum."""
    return {"path": file.handle, "size": file.size, "crc32": f"{crc32(file.read(0, file.size)):08x}"}


def kept_files(calculator: Calculator, given: Mapping[str, Any]) -> dict[str, list[Kept]]:
    """The files whose paths were given, by the name of their input. Raises InputError where there is none."""
    files = {}
    for entry in calculator.inputs:
        path = given.get(entry.name)
        if not isinstance(entry.kind, File) or not path:
            continue
        paths = path if isinstance(path, list) and entry.kind.together else [path]
        if all(isinstance(each, str) for each in paths):
            files[entry.name] = [kept_file(entry.name, each) for each in paths]
    return files


def kept_file(name: str, path: str) -> Kept:
    """The file at a path. Raises InputError, about the input of that name, where there is none."""
    try:
        if not Path(path).is_file():
            raise InputError(name, f"There is no file {path}.")
        contents = Path(path).read_bytes()
    except (OSError, ValueError) as error:  # A path too long, or with a sign that none may have.
        words = error.strerror if isinstance(error, OSError) else "no path"
        raise InputError(name, f"{path} cannot be read: {words}.") from None
    return Kept(path, Path(path).name, len(contents), partial(part_of, contents))


def as_one(files: Sequence[Kept]) -> Kept:
    """One file, or several text files in a row, each with the end of its last line, as the page makes it."""
    if len(files) == 1:
        return files[0]
    contents = b"".join(file.read(0, file.size) + b"\n" for file in files)
    handle = " ".join(file.handle for file in files)
    return Kept(handle, f"{len(files)} files", len(contents), partial(part_of, contents))


def part_of(contents: bytes, start: int, count: int) -> bytes:
    """So many bytes from a place on."""
    return contents[start : start + count]


def tell_step(working: Working) -> None:
    """Say on the terminal how far long work has come; what is printed stays clean."""
    print(f"{working.step}: {100 * working.share:.0f} %", file=sys.stderr)


def read_object(calculator: Calculator) -> dict[str, Any]:
    """The JSON object on standard input, as values. Raises InputError, in our words, if there is none."""
    if sys.stdin is None:
        raise InputError("json", "Standard input is closed: give one JSON object.")
    try:
        given = json.loads(sys.stdin.read() or "{}", object_pairs_hook=once_each)
        if isinstance(given, dict):
            return composed_values(calculator, given)
    except UnicodeDecodeError:
        raise InputError("json", "Standard input is not JSON: it is not UTF-8.") from None
    except json.JSONDecodeError as error:
        raise InputError("json", f"Standard input is not JSON: {error}.") from None
    except RecursionError:
        raise InputError("json", "Standard input is not JSON that can be used: it is too deep.") from None
    except ValueError:
        raise InputError("json", "Standard input is not JSON: a number in it is too long.") from None
    raise InputError("json", "Standard input must be one JSON object.")


def once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object as a dictionary. Raises InputError for a name that stands in it twice."""
    given: dict[str, Any] = {}
    for name, value in pairs:
        if name in given:
            raise InputError(name, "This name stands twice: give one value.")
        given[name] = value
    return given


def run_options(calculator: Calculator, words: Sequence[str], out: Path | None) -> int:
    """Run on options; without any, on the calculator's own example."""
    try:
        typed = typed_options(calculator, words) if words else example_fields(calculator)
        read = kept_files(calculator, typed)
    except InputError as error:
        return fail([error], False)
    kept = {file.handle: file for file in map(as_one, read.values())}
    fields = typed | {name: as_one(files).handle for name, files in read.items()}
    outcome = drain(steps_typed(calculator, fields, kept), tell_step)
    if outcome.errors:
        return fail(outcome.errors, False)
    try:
        write_files(outcome, out, list(chain.from_iterable(read.values())))
    except InputError as error:
        return fail([error], False)
    if not words:
        print("No values given: this is the built-in example.\n")
    print(plain_text.result_text(outcome))
    return 0


def typed_options(calculator: Calculator, words: Sequence[str]) -> dict[str, Any]:
    """Options as a form's fields; a row option is given once for each row, as name=value pairs.

    Raises InputError for an option that is not understood.
    """
    parser = argparse.ArgumentParser(
        prog=calculator.slug, add_help=False, exit_on_error=False, allow_abbrev=False
    )
    for entry in calculator.inputs:
        option = f"--{entry.name.replace('_', '-')}"
        several = entry.kind.several or (isinstance(entry.kind, File) and entry.kind.together)
        parser.add_argument(option, dest=entry.name, action="append", nargs="+" if several else None)
    try:
        options, unknown = parser.parse_known_args(guard_negatives(words))
    except argparse.ArgumentError as error:
        raise InputError(str(error.argument_name or "options"), error.message) from None
    if unknown:
        raise InputError(unknown[0], "There is no such option; see --help.")
    typed: dict[str, Any] = {}
    for entry in calculator.inputs:
        given = getattr(options, entry.name)
        if given is not None:
            typed |= entry.kind.words(entry.name, given)
    return composed_values(calculator, typed)


def composed_values(calculator: Calculator, given: Mapping[str, Any]) -> dict[str, Any]:
    """What was given, each accent and its letter as one sign, as the page has it; paths stay."""
    paths = {entry.name for entry in calculator.inputs if isinstance(entry.kind, File)}
    return {name: value if name in paths else composed(value) for name, value in given.items()}


def composed(value: Any) -> Any:
    """A value whose texts are composed: two ways to write one name become one."""
    if isinstance(value, str):
        return normalize("NFC", value)
    if isinstance(value, list):
        return [composed(each) for each in value]
    return {name: composed(each) for name, each in value.items()} if isinstance(value, dict) else value


def guard_negatives(words: Sequence[str]) -> list[str]:
    """Keep ``-3`` and ``-3,5`` from being taken for an option."""
    return [f" {word}" if word[:1] in "-−" and word[1:2].isdigit() else word for word in words]


def fail(errors: Sequence[InputError], as_json: bool) -> int:
    """Report wrong input and give the exit status for it."""
    if as_json:
        listed = [{"field": error.field, "message": error.message} for error in errors]
        print(json.dumps({"errors": listed}))
    else:
        for error in errors:
            print(without_controls(f"{error.field}: {error.message}"), file=sys.stderr)
    return WRONG_INPUT


def without_controls(text: str) -> str:
    """A text whose every control sign but the end of a line is shown: of a foreign file one moves the cursor,
    clears the screen or names the window.
    """
    controls = [sign for sign in set(text) if category(sign) == "Cc" and sign != "\n"]
    return text.translate({ord(sign): f"\\x{ord(sign):02x}" for sign in controls})


def be_ready_for_any_text() -> None:
    """JSON is UTF-8; a sign that the terminal cannot show is written as its number."""
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8-sig")  # Some editors write a mark before the text.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def run() -> int:
    """The command `doorcard`: what `python -m calculators` does, in a terminal of any encoding."""
    be_ready_for_any_text()
    try:
        status = main()
        if sys.stdout is not None:  # None where whoever started us closed it.
            sys.stdout.flush()
        return status
    except BrokenPipeError:
        return 0
    except OSError as error:  # Files are read and written elsewhere, and told there: this is what is printed.
        with suppress(OSError):
            sys.stdout.close()  # What is left of it is not tried again when Python ends.
        return fail([InputError("standard output", f"It cannot be written: {error.strerror}.")], False)
    except DeclarationError as error:
        print(error, file=sys.stderr)
        return WRONG_DECLARATION


if __name__ == "__main__":
    sys.exit(run())
