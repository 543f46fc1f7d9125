"""The wiring picture of voice coils on one amplifier channel."""

from collections.abc import Sequence

from calculators.declaring import Box, Diagram, Label, Wire

WIDTH = 360.0
PLUS_RAIL, MINUS_RAIL = 96.0, 342.0
TOP, ROW = 54.0, 62.0
COIL = 34.0


def speaker_wiring(strings: Sequence[Sequence[float]], load: float) -> Diagram:
    """Coils of each string in a line, the strings one under the other between plus and minus.

    ``strings`` in ohm, in the order of ``speaker_loads.strings_of``; ``load`` is what they make.
    """
    boxes, wires, labels = [], [], []
    bottom = TOP + ROW * (len(strings) - 1)
    for row, string in enumerate(strings):
        line = TOP + ROW * row
        # A coil is drawn smaller where many share a line, so that all stay apart.
        span = (MINUS_RAIL - PLUS_RAIL) / len(string)
        size = min(COIL, span - 8)
        wires += _string_wires(string, line, span, size)
        for place, impedance in enumerate(string):
            middle = PLUS_RAIL + span * (place + 0.5)
            boxes.append(Box(middle - size / 2, line - size / 2, size, size, (), "coil"))
            labels.append(Label(middle, line + 4, f"{impedance:.3g}", "middle", strong=True))
            if size > 26:
                labels.append(Label(middle - size / 2 - 2, line - 7, "+", "end"))
                labels.append(Label(middle + size / 2 + 2, line - 7, "−"))
    low = bottom + 44
    wires.append(Wire(((72, TOP), (PLUS_RAIL, TOP), (PLUS_RAIL, bottom))))
    minus = ((MINUS_RAIL, TOP), (MINUS_RAIL, low), (34, low), (34, TOP + 20))
    wires.append(Wire(minus, "minus"))
    boxes.append(Box(4, TOP - 20, 68, 40, ("Amplifier",)))
    labels += [
        Label(74, TOP - 6, "+", strong=True),
        Label(40, TOP + 33, "−", strong=True),
        Label(WIDTH / 2 + 40, 18, f"Together {load:.3g} Ω", "middle", strong=True),
        Label(MINUS_RAIL, low + 16, "Numbers are ohm, one circle for each coil", "end"),
    ]
    return Diagram(
        "How to wire it",
        WIDTH,
        low + 24,
        _spoken(strings, load),
        tuple(boxes),
        tuple(wires),
        tuple(labels),
    )


def _string_wires(string: Sequence[float], line: float, span: float, size: float) -> list[Wire]:
    """Wires of one string: from the plus rail through its coils to the minus rail."""
    ends = [PLUS_RAIL]
    for place in range(len(string)):
        middle = PLUS_RAIL + span * (place + 0.5)
        ends += [middle - size / 2, middle + size / 2]
    ends.append(MINUS_RAIL)
    pairs = list(zip(ends[::2], ends[1::2], strict=True))
    kinds = ["plus"] * (len(pairs) - 1) + ["minus"]
    return [
        Wire(((left, line), (right, line)), "minus" if kind == "minus" else "plus")
        for (left, right), kind in zip(pairs, kinds, strict=True)
    ]


def _spoken(strings: Sequence[Sequence[float]], load: float) -> str:
    """The picture in words."""
    ways = [" then ".join(f"{impedance:.3g} ohm" for impedance in string) for string in strings]
    if len(ways) == 1:
        middle = f"through {ways[0]}" + (
            ", minus of each to plus of the next," if len(strings[0]) > 1 else ""
        )
    else:
        middle = f"splits into {len(ways)} lines side by side: " + "; ".join(ways) + "; all of them"
    return f"Wiring: from amplifier plus {middle} back to amplifier minus. The amplifier sees {load:.3g} ohm."
