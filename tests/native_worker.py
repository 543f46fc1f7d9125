"""The page's Python, answered by the Python of the tests: for what a page does with answers that have come.

In place of the page's own worker one hands every message to this process, which answers by the same door
(`calculators/browser.py`). A page is then live at once. The long tests start Python in the page.
"""

import json
import re
from base64 import b64decode, b64encode
from collections import defaultdict
from itertools import count
from typing import Any

from playwright.sync_api import BrowserContext, Page

from calculators import browser as door
from calculators.release import release
from tests.conftest import SOAK

HANDED_OVER = """
self.Worker = new Proxy(Worker, {
  construct(Genuine, [address, options]) {
    if (!String(address).includes("/doorcard-")) return new Genuine(address, options);
    const packed = async (buffer) => {
      const reader = new FileReader();
      reader.readAsDataURL(new Blob([buffer]));
      await new Promise((settle) => (reader.onload = settle));
      return reader.result.slice(reader.result.indexOf(",") + 1);
    };
    const unpacked = (text) => Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0)).buffer;
    let before = Promise.resolve();
    const hand = async ({ buffer, kept, ...message }) => {
      const bytes = buffer ? await packed(buffer) : "";
      for (const { files = [], ...data } of await self.answeredBeside({ ...message, bytes })) {
        files.forEach((file, index) => (data.reply.files[index].buffer = unpacked(file)));
        worker.onmessage?.({ data });
      }
    };
    const worker = {
      postMessage(message) { before = before.then(() => hand(message)); },
      terminate() { worker.onmessage = null; },
    };
    return worker;
  },
});
"""


HANDLE = re.compile(r"\bkept-\d+\b")
"""What a page names a file by: every page has a first one, and all are kept by this one process."""
numbers: defaultdict[Page, int] = defaultdict(count(1).__next__)
"""The number of each page."""
kept: defaultdict[int, set[str]] = defaultdict(set)
"""The handles that are kept for a page, by its number."""


class Bytes(bytes):
    """Bytes as the door is given them: it asks for a copy of what it takes."""

    def __getitem__(self, place: Any) -> Any:
        return Bytes(super().__getitem__(place))

    def to_bytes(self) -> bytes:
        return bytes(self)


def answered_beside(context: BrowserContext) -> None:
    """Pages of it are answered by this process; in the long tests by their own Python."""
    if not SOAK:
        context.expose_binding(
            "answeredBeside", lambda source, message: answered(message, numbers[source["page"]])
        )
        context.add_init_script(HANDED_OVER)


def answered(message: dict[str, Any], page: int) -> list[dict[str, Any]]:
    """What the worker would say to a message of a page, with the bytes of files as text beside it."""
    match message["kind"]:
        case "start":  # A page that is opened again counts its files from the first.
            for handle in kept.pop(page, ()):
                door.forget(handle)
            return [{"kind": "ready"}]
        case "keep":
            contents, handle = Bytes(b64decode(message["bytes"])), of_page(message["handle"], page)
            kept[page].add(handle)
            door.keep(
                handle, message["name"], len(contents), lambda start, count: contents[start : start + count]
            )
        case "forget":
            door.forget(of_page(message["handle"], page))
        case "cancel":
            return [{"kind": "stopped", "id": message["id"]}]
        case "draw":
            return [{"kind": "drawn", "id": message["id"], "code": door.code_of(message["link"])}]
        case "ask":
            return [reply_to(message, page)]
    return []


def of_page(text: str, page: int) -> str:
    """A text whose handles are that page's own."""
    return HANDLE.sub(rf"page-{page}-\g<0>", text)


def reply_to(message: dict[str, Any], page: int) -> dict[str, Any]:
    """The reply to a question of a page, whole."""
    number = message["id"]
    asked = {part: message[part] for part in ("calculator", "inputs", "want")} | {"release": release()}
    asked["inputs"] = {name: of_page(text, page) for name, text in asked["inputs"].items()}
    said = json.loads(door.begin(number, json.dumps(asked)))
    while "working" in said:
        said = json.loads(door.advance(number))
    files = [b64encode(contents).decode() for contents in door.files_of(number)] if said["files"] else []
    return {"kind": "reply", "id": number, "heap": 0, "reply": said, "files": files}
