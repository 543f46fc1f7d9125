"""The wiring picture of voice coils on one amplifier channel, grouped by speaker."""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

from calculators.declaring import Drawing
from calculators.declaring.drawings import PICTURE, Arc, Line, Place, Polygon, Shape, Text, rectangle
from calculators.physics.speaker_loads import Coil, Network
from calculators.vocabulary import symbols

PLUS_RAIL, MINUS_RAIL = 106.0, 366.0
TOP, ROW, FOOT = 54.0, 74.0, 48.0
COIL, RAIL = 36.0, 7.0
FRAME, PAD = 25.0, 14.0
LINE, LETTERS = 17.0, int(PICTURE / symbols.LETTER)
AMPLIFIER = (4.0, 82.0)
"""Left edge and width of the amplifier."""


@dataclass(frozen=True)
class Drawn:
    """One wiring to draw: in words, as a network, and the ohms it makes."""

    how: str
    network: Network
    load: float


class _Sheet:
    """Shapes of one picture; ``coils`` are the middles and sizes drawn, by speaker."""

    def __init__(self) -> None:
        self.wires: list[Shape] = []
        self.things: list[Shape] = []
        self.coils: dict[int, list[tuple[float, float, float, float]]] = {}

    def wire(self, *places: Place, minus: bool = False) -> None:
        self.wires.append(Line(places, "ground" if minus else "feed"))

    def place(self, network: Network, left: float, right: float, line: float, last: bool) -> None:
        """Draw a network between two places of its first line; ``last`` ends on the minus side."""
        if isinstance(network, Coil):
            self.coil(network, left, right, line, last)
        elif network.way == "series":
            width = (right - left) / columns(network)
            for number, part in enumerate(network.parts, 1):
                end = left + width * columns(part)
                self.place(part, left, end, line, last and number == len(network.parts))
                left = end
        else:
            rail = 0.0 if (left, right) == (PLUS_RAIL, MINUS_RAIL) else RAIL
            inner, outer = left + rail, right - rail
            self.wire((left, line), (inner, line))
            self.wire((outer, line), (right, line), minus=last)
            lowest = line
            for part in network.parts:
                self.place(part, inner, outer, line, last)
                lowest = line
                line += ROW * rows(part)
            first = line - ROW * rows(network)
            self.wire((inner, first), (inner, lowest))
            self.wire((outer, first), (outer, lowest), minus=last)

    def coil(self, coil: Coil, left: float, right: float, line: float, last: bool) -> None:
        # A coil is drawn smaller where many share a line, so that all stay apart.
        size, middle = min(COIL, right - left - 8), (left + right) / 2
        self.wire((left, line), (middle - size / 2, line))
        self.wire((middle + size / 2, line), (right, line), minus=last)
        self.things.append(Arc((middle, line), size / 2, fill="paper"))
        under = 5 if size > 30 else size / 2 + 14
        self.things.append(Text((middle, line + under), f"{coil.impedance:.3g}", "middle"))
        if right - left > 60:
            self.things.append(Text((middle - size / 2 - 1, line - 7), "+", "end"))
            self.things.append(Text((middle + size / 2 + 1, line - 7), "−"))
        self.coils.setdefault(coil.speaker, []).append((middle, line, size, right - left))

    def frames(self) -> None:
        """A frame with a number round the coils of each speaker that has several."""
        for speaker, coils in self.coils.items():
            if len(coils) < 2:
                continue
            left = min(middle - size / 2 - min(PAD, (span - size) / 2 - 1) for middle, _, size, span in coils)
            right = max(
                middle + size / 2 + min(PAD, (span - size) / 2 - 1) for middle, _, size, span in coils
            )
            top, bottom = min(line for _, line, _, _ in coils), max(line for _, line, _, _ in coils)
            frame = rectangle(left, top - FRAME, right - left, bottom - top + 2 * FRAME)
            self.things.append(Polygon(frame, "thin"))
            name = f"Speaker {speaker + 1}" if right - left > 80 else f"{speaker + 1}"
            self.things.append(Text(((left + right) / 2, top - FRAME - 4), name, "middle"))


def columns(network: Network) -> int:
    """Coils that stand beside each other at its widest."""
    if isinstance(network, Coil):
        return 1
    each = [columns(part) for part in network.parts]
    return sum(each) if network.way == "series" else max(each)


def rows(network: Network) -> int:
    """Lines it needs, one below the other."""
    if isinstance(network, Coil):
        return 1
    each = [rows(part) for part in network.parts]
    return max(each) if network.way == "series" else sum(each)


def speaker_wiring(drawn: Sequence[Drawn]) -> Drawing:
    """The wirings one below the other, each between plus and minus of the amplifier."""
    sheet, top = _Sheet(), 0.0
    for number, wiring in enumerate(drawn, 1):
        sheet.coils = {}
        together = f"Together {wiring.load:.3g} Ω"
        sheet.things.append(
            Text((4, top + 16), f"{number}. {together}" if len(drawn) > 1 else together, strong=True)
        )
        how = wrap(wiring.how, LETTERS)
        sheet.things += [Text((4, top + 16 + LINE * place), words) for place, words in enumerate(how, 1)]
        line = top + LINE * len(how) + TOP + FRAME
        low = line + ROW * (rows(wiring.network) - 1) + FOOT
        left, width = AMPLIFIER
        sheet.wire((left + width, line), (PLUS_RAIL, line))
        sheet.place(wiring.network, PLUS_RAIL, MINUS_RAIL, line, last=True)
        sheet.wire((MINUS_RAIL, line), (MINUS_RAIL, low), (34, low), (34, line + 20), minus=True)
        sheet.frames()
        sheet.things += symbols.box(left, line - 20, width, 40, ("Amplifier",))
        sheet.things += [
            Text((left + width + 3, line - 7), "+", strong=True),
            Text((42, line + 36), "−", strong=True),
        ]
        top = low + 14
    sheet.things.append(Text((MINUS_RAIL, top + 6), "Numbers are ohm, one circle for each coil", "end"))
    return Drawing(
        title="How to wire it",
        spoken=" ".join(_spoken(wiring) for wiring in drawn),
        height=top + 14,
        shapes=(*sheet.wires, *sheet.things),
    )


def _spoken(wiring: Drawn) -> str:
    """A picture in words."""
    return (
        f"Wiring: {wiring.how}. From amplifier plus through {_way(wiring.network)} back to amplifier minus. "
        f"The amplifier sees {wiring.load:.3g} ohm."
    )


def _way(network: Network) -> str:
    if isinstance(network, Coil):
        return f"{network.impedance:.3g} ohm of speaker {network.speaker + 1}"
    ways = [_way(part) for part in network.parts]
    if network.way == "series":
        return " then ".join(ways)
    return f"{len(ways)} lines side by side (" + "; ".join(ways) + ")"
