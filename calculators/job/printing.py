"""Sheets as pages to print: A4 in black and white, one HTML file for each, no script."""

from calculators.job.paper import Code, Paper, Part, Words
from calculators.job.printed import BLANK
from calculators.presenting.escaping import text
from calculators.presenting.qr_code import qr_code

STYLE = """
@page{size:A4 %(turn)s;margin:14mm 12mm 16mm;
@bottom-center{content:"%(foot)s, page " counter(page) " of " counter(pages);font:8pt sans-serif}}
*{box-sizing:border-box}
body{font:%(size)spt/1.35 sans-serif;color:#000;background:#fff;margin:0}
h1{font-size:1.6em;margin:0 0 .1em}h2{font-size:1.1em;margin:1em 0 .3em}p{margin:.25em 0}
.says{margin:0 0 .6em}
table{border-collapse:collapse;width:100%%;font-size:.92em}
th,td{border:1px solid #000;padding:%(room)sem .4em;text-align:left;vertical-align:top}
th{font-weight:bold}tr{break-inside:avoid}thead{display:table-header-group}
section.code{break-inside:avoid}.code svg{display:block;width:60mm;height:60mm}
.card{width:105mm;min-height:74mm;border:1px solid #000;padding:5mm}
"""
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
PLAIN, LARGE, WALL = 10.5, 18.0, 14.0


def page(paper: Paper, job: str, date: str, version: str, large: bool = False, shop: str = "") -> str:
    """One sheet as a whole HTML document; customers' sheets come in large type, too.

    Without a date there is a place for the pen. ``shop`` is who prints it, if it is said.
    """
    size = LARGE if large and paper.to_customer else WALL if paper.name == "bay-plan" else PLAIN
    day = f"printed {date or BLANK}"
    foot = _in_style(", ".join(filter(None, (job, date and day, version))))
    room = 0.05 if paper.name == "bay-plan" else 0.45  # For the pen, where there is room on a side.
    style = STYLE % {
        "turn": "landscape" if paper.landscape else "portrait",
        "size": f"{size:g}",
        "foot": foot,
        "room": room,
    }
    parts = "".join(_part(part) for part in paper.parts)
    says = f'<p class="says">{text(", ".join(filter(None, (job, day, paper.says))))}</p>'
    who = f'<p class="says">{text(shop)}</p>' if shop else ""
    inner = f"<h1>{text(paper.title)}</h1>{who}{says}{parts}"
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f"<title>{text(job)}: {text(paper.title)}</title><style>{style}</style></head>"
        f"<body>{f'<div class=card>{inner}</div>' if paper.card else inner}</body></html>\n"
    )


TOO_FINE = "No code: it would be too fine for a camera."
NO_LIBRARY = (
    "No code: what draws it is not at hand. Make the sheet again with a connection; "
    "on a command line, after “pip install segno”."
)


def _part(part: Part) -> str:
    title = f"<h2>{text(part.title)}</h2>"
    if isinstance(part, Code):
        return f'<section class="code">{title}{_code(part)}</section>'
    if isinstance(part, Words):
        return title + "".join(f"<p>{text(line)}</p>" for line in part.lines)
    head = "".join(f'<th scope="col">{text(cell)}</th>' for cell in part.head)
    rows = "".join(f"<tr>{''.join(f'<td>{text(cell)}</td>' for cell in row)}</tr>" for row in part.rows)
    return f"{title}<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _code(code: Code) -> str:
    """The code with what it is, or why there is none."""
    try:
        drawn = qr_code(code.link)
    except ImportError:  # In a page that could not fetch the library, or where it was never installed.
        return f"<p>{NO_LIBRARY}</p>"
    return f"{drawn}<p>{text(code.says)}</p>" if drawn else f"<p>{TOO_FINE}</p>"


def _in_style(words: str) -> str:
    """Words inside a string of a style sheet: letters, digits and marks that end nothing."""
    return "".join(sign if sign.isalnum() or sign in " ,.-:+" else " " for sign in words)
