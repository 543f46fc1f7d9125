"""Pieces on sheets: none over another, none over an edge, every cut straight across."""

import math
from random import Random

import pytest
import rectpack_py3 as rectpack
from hypothesis import given
from hypothesis import strategies as st
from rectpack_py3 import guillotine, packer

from calculators.physics import sheets
from calculators.physics.sheets import Piece, Placed, nested, tile_count, tiles

SHEET = (0.5, 0.8)
SIDES = st.floats(0.02, 0.5)
PIECES = st.lists(st.builds(Piece, st.integers(0, 5), SIDES, SIDES), min_size=1, max_size=25)
NEAR = 1e-6


def apart(one: Placed, other: Placed) -> bool:
    return (
        one.x + one.width <= other.x + NEAR
        or other.x + other.width <= one.x + NEAR
        or one.y + one.height <= other.y + NEAR
        or other.y + other.height <= one.y + NEAR
    )


def cut_apart(pieces: list[Placed]) -> bool:
    """Whether straight cuts from edge to edge set all of them free, one after the other."""
    if len(pieces) <= 1:
        return True
    for low, size in (("x", "width"), ("y", "height")):
        for cut in {getattr(piece, low) for piece in pieces}:
            before = [piece for piece in pieces if getattr(piece, low) + getattr(piece, size) <= cut + NEAR]
            after = [piece for piece in pieces if getattr(piece, low) >= cut - NEAR]
            if before and after and len(before) + len(after) == len(pieces):
                return cut_apart(before) and cut_apart(after)
    return False


@given(PIECES)
def test_every_piece_lies_on_a_sheet_and_can_be_cut(pieces: list[Piece]) -> None:
    sheets = nested(pieces, *SHEET)
    laid = [placed for sheet in sheets for placed in sheet]
    assert sorted((p.owner, *sorted((p.width, p.height))) for p in laid) == sorted(
        (p.owner, *sorted((p.width, p.height))) for p in pieces
    )
    for sheet in sheets:
        assert sheet
        for number, one in enumerate(sheet):
            assert one.x >= 0
            assert one.y >= 0
            assert one.x + one.width <= SHEET[0] + NEAR
            assert one.y + one.height <= SHEET[1] + NEAR
            assert all(apart(one, other) for other in sheet[number + 1 :])
        assert cut_apart(list(sheet))


@given(PIECES)
def test_sheets_are_used_well(pieces: list[Piece]) -> None:
    """Never fewer than the area asks; any two sheets together are more than one sheet full."""
    used = [sum(p.width * p.height for p in sheet) / math.prod(SHEET) for sheet in nested(pieces, *SHEET)]
    assert len(used) >= math.ceil(sum(used) - NEAR)
    assert len(used) <= 4 * math.ceil(sum(used) - NEAR)


LIBRARY = [
    (getattr(guillotine, name), getattr(packer, order))
    for name in dir(guillotine)
    if name.startswith("GuillotineB") and name.endswith("as")
    for order in dir(packer)
    if order.startswith("SORT_")
]
"""The library's choices of a place and of a cut, each with each of its orders."""


def by_the_library(pieces: list[Piece], width: int, height: int, fewest: int) -> int:
    """Sheets of the library's best layout that a saw can cut: it joins places, so not all can be."""
    best = len(pieces)
    for algorithm, order in LIBRARY:
        packed = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline,
            bin_algo=rectpack.PackingBin.BFF,
            pack_algo=algorithm,
            sort_algo=order,
            rotation=pieces[0].turns,
        )
        for number, piece in enumerate(pieces):
            packed.add_rect(piece.width, piece.height, number)
        packed.add_bin(width, height, math.inf)
        packed.pack()
        if len(packed) < best and all(
            cut_apart([Placed(0, part.x, part.y, part.width, part.height) for part in sheet])
            for sheet in packed
        ):
            best = len(packed)
        if best == fewest:
            break
    return best


def test_the_library_was_tried_in_every_way() -> None:
    assert len(LIBRARY) == 18 * 7


@pytest.mark.parametrize("seed", range(50))
def test_no_more_sheets_than_the_best_of_the_library_and_one_over_the_area_at_most(seed: int) -> None:
    """Parts in whole mm with the saw's cut, on a sheet of 2500 by 1250; every other list keeps the grain."""
    draw = Random(seed)
    kerf = draw.choice([1, 3, 6, 8])
    sides = [(draw.randint(60, 1200), draw.randint(60, 600)) for _ in range(draw.randint(5, 40))]
    grain = seed % 2 == 0
    pieces = [
        Piece(
            number,
            max(one) + kerf if grain else one[0] + kerf,
            min(one) + kerf if grain else one[1] + kerf,
            not grain,
        )
        for number, one in enumerate(sides)
    ]
    width, height = 2480 + kerf, 1230 + kerf
    sheets = nested(pieces, width, height)
    assert all(cut_apart(list(sheet)) for sheet in sheets)
    fewest = math.ceil(sum(piece.width * piece.height for piece in pieces) / (width * height))
    assert len(sheets) <= fewest + 1
    if len(sheets) > fewest:
        assert len(sheets) <= by_the_library(pieces, width, height, fewest)


def test_pieces_that_fill_a_sheet_fill_it() -> None:
    quarters = [Piece(number, 0.4, 0.25) for number in range(8)]
    assert len(nested(quarters, *SHEET)) == 2
    assert len(nested([Piece(0, 0.8, 0.5)], *SHEET)) == 1


@given(st.floats(0.05, 4), st.floats(0.05, 4))
def test_tiles_cover_a_patch(width: float, height: float) -> None:
    pieces = tiles(3, width, height, *SHEET)
    assert sum(piece.width * piece.height for piece in pieces) == pytest.approx(width * height)
    assert len(pieces) == tile_count(width, height, *SHEET)
    assert all(piece.owner == 3 for piece in pieces)
    assert all(min(p.width, p.height) <= SHEET[0] + NEAR for p in pieces)
    assert all(max(p.width, p.height) <= SHEET[1] + NEAR for p in pieces)


def test_a_piece_larger_than_the_sheet_is_refused() -> None:
    with pytest.raises(ValueError, match="larger than the sheet"):
        nested([Piece(0, 0.6, 0.6)], *SHEET)
    with pytest.raises(ValueError, match="width must be above zero"):
        tiles(0, 0, 1, *SHEET)


def test_pieces_are_laid_by_rules_of_which_each_does_as_it_says() -> None:
    """A piece of 0.4 by 0.5 m in a room of 1 by 0.6 m, by hand."""
    room = sheets._Room(0.0, 0.0, 1.0, 0.6)
    assert [fit(room, 0.4, 0.5) for fit in sheets.LAYING_PLACES] == pytest.approx([0.4, 0.1, 0.1])
    assert [cut(room, 0.4, 0.5) for cut in sheets.LAYING_CUTS] == [False, False]
    assert [cut(room, 0.9, 0.3) for cut in sheets.LAYING_CUTS] == [True, True]
    long, square, small = Piece(0, 0.9, 0.1), Piece(1, 0.6, 0.6), Piece(2, 0.5, 0.1)
    orders = [sorted((small, square, long), key=order) for order in sheets.LAYING_ORDERS]
    assert orders == [[long, square, small], [square, long, small]]
