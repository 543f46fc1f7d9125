"""The drawing of a vehicle's supply wiring: a tree from the battery down, grounds under each device."""

from dataclasses import dataclass

from calculators.declaring import Drawing
from calculators.declaring.drawings import PICTURE, Line, Shape, Stroke, Text
from calculators.vocabulary import symbols

MARGIN, SPINE = 6.0, 12.0
DEEPEST, INDENT = 150.0, 28.0
"""How far in the deepest place stands at most, and how far each stands under the one that leads to it."""

BOX_HEIGHT, STRIP, GAP = 30.0, 38.0, 8.0
FUSE_WIDTH, FUSE_HEIGHT = 86.0, 24.0


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


def depth(branch: Branch) -> int:
    """Places from this one to the farthest that it leads to."""
    return max((1 + depth(child) for child in branch.branches), default=0)


class _Sheet:
    """Shapes gathered while the tree is walked; ``y`` is the next free line."""

    def __init__(self, indent: float) -> None:
        self.wires: list[Shape] = []
        self.things: list[Shape] = []
        self.indent = indent
        self.y = MARGIN

    def place(self, branch: Branch, x: float) -> None:
        """Draw a place and, indented under it, all that it leads to."""
        top = self.y + (11 if branch.battery else 0)
        widest = PICTURE - MARGIN - x
        name = symbols.fitted(branch.name, widest - 12, strong=True)
        width = min(widest, max(190.0, len(name) * symbols.STRONG_LETTER + 12))
        draw = symbols.battery if branch.battery else symbols.box
        self.things += draw(x, top, width, BOX_HEIGHT, (name,))
        foot = top + BOX_HEIGHT
        if branch.body:
            self.things += symbols.ground((x + width / 2, foot + 7))
        spine, self.y = x + SPINE, foot + (GAP + 16 if branch.body else GAP)
        ends: dict[Stroke, float] = {"feed": foot, "ground": foot}
        for child in branch.branches:
            kind: Stroke = "ground" if child.ground else "feed"
            # Feed and ground come down side by side, so that neither hides the other.
            down = spine + 8 if child.ground else spine
            line, inner = self.y + STRIP / 2, x + self.indent
            self.wires.append(Line(((down, ends[kind]), (down, line), (inner, line)), kind))
            ends[kind] = line
            self.strip(child, inner)
            self.place(child, inner)

    def strip(self, branch: Branch, x: float) -> None:
        """The line above a place: its fuse and what the run is made of."""
        line = self.y + STRIP / 2
        under = self.y + STRIP + GAP
        words = x + FUSE_WIDTH + 6
        if branch.ground:
            self.wires.append(Line(((x, line), (x + SPINE, line), (x + SPINE, under)), "ground"))
            words = x + SPINE + 10
        else:
            self.wires.append(Line(((x + SPINE, line), (x + SPINE, under)), "feed"))
            top = line - FUSE_HEIGHT / 2
            self.things += symbols.box(x, top, FUSE_WIDTH, FUSE_HEIGHT, (branch.fuse,), "tint")
        room = PICTURE - words
        self.things.append(
            Text((words, line - 3), symbols.fitted(branch.way, room, strong=True), strong=True)
        )
        self.things.append(Text((words, line + 14), symbols.fitted(branch.run, room)))
        self.y = under


def supply_wiring(roots: tuple[Branch, ...]) -> Drawing:
    """The whole picture, one tree for each source."""
    deepest = max((depth(root) for root in roots), default=0)
    sheet = _Sheet(min(INDENT, DEEPEST / max(deepest, 1)))
    for root in roots:
        sheet.place(root, MARGIN)
        sheet.y += GAP
    return Drawing(
        title="Wiring diagram",
        spoken="Wiring diagram. " + " ".join(_spoken(root) for root in roots),
        height=sheet.y,
        shapes=(*sheet.wires, *sheet.things),
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
