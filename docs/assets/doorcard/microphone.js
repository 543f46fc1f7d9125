/**
 * The device's microphone: opened after a press, heard block by block, closed for good.
 *
 *     const microphone = await Microphone.open({ onBlock, onGone });
 *     microphone.record();
 *     const file = microphone.recording(); // WAV
 *     microphone.close();
 *
 * The device is asked to leave the sound as it is, and its word is taken down. What the page plays runs by the
 * clock that what it hears is counted by.
 */

import { wavFile } from "./wav.js";

const ASKED = Object.freeze({ echoCancellation: false, noiseSuppression: false, autoGainControl: false, voiceIsolation: false, channelCount: 1 });
/** What a device may do to the sound, by the names of Media Capture and Streams (W3C). */
const ALTERATIONS = Object.freeze({
  echoCancellation: "echo cancellation",
  noiseSuppression: "noise suppression",
  autoGainControl: "automatic gain",
  voiceIsolation: "voice isolation",
});
const SELDOM_TOLD = "voiceIsolation"; // Newer than the others: no word of it means nothing.
const LOWEST_RATE = 8000; // Hz: what a recording is read from.
const HIGHEST_RATE = 192_000;
const FADE = 0.003; // Seconds in which a sound that is stopped falls to a third, so that it ends without a click.
const LEAD = 0.1; // Seconds from the press until the sound starts.

/** @typedef {{samples: Float32Array, lost: number}} Block What `tap.js` sends. */
/**
 * @typedef {object} Told
 * @property {string} name What the device calls its microphone.
 * @property {string[]} altering What it admits to do to the sound.
 * @property {boolean} silent It does not say whether it does anything.
 */

export class Microphone {
  /** The blocks of the recording; null while there is none. @type {Block[] | null} */
  blocks = null;
  /** What was missing when the recording began. */
  lostBefore = 0;
  /** What was missing so far. */
  lostSoFar = 0;
  /** @type {{source: AudioBufferSourceNode, gain: GainNode} | null} */
  playing = null;
  closed = false;
  /** What was followed for it is let go with it. */
  ended = new AbortController();

  /**
   * Asks for the microphone.
   * @param {object} options
   * @param {(samples: Float32Array) => void} options.onBlock Told of every block.
   * @param {() => void} options.onGone Told once if the microphone stops by itself.
   * @throws {DOMException} As `getUserMedia`.
   */
  static async open({ onBlock, onGone }) {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { ...ASKED } });
    const [track] = stream.getAudioTracks();
    const { sampleRate = 0 } = track.getSettings();
    const own = sampleRate >= LOWEST_RATE && sampleRate <= HIGHEST_RATE;
    // The microphone's own rate: nothing between it and the recording has to be changed.
    const audio = new AudioContext({ latencyHint: "playback", ...(own ? { sampleRate } : {}) });
    const opened = new Microphone(track, audio);
    try {
      await audio.audioWorklet.addModule(new URL("./tap.js", import.meta.url));
      opened.listen(new MediaStreamAudioSourceNode(audio, { mediaStream: stream }), onBlock, onGone);
    } catch (error) {
      opened.close();
      throw error;
    }
    return opened;
  }

  /**
   * @param {MediaStreamTrack} track
   * @param {AudioContext} audio
   */
  constructor(track, audio) {
    this.track = track;
    this.audio = audio;
  }

  /**
   * @param {AudioNode} source
   * @param {(samples: Float32Array) => void} onBlock
   * @param {() => void} onGone
   */
  listen(source, onBlock, onGone) {
    // It has no output: what is heard must never be played back into the room.
    const tap = new AudioWorkletNode(this.audio, "doorcard-tap", { numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
    tap.port.onmessage = ({ data }) => {
      if (this.closed) return;
      this.lostSoFar = data.lost;
      this.blocks?.push(data);
      onBlock(data.samples);
    };
    source.connect(tap);
    const gone = () => {
      if (!this.closed) onGone();
    };
    // A page that the browser keeps for the way back would go on listening there.
    addEventListener("pagehide", ({ persisted }) => persisted && gone(), { signal: this.ended.signal });
    this.track.onended = gone;
    this.track.onmute = gone; // A call has come in, or a switch was thrown.
    let running = this.audio.state === "running";
    this.audio.onstatechange = () => {
      if (running && this.audio.state !== "running") gone();
      running ||= this.audio.state === "running";
    };
    this.audio.resume();
  }

  /** What the device says of itself. @returns {Told} */
  get told() {
    const settings = /** @type {Record<string, unknown>} */ (this.track.getSettings());
    const names = Object.entries(ALTERATIONS);
    return {
      name: this.track.label,
      altering: names.filter(([name]) => settings[name]).map(([, words]) => words),
      silent: names.some(([name]) => name !== SELDOM_TOLD && settings[name] === undefined),
    };
  }

  get sampleRate() {
    return this.audio.sampleRate;
  }

  /** Begins a recording; one before it is let go. */
  record() {
    this.blocks = [];
    this.lostBefore = this.lostSoFar;
  }

  /** Seconds recorded. */
  get length() {
    return (this.blocks ?? []).reduce((sum, { samples }) => sum + samples.length, 0) / this.sampleRate;
  }

  /** Seconds of the recording that are missing. */
  get lost() {
    return (this.lostSoFar - this.lostBefore) / this.sampleRate;
  }

  /** The recording as a file. @param {string} name */
  recording(name) {
    const blocks = (this.blocks ?? []).map(({ samples }) => samples);
    return wavFile(name, blocks, this.sampleRate, 1);
  }

  /**
   * Plays a sound once, so much softer than it is, and tells when it has ended by itself.
   * @param {ArrayBuffer} bytes A file's; it stays whole.
   * @param {number} decibels 0 or less.
   * @param {() => void} onEnd
   */
  async play(bytes, decibels, onEnd) {
    const buffer = await this.audio.decodeAudioData(bytes.slice(0));
    if (this.closed) return;
    this.record();
    const gain = new GainNode(this.audio, { gain: 10 ** (Math.min(0, decibels) / 20) });
    const source = new AudioBufferSourceNode(this.audio, { buffer });
    source.connect(gain).connect(this.audio.destination);
    source.onended = () => {
      if (this.playing?.source === source) onEnd();
    };
    this.playing = { source, gain };
    source.start(this.audio.currentTime + LEAD);
  }

  /** Ends the sound, the recording and the microphone, at once. */
  async close() {
    if (this.closed) return;
    this.closed = true;
    this.ended.abort();
    this.track.stop();
    const { playing, audio } = this;
    this.playing = null;
    if (playing) {
      playing.gain.gain.setTargetAtTime(0, audio.currentTime, FADE);
      playing.source.stop(audio.currentTime + 10 * FADE);
      await new Promise((settle) => setTimeout(settle, 1000 * 20 * FADE));
    }
    if (audio.state !== "closed") await audio.close();
  }
}
