"""Links that carry what stands in a sheet's tables: a phone opens it from the sheet's codes alone.

What a link carries stands in its fragment, which no browser sends anywhere: ``#tuning=``, then tables parted
by ``!``, rows by ``;`` and cells by ``,``, each cell written as in the query of an address. The first table
is one row: which link of how many this is, and the job. Every other begins with its title and a row of heads.
A link ends with ``!`` and the number of letters behind the mark before that: one that was cut short shows it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from string import ascii_letters, digits

from calculators.job.paper import NOT_YET, Code, Paper, Part, Table, Words

CODED = "tuning-sheet"
"""The sheet that has codes: what stands there names no person and no price."""

ADDRESS = r"https?://[A-Za-z0-9._~:/?%\[\]@!$&'()*+,;=-]{1,180}/"
"""The form of a handbook's address."""

MARK = "job/#tuning="
MOST_BYTES = 1200
"""Of a link: its code, of 60 mm, is coarse enough for a phone."""

SAYS = "Opens these values on another phone, at {address}: the code holds them, and nothing is sent."

LACKING = "not on this sheet yet"

PLAIN = frozenset(ascii_letters + digits + "-._~")
NUMBER = len("99,99,")
END = len("!9999")


def coded(paper: Paper, job: str, address: str) -> Paper:
    """The tuning sheet with codes that open its tables in the handbook at an address; another as it is."""
    if not address or paper.name != CODED:
        return paper
    links = links_of(paper, job, address)
    codes = (
        Code(f"Code {number} of {len(links)}", link, SAYS.format(address=address))
        for number, link in enumerate(links, 1)
    )
    return replace(paper, parts=(*paper.parts, *codes))


def links_of(paper: Paper, job: str, address: str) -> tuple[str, ...]:
    """Links to a handbook's address that carry a sheet's tables, rows in their order; none without a row."""
    before = address + MARK
    room = MOST_BYTES - len(before) - len(_cells([job])) - NUMBER - END
    pieces = [""]
    for table in map(_as_table, paper.parts):
        if table is None:
            continue
        shown = _typed_columns(table)
        top = f"!{_cells([table.title])};{_cells(table.head[:shown])}"
        begun = False
        for row in table.rows:
            line = f";{_cells(row[:shown])}"
            if pieces[-1] and len(pieces[-1]) + len(line) + (0 if begun else len(top)) > room:
                pieces.append("")
                begun = False
            pieces[-1] += line if begun else top + line
            begun = True
    of = len(pieces)
    texts = (f"{number},{of},{_cells([job])}{piece}" for number, piece in enumerate(pieces, 1) if piece)
    return tuple(f"{before}{text}!{len(text)}" for text in texts)


def _as_table(part: Part) -> Table | None:
    """A table as it is; one that has no answer yet as a row that says so; None for any other part."""
    if isinstance(part, Words) and part.lines[0].startswith(NOT_YET):
        return Table(part.title, ("",), ((LACKING,),))
    return part if isinstance(part, Table) else None


def _typed_columns(table: Table) -> int:
    """How many columns there are before those for the pen, which are empty."""
    filled = [place for row in table.rows for place, cell in enumerate(row, 1) if cell]
    return max(filled, default=0)


def _cells(cells: Sequence[str]) -> str:
    return ",".join("".join(_quoted(cell)) for cell in cells)


def _quoted(words: str) -> Iterator[str]:
    """A text as letters that a fragment may hold; minus and hard space as the plain ones, which cost less."""
    for sign in words.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-"):
        if sign in PLAIN:
            yield sign
        elif sign == " ":
            yield "+"
        else:
            yield "".join(f"%{byte:02X}" for byte in sign.encode("utf-8", "replace"))
