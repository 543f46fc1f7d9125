"""Native Python in place of a page's: each page is answered for its own files, though all name them alike."""

import io
import wave
from base64 import b64encode

from tests.native_worker import answered

HANDLE = "kept-1"
"""What the first file of any page is called."""
FIRST, SECOND = 1001, 1002
"""Numbers of pages that no browser has."""
NO_SOUND = b"Not a sound."


def silence() -> bytes:
    """A tenth of a second of it."""
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setparams((1, 2, 48_000, 0, "NONE", ""))
        sound.writeframes(bytes(9_600))
    return file.getvalue()


def keep(page: int, contents: bytes) -> None:
    bytes_as_text = b64encode(contents).decode()
    answered({"kind": "keep", "handle": HANDLE, "name": "run.wav", "bytes": bytes_as_text}, page)


def said_of(page: int) -> str:
    """What is wrong with the file of a page."""
    inputs = {"recording": HANDLE}
    asked = {"kind": "ask", "id": 1, "calculator": "response", "inputs": inputs, "want": [], "release": ""}
    (said,) = answered(asked, page)
    return " ".join(error["message"] for error in said["reply"]["errors"])


def test_each_page_is_answered_for_its_own_file() -> None:
    keep(FIRST, NO_SOUND)
    keep(SECOND, silence())
    assert "not a WAV file" in said_of(FIRST)
    assert "not a WAV file" not in said_of(SECOND)
    keep(FIRST, silence())  # Another one under the same handle.
    assert "not a WAV file" not in said_of(FIRST)
    keep(SECOND, NO_SOUND)
    answered({"kind": "start"}, FIRST)  # Its page was opened again.
    assert "Choose a file" in said_of(FIRST)
    assert "not a WAV file" in said_of(SECOND)
    answered({"kind": "forget", "handle": HANDLE}, SECOND)
    assert "Choose a file" in said_of(SECOND)
