"""A diagram as SVG text, by classes alone: no script and no style attributes."""

from calculators.declaring import Box, Diagram, Label, Wire
from calculators.presenting.escaping import text

LINE_HEIGHT = 13
TEXT_DROP = 4


def diagram(declared: Diagram) -> str:
    """A figure: the picture under its title."""
    return (
        f'<figure class="dc-diagram"><figcaption>{text(declared.title)}</figcaption>'
        f"{picture(declared)}</figure>"
    )


def picture(declared: Diagram) -> str:
    """The SVG alone: wires under boxes under labels."""
    parts = [
        f'<svg viewBox="0 0 {declared.width:g} {declared.height:g}" role="img" '
        f'aria-label="{text(declared.spoken)}" focusable="false">'
    ]
    parts += [wire_shape(wire) for wire in declared.wires]
    parts += [box_shape(box) for box in declared.boxes]
    parts += [label_shape(label) for label in declared.labels]
    return "".join(parts) + "</svg>"


def wire_shape(wire: Wire) -> str:
    """A conductor as one line."""
    places = " ".join(f"{x:.1f},{y:.1f}" for x, y in wire.places)
    return f'<polyline class="dc-wire dc-wire-{wire.kind}" points="{places}"/>'


def box_shape(box: Box) -> str:
    """A box by its kind, with its lines of text."""
    middle_x, middle_y = box.x + box.width / 2, box.y + box.height / 2
    if box.kind == "coil":
        radius = min(box.width, box.height) / 2
        shape = (
            f'<circle class="dc-box dc-box-coil" cx="{middle_x:.1f}" cy="{middle_y:.1f}" r="{radius:.1f}"/>'
        )
    else:
        shape = (
            f'<rect class="dc-box dc-box-{box.kind}" x="{box.x:.1f}" y="{box.y:.1f}" '
            f'width="{box.width:.1f}" height="{box.height:.1f}"/>'
        )
    first = middle_y + TEXT_DROP - LINE_HEIGHT * (len(box.lines) - 1) / 2
    words = "".join(
        f'<text class="dc-box-text" x="{middle_x:.1f}" y="{first + LINE_HEIGHT * place:.1f}">'
        f"{text(line)}</text>"
        for place, line in enumerate(box.lines)
    )
    return shape + (ground_strokes(box) if box.kind == "ground" else "") + words


def ground_strokes(box: Box) -> str:
    """Three strokes under a ground, each shorter than the one above."""
    middle, under = box.x + box.width / 2, box.y + box.height
    strokes = "".join(
        f"M{middle - reach:.1f},{under + 4 * place:.1f}H{middle + reach:.1f}"
        for place, reach in enumerate((14, 9, 4), 1)
    )
    return f'<path class="dc-ground" d="{strokes}"/>'


def label_shape(label: Label) -> str:
    """A line of text beside a wire or box."""
    strong = " dc-label-strong" if label.strong else ""
    return (
        f'<text class="dc-label dc-label-{label.anchor}{strong}" x="{label.x:.1f}" y="{label.y:.1f}">'
        f"{text(label.words)}</text>"
    )
