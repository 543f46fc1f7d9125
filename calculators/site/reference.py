"""The reference: a page for every calculator, made from its declaration, for who writes a program.

One plain template, outside the handbook's theme: `reference/` lists the calculators, `reference/delay/`
has the inputs and outputs of one, its equations and sources, and a use of it from Python and from the
command line, with the example that the tests run. The handbook's search and its ways do not lead here.
"""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from pprint import pformat
from typing import Any

from calculators.declaring import Calculator
from calculators.presenting.escaping import text
from calculators.presenting.values import description
from calculators.site import blocks
from calculators.site.equations import mathml
from calculators.site.release import OWN_ASSETS
from calculators.stages import every_calculator

FOLDER = "reference"
PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1">
<meta name="robots" content="noindex">
<title>{title} · Doorcard reference</title>
<link rel="icon" href="{root}{assets}mark.svg">
<link rel="stylesheet" href="{root}{assets}reference.css">
</head>
<body>
<header><a href="{root}">Doorcard</a> · <a href="{root}reference/">Reference</a></header>
<main>
<h1>{title}</h1>
{body}
</main>
</body>
</html>
"""


def write_reference(site: Path) -> int:
    """Write the reference into `site`/reference; return the number of calculators in it."""
    calculators = every_calculator()
    lines = "".join(
        f'<li><a href="{entry.slug}/"><code>{entry.slug}</code></a> {text(entry.title)}</li>'
        for entry in sorted(calculators, key=lambda entry: entry.slug)
    )
    intro = (
        "<p>Every calculator, as a program meets it. Values are in SI units; the exceptions are °C, dB, "
        "degrees, ampere-hours and days parked. A response or a chart's curve is a list of numbers.</p>"
    )
    write(site / FOLDER, "../", "Calculators", f"{intro}<ul>{lines}</ul>")
    for calculator in calculators:
        write(site / FOLDER / calculator.slug, "../../", calculator.title, body(calculator, "../../"))
    return len(calculators)


def write(folder: Path, root: str, title: str, contents: str) -> None:
    """Write one page."""
    folder.mkdir(parents=True, exist_ok=True)
    page = PAGE.format(title=text(title), body=contents, root=root, assets=OWN_ASSETS)
    (folder / "index.html").write_text(page, encoding="utf-8", newline="\n")


def body(calculator: Calculator, root: str) -> str:
    """What the page of one calculator says under its title."""
    told = description(calculator)
    parts = [
        f"<p><code>{calculator.slug}</code></p>",
        *(f"<p>{text(' '.join(part.split()))}</p>" for part in calculator.help.split("\n\n")),
        "<h2>Inputs</h2>",
        table("Inputs", ("Name", "What", "Unit", "Range", "Default"), input_rows(told["inputs"])),
        "<h2>Outputs</h2>",
        table("Outputs", ("Name", "What", "Unit"), output_rows(told["outputs"])),
        "<h2>In Python</h2>",
        f'<pre tabindex="0"><code>{text(python_use(calculator))}</code></pre>',
        "<h2>On the command line</h2>",
        f'<pre tabindex="0"><code>{text(command_use(calculator))}</code></pre>',
    ]
    if calculator.equations:
        shown = "".join(mathml(line) for line in calculator.equations)
        parts += ["<h2>Equations</h2>", shown]
    parts.append(blocks.source_list(calculator.sources, root))
    return "\n".join(parts)


def python_use(calculator: Calculator) -> str:
    """The example, run from Python."""
    values = pformat(dict(calculator.example), width=88, sort_dicts=False)
    return (
        "from calculators.declaring import run_values\n"
        "from calculators.stages import find_calculator\n\n"
        f'outcome = run_values(find_calculator("{calculator.slug}"), {values})\n'
        "print(outcome.result or outcome.errors)"
    )


def command_use(calculator: Calculator) -> str:
    """The example, given as JSON to the command line."""
    values = json.dumps(dict(calculator.example), ensure_ascii=False)
    return f"echo '{values}' | python -m calculators {calculator.slug} --json"


def input_rows(entries: Iterable[Mapping[str, Any]], inside: str = "") -> list[tuple[str, ...]]:
    """Rows of the table of inputs; the columns of a row input stand under it."""
    rows: list[tuple[str, ...]] = []
    for entry in entries:
        name = f"{inside}{entry['name']}"
        extent = ""
        if "options" in entry:
            extent = ", ".join(map(str, entry["options"]))
        elif "minimum" in entry:
            low, high = entry["minimum"], entry["maximum"]  # Text where every figure counts.
            extent = f"{low} to {high}" if isinstance(low, str) else f"{low:g} to {high:g}"
        elif "at_least" in entry:
            extent = f"{entry['at_least']} to {entry['at_most']} of them"
        default = "" if entry.get("default") is None else json.dumps(entry["default"], ensure_ascii=False)
        what = " ".join(part for part in (entry["label"] + ".", entry.get("help", "")) if part)
        rows.append((name, what, entry.get("unit", ""), extent, default if len(default) < 60 else "…"))
        rows += input_rows(entry.get("rows", ()), f"{name}[].")
    return rows


def output_rows(entries: Iterable[Mapping[str, Any]], inside: str = "") -> list[tuple[str, ...]]:
    """Rows of the table of outputs; the columns of a table stand under it."""
    rows: list[tuple[str, ...]] = []
    for entry in entries:
        name = f"{inside}{entry['name']}"
        rows.append((name, entry["label"], entry.get("unit", "")))
        rows += output_rows(entry.get("rows", ()), f"{name}[].")
    return rows


def table(caption: str, heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A table in a box that scrolls by itself; the first column names the row."""
    head = "".join(f'<th scope="col">{text(cell)}</th>' for cell in heads)
    lines = "".join(
        f'<tr><th scope="row"><code>{text(row[0])}</code></th>'
        + "".join(f"<td>{text(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="table" role="group" aria-label="{caption}" tabindex="0">'
        f"<table><thead><tr>{head}</tr></thead><tbody>{lines}</tbody></table></div>"
    )
