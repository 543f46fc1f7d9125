"""The diagram of a vehicle's supply wiring: a tree from the battery down, grounds under each device."""

from dataclasses import dataclass
from typing import Literal

from calculators.declaring import Box, Diagram, Label, Wire
from calculators.declaring.diagrams import PHONE_WIDTH

type BoxKind = Literal["plain", "battery", "ground"]


MARGIN, SPINE, INDENT = 6.0, 12.0, 28.0


BOX_HEIGHT, STRIP, GAP = 28.0, 24.0, 8.0


FUSE_WIDTH = 68.0


@dataclass(frozen=True)
class Branch:
    """A place that a run leads to.

    ``way`` describes the run (size and length), ``run`` is its name, ``fuse`` the words on its fuse
    (empty for a ground), ``branches`` what leads on from the place, grounds among them; ``battery``
    marks a source as one, ``body`` a place that is the body itself.
    """

    name: str
    way: str = ""
    run: str = ""
    fuse: str = ""
    ground: bool = False
    branches: tuple["Branch", ...] = ()
    battery: bool = False
    body: bool = False


class _Sheet:
    """Shapes gathered while the tree is walked; ``y`` is the next free line."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self.wires: list[Wire] = []
        self.labels: list[Label] = []
        self.y = MARGIN

    def place(self, branch: Branch, x: float) -> None:
        """Draw a place and, indented under it, all that it leads to."""
        width = min(190.0, PHONE_WIDTH - MARGIN - x)
        kind: BoxKind = "battery" if branch.battery else "ground" if branch.body else "plain"
        self.boxes.append(Box(x, self.y, width, BOX_HEIGHT, (branch.name,), kind))
        spine = x + SPINE
        top = self.y + BOX_HEIGHT
        self.y = top + (GAP if kind != "ground" else GAP + 12)
        ends = {"plus": top, "minus": top}
        for child in branch.branches:
            side = "minus" if child.ground else "plus"
            # Plus and minus come down side by side, so that neither hides the other.
            down = spine if side == "plus" else spine + 8
            line = self.y + STRIP / 2
            self.wires.append(
                Wire(
                    ((down, ends[side]), (down, line), (x + INDENT, line)),
                    "minus" if child.ground else "plus",
                )
            )
            ends[side] = line
            self.strip(child, x + INDENT)
            self.place(child, x + INDENT)

    def strip(self, branch: Branch, x: float) -> None:
        """The line above a place: its fuse and what the run is made of."""
        line = self.y + STRIP / 2
        under = self.y + STRIP + GAP
        words = x + FUSE_WIDTH + 6
        if branch.ground:
            self.wires.append(Wire(((x, line), (x + SPINE, line), (x + SPINE, under)), "minus"))
            words = x + SPINE + 8
        else:
            self.boxes.append(Box(x, self.y + 1, FUSE_WIDTH, STRIP - 2, (branch.fuse,), "fuse"))
            self.wires.append(Wire(((x + SPINE, self.y + STRIP), (x + SPINE, under))))
        self.labels.append(Label(words, line - 2, branch.way, strong=True))
        self.labels.append(Label(words, line + 11, branch.run))
        self.y = under


def supply_wiring(roots: tuple[Branch, ...]) -> Diagram:
    """The whole diagram, one tree for each source."""
    sheet = _Sheet()
    for root in roots:
        sheet.place(root, MARGIN)
    return Diagram(
        "Wiring diagram",
        PHONE_WIDTH,
        sheet.y + MARGIN,
        "Wiring diagram. " + " ".join(_spoken(root) for root in roots),
        tuple(sheet.boxes),
        tuple(sheet.wires),
        tuple(sheet.labels),
    )


def _spoken(branch: Branch) -> str:
    """A place and all that leads on from it, in sentences."""
    lines = []
    for child in branch.branches:
        verb = "is grounded to" if child.ground else "feeds"
        fuse = "" if child.ground else f" through a fuse of {child.fuse.removeprefix('fuse ')}"
        lines.append(f"{branch.name} {verb} {child.name}{fuse}, {child.way}.")
        lines.append(_spoken(child))
    return " ".join(line for line in lines if line)
