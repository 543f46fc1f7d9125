"""The wiring picture of voice coils on one amplifier channel, grouped by speaker."""

from collections.abc import Sequence
from dataclasses import dataclass

from calculators.declaring import Box, Diagram, Label, Wire
from calculators.declaring.diagrams import PHONE_WIDTH
from calculators.physics.speaker_loads import Coil, Network

PLUS_RAIL, MINUS_RAIL = 92.0, 342.0


TOP, ROW, FOOT = 72.0, 66.0, 44.0


COIL, RAIL = 34.0, 7.0


FRAME, PAD = 23.0, 14.0


LONGEST_HEAD = 53


@dataclass(frozen=True)
class Drawn:
    """One wiring to draw: in words, as a network, and the ohms it makes."""

    how: str
    network: Network
    load: float


class _Sheet:
    """Shapes of one picture; ``coils`` are the middles and sizes drawn, by speaker."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self.wires: list[Wire] = []
        self.labels: list[Label] = []
        self.coils: dict[int, list[tuple[float, float, float, float]]] = {}

    def wire(self, *places: tuple[float, float], minus: bool = False) -> None:
        self.wires.append(Wire(places, "minus" if minus else "plus"))

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
        self.boxes.append(Box(middle - size / 2, line - size / 2, size, size, (), "coil"))
        self.labels.append(Label(middle, line + 4, f"{coil.impedance:.3g}", "middle", strong=True))
        if size > 26:
            self.labels.append(Label(middle - size / 2 - 2, line - 7, "+", "end"))
            self.labels.append(Label(middle + size / 2 + 2, line - 7, "−"))
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
            self.boxes.append(Box(left, top - FRAME, right - left, bottom - top + 2 * FRAME, (), "speaker"))
            name = f"Speaker {speaker + 1}" if right - left > 66 else f"{speaker + 1}"
            self.labels.append(Label((left + right) / 2, top - FRAME - 3, name, "middle"))


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


def speaker_wiring(drawn: Sequence[Drawn]) -> Diagram:
    """The wirings one below the other, each between plus and minus of the amplifier."""
    sheet, top = _Sheet(), 0.0
    for number, wiring in enumerate(drawn, 1):
        sheet.coils = {}
        line = top + TOP
        low = line + ROW * (rows(wiring.network) - 1) + FOOT
        sheet.wire((72, line), (PLUS_RAIL, line))
        sheet.place(wiring.network, PLUS_RAIL, MINUS_RAIL, line, last=True)
        sheet.wire((MINUS_RAIL, line), (MINUS_RAIL, low), (34, low), (34, line + 20), minus=True)
        sheet.frames()
        sheet.boxes.append(Box(4, line - 20, 68, 40, ("Amplifier",)))
        head = (
            f"{number}. Together {wiring.load:.3g} Ω" if len(drawn) > 1 else f"Together {wiring.load:.3g} Ω"
        )
        sheet.labels += [
            Label(74, line - 6, "+", strong=True),
            Label(40, line + 33, "−", strong=True),
            Label(4, top + 14, head, strong=True),
        ]
        if len(wiring.how) <= LONGEST_HEAD:
            sheet.labels.append(Label(4, top + 29, wiring.how))
        top = low + 12
    sheet.labels.append(Label(MINUS_RAIL, top + 4, "Numbers are ohm, one circle for each coil", "end"))
    return Diagram(
        "How to wire it",
        PHONE_WIDTH,
        top + 12,
        " ".join(_spoken(wiring) for wiring in drawn),
        tuple(sheet.boxes),
        tuple(sheet.wires),
        tuple(sheet.labels),
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
