"""QR codes, read back by a library that is not the one that makes them (ISO/IEC 18004)."""

import re

import numpy as np
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.presenting.qr_code import BORDER, MOST_MODULES, qr_code

PIXELS = 3
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"
LINK = "https://example.org/handbook/look-up/delay-by-distance/#doorcard="


def painted(svg: str) -> np.ndarray[tuple[int, int], np.dtype[np.uint8]]:
    """The picture as grey pixels: its dark lines, each one module high."""
    side = re.search(r'viewBox="0 0 (\d+) \1"', svg)
    assert side is not None
    grey = np.full((int(side[1]), int(side[1])), 255, dtype=np.uint8)
    for x, y, width in re.findall(r"M(\d+) (\d+)\.5h(\d+)", svg):
        grey[int(y), int(x) : int(x) + int(width)] = 0
    return np.kron(grey, np.ones((PIXELS, PIXELS), dtype=np.uint8))


@settings(max_examples=12)
@given(st.text(LETTERS, max_size=900))
def test_a_code_reads_back_as_its_link(letters: str) -> None:
    picture = painted(qr_code(LINK + letters))
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.format == zxingcpp.BarcodeFormat.QRCode
    assert read.text == LINK + letters
    edge = BORDER * PIXELS
    assert picture[:edge].min() == picture[:, -edge:].min() == 255, "the quiet zone"


def test_a_link_too_long_for_a_phone_has_no_code() -> None:
    # 1273 bytes are what version 25 holds at level L (ISO/IEC 18004, table 7), 2953 what any holds.
    assert f'viewBox="0 0 {MOST_MODULES + 2 * BORDER} ' in qr_code("a" * 1273)
    assert qr_code("a" * 1274) == ""
    assert qr_code("a" * 2954) == ""
