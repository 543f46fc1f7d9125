"""A response pasted as text: columns of numbers between headings and comments."""

import re
from functools import lru_cache
from math import inf

from calculators.declaring.curves import Curve
from calculators.declaring.errors import InputError, short
from calculators.declaring.numerals import LONGEST, UnclearNumberError, decimal_text, is_group, plain_signs

LONGEST_CURVE = 200_000
MOST_COLUMNS = 3
LOWEST_HEARD = 20
"""Hz: a curve that ends under it, in numbers with three places each, is told in thousands."""

_DATA = re.compile(r"[-+.,;_\seE]*\d[-+.,;_\seE\d]*")
_BLANKS = re.compile(r"\s*,\s+|\s+,\s*|\s+")
_ARRIVAL = re.compile(r"(?:^|[;#])\s*arrival\s+(-?\d{1,5}(?:[.,]\d{1,9})?)\s*ms\b", re.IGNORECASE)
_CELL = re.compile(r"([+-]?(?:\d[\d., ]*|[.,]\d+))(e[+-]?\d+)?", re.IGNORECASE)
_LIKE_DATA = re.compile(r"[-+.,]*\d")


@lru_cache(maxsize=10)  # From key to key they stay as they are; no form has more.
def read_curve(field: str, text: str) -> Curve:
    """Curve from text: two or three columns of numbers, any heading or comment lines.

    Columns are parted by semicolons, else by tabs, else by blanks or commas; a line that holds other signs
    than numbers do is a comment, unless it begins like a number behind such that are. Marks in numbers
    follow the rule of a field (``numerals``); a comma that must be a decimal comma in one line is one in
    all. A comment may say the arrival, as a file for the tune does: "; arrival 6.3 ms". Raises InputError
    if no line holds two numbers, if lines differ in their number of columns, for an empty cell or one that
    is no number, for two arrivals, and for what can be read in two ways.
    """
    if len(text) > LONGEST_CURVE:
        raise InputError(
            field,
            f"This curve is too long to read: at most {LONGEST_CURVE:,} letters, some 10,000 lines. "
            "Export it with 24 to 96 points to the octave.",
        )
    lines, arrivals = {}, []
    for number, line in enumerate(text.splitlines(), start=1):
        plain = plain_signs(line.replace('"', ""))
        cells = _cells(plain)
        if len(cells) > 1:
            lines[number] = cells
        elif said := _ARRIVAL.search(plain):
            arrivals.append(float(said[1].replace(",", ".")) / 1000)
        elif lines and _LIKE_DATA.match(plain):
            raise InputError(field, f"Line {number}: {_refused(plain)}")
    if not lines:
        raise InputError(field, "No line holds a frequency and a level.")
    if len({len(cells) for cells in lines.values()}) > 1:
        raise InputError(field, "Every line must have the same number of columns.")
    if len(arrivals) > 1:
        raise InputError(field, "Two arrivals are said here: paste one curve alone.")
    if not re.search("[;\t]", text):
        _refuse_unclear_columns(field, text, list(lines.values()))
    decimal_comma = any(_is_decimal_comma(cell) for cells in lines.values() for cell in cells)
    rows = []
    for number, cells in lines.items():
        try:
            rows.append([_number(cell, decimal_comma) for cell in cells[:MOST_COLUMNS]])
        except UnclearNumberError as error:
            raise InputError(field, f"Line {number}: {error}") from None
    _refuse_thousands(field, lines, [row[0] for row in rows])
    columns = [tuple(column) for column in zip(*rows, strict=True)]
    return Curve(
        columns[0],
        columns[1],
        columns[2] if len(columns) > 2 else None,
        arrivals[0] if arrivals else None,
    )


def _cells(line: str) -> list[str]:
    """The cells of a line; none for a heading or a comment."""
    return _parted(line) if _DATA.fullmatch(line) else []


def _parted(line: str) -> list[str]:
    """The cells of a line, whatever they hold; where tabs or semicolons part them, a blank parts none."""
    if mark := next((mark for mark in ";\t" if mark in line), ""):
        cells = [cell.strip().rstrip(",") for cell in line.split(mark)]
    elif re.search(r"\s", line):
        cells = _BLANKS.split(line)
    else:
        cells = line.split(",")
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _refuse_unclear_columns(field: str, text: str, lines: list[list[str]]) -> None:
    """Refuse columns whose marks may as well part thousands or be decimal commas."""
    first = lines[0]
    ways = f"“{short(' '.join(first))}” can be read in two ways: part the columns by semicolons."
    if len(first) == MOST_COLUMNS and all(
        re.fullmatch(r"[1-9]\d{0,2}", cells[0]) and re.fullmatch(r"\d{3}", cells[1]) for cells in lines
    ):
        raise InputError(field, ways)
    if len(first) > MOST_COLUMNS and "." not in text and not re.search(r"\d[ \t]+[-+\d]", text):
        raise InputError(field, ways)


def _refused(line: str) -> str:
    """What is wrong with a line among numbers that holds other signs."""
    cells = _parted(line)
    return f"“{short(next((cell for cell in cells if not _CELL.fullmatch(cell)), line))}” is not a number."


def _refuse_thousands(field: str, lines: dict[int, list[str]], frequencies: list[float]) -> None:
    """Refuse a frequency like 1.000 that would not rise, or where all are such and too low to hear."""
    low = max(frequencies) < LOWEST_HEARD and all(_is_point_group(cells[0]) for cells in lines.values())
    before = [inf if low else -inf, *frequencies]
    for (number, cells), last, frequency in zip(lines.items(), before, frequencies, strict=False):
        if frequency <= last and _is_point_group(cells[0]):
            try:
                decimal_text(cells[0], lambda whole: True)
            except UnclearNumberError as error:
                raise InputError(field, f"Line {number}: {error}") from None


def _is_point_group(cell: str) -> bool:
    return is_group(cell) and "." in cell


def _is_decimal_comma(cell: str) -> bool:
    return cell.count(",") == 1 and "." not in cell and not is_group(cell)


def _number(cell: str, decimal_comma: bool) -> float:
    match = _CELL.fullmatch(cell) if len(cell) <= LONGEST else None
    if match is None:
        raise UnclearNumberError(f"“{short(cell)}” is not a number." if cell else "a column is empty.")
    digits = match[1].replace(",", ".") if decimal_comma and "." not in match[1] else match[1]
    try:
        thousands_fit = decimal_comma and _is_point_group(match[1])
        return float(decimal_text(digits, lambda whole: thousands_fit) + (match[2] or ""))
    except UnclearNumberError:
        raise
    except ValueError:
        raise UnclearNumberError(f"“{short(cell)}” is not a number.") from None
