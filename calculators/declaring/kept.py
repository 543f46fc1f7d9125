"""Bytes that a reader hands over, kept outside and read block by block; and bytes that a reader gets."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

BLOCK = 1 << 20
MOST_BYTES = 100_000_000
"""Of one file that a page makes."""
TEXTS = ("application/json", "image/svg+xml", "image/vnd.dxf", "text/csv", "text/html", "text/plain")
"""Media types of files in UTF-8."""


@dataclass(frozen=True)
class Kept:
    """Bytes under a handle. In a page they stay in the browser's own memory, for Python's never shrinks.

    ``read`` gives so many bytes from a place on. Two of the same handle are the same bytes.
    """

    handle: str
    name: str
    size: int
    read: Callable[[int, int], bytes] = field(compare=False, repr=False)

    def blocks(self, length: int = BLOCK) -> Iterator[bytes]:
        """The bytes in their order, ``length`` at a time; the last block may be shorter."""
        for start in range(0, self.size, length):
            yield self.read(start, min(length, self.size - start))


@dataclass(frozen=True)
class Made:
    """A file that a calculator makes: the name it is kept under, its media type, how many bytes it has.

    Its bytes are made piece by piece when somebody keeps it, and not before: an answer that only
    names a long recording costs nothing. ``pieces`` gives the same bytes each time; one piece should
    take no longer than 40 ms in the page. A packed file names the files that it ``holds``: the command line,
    which need not pack, writes those into a folder.
    """

    name: str
    media_type: str
    size: int
    pieces: Callable[[], Iterator[bytes]] = field(compare=False, repr=False)
    holds: tuple["Made", ...] = field(default=(), compare=False, repr=False)
    text: str = field(default="", compare=False, repr=False)
    """What it says, where that is text and at hand."""

    @property
    def too_large(self) -> bool:
        """Whether a page does not make it."""
        return self.size > MOST_BYTES

    @classmethod
    def whole(cls, name: str, media_type: str, contents: bytes) -> "Made":
        """A file whose bytes are at hand."""
        text = contents.decode() if media_type.partition(";")[0] in TEXTS else ""
        return cls(name, media_type, len(contents), lambda: iter((contents,)), text=text)

    @property
    def contents(self) -> bytes:
        """All bytes at once."""
        return b"".join(self.pieces())
