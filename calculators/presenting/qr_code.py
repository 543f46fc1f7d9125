"""A QR code as a picture: a link that a camera reads off a screen or off paper (ISO/IEC 18004)."""

from functools import lru_cache
from itertools import groupby

BORDER = 4
"""Light modules round the code, as ISO/IEC 18004 asks for."""

MOST_MODULES = 117
"""Of a side, version 25: more of them are too fine for a phone over a card of 105 mm."""


@lru_cache(maxsize=8)
def qr_code(words: str) -> str:
    """The code of a text as SVG; empty where it would be too fine to be read.

    It is black on white in any scheme, for a camera reads it. The library comes to the page only
    when the first code is asked for.
    """
    from segno import DataOverflowError, make_qr

    try:
        code = make_qr(words, error="l")  # The library takes a stronger correction where there is room.
    except DataOverflowError:
        return ""
    if len(code.matrix) > MOST_MODULES:
        return ""
    path = "".join(line(row, place + BORDER) for place, row in enumerate(code.matrix))
    side = len(code.matrix) + 2 * BORDER
    return (
        f'<svg class="dc-code" role="img" aria-label="QR code of the link" viewBox="0 0 {side} {side}" '
        f'shape-rendering="crispEdges"><path fill="#fff" d="M0 0h{side}v{side}h-{side}z"/>'
        f'<path stroke="#000" d="{path}"/></svg>'
    )


def line(row: bytes | bytearray, y: int) -> str:
    """The dark modules of a row as strokes of a path, one for each that stand together."""
    x, strokes = BORDER, ""
    for dark, together in groupby(row):
        count = len(list(together))
        strokes += f"M{x} {y}.5h{count}" if dark else ""
        x += count
    return strokes
