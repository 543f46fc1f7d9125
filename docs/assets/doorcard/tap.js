/**
 * The audio thread's side of a recording: gathers what the microphone gives, and counts what is missing.
 *
 * It sends blocks of one length, each with the number of its first sample. Where the thread was too late, or
 * the microphone gave nothing, silence stands for it, and `lost` says how much so far.
 */

const BLOCK = 4096; // Samples: a tenth of a second, so that the level is seen to move.

class Tap extends AudioWorkletProcessor {
  samples = new Float32Array(BLOCK);
  filled = 0;
  lost = 0;
  /** Samples the microphone has given. A device that starts stutters once: before a block, nothing counts as lost. */
  given = 0;
  /** The frame that must come next; none before the first. @type {number | null} */
  next = null;

  /** @param {Float32Array[][]} inputs */
  process([[channel]]) {
    const count = channel?.length ?? 128;
    const missing = currentFrame - (this.next ?? currentFrame);
    this.next = currentFrame + count;
    if (this.given >= BLOCK) this.lost += missing + (channel ? 0 : count);
    if (channel) this.given += count;
    for (let at = 0; at < missing; at += 1) this.put(0);
    for (let at = 0; at < count; at += 1) this.put(channel ? channel[at] : 0);
    return true;
  }

  /** @param {number} sample */
  put(sample) {
    this.samples[this.filled] = sample;
    this.filled += 1;
    if (this.filled < BLOCK) return;
    const { samples, lost } = this;
    this.samples = new Float32Array(BLOCK);
    this.filled = 0;
    this.port.postMessage({ samples, lost }, [samples.buffer]);
  }
}

registerProcessor("doorcard-tap", Tap);
