/** How loud a recording is, by its largest samples; and the sound of a file that the browser reads. */

import { wavFile } from "./wav.js";

const READ_AT = 48_000; // Hz: a file that the browser reads gets this rate.
const HEAD = 65_536; // Bytes of a WAV file in which its format stands.
const FORMAT = 0x666d_7420; // "fmt ", the mark before it.
const SILENCE = 1e-6; // Less than any sample but 0.
const FEW = 3; // Blocks that the device may have left out, and that are no silence then.
const KNOCK = 5; // Blocks: half a second, in which a knock or a door has died away.
const CLEARLY = 15; // dB over the silence: more than steady noise moves from block to block.

/** Level of the largest sample, dB of full scale. @param {number} peak */
export const levelOf = (peak) => 20 * Math.log10(Math.max(peak, SILENCE));

/**
 * Whether a recording holds something that lasts, clearly louder than its silence; a knock does not last.
 * @param {number[]} peaks The largest sample of each block.
 */
export function holdsSound(peaks) {
  const rising = [...peaks].sort((one, other) => one - other);
  return levelOf(rising.at(-KNOCK) ?? 0) - levelOf(rising[FEW] ?? 0) > CLEARLY;
}

/** The largest sample of each tenth of a second, as the microphone tells them. @param {Float32Array} samples */
export function peaksOf(samples) {
  const size = READ_AT / 10;
  return Array.from({ length: Math.ceil(samples.length / size) }, (_, at) => peakOf(samples.subarray(at * size, (at + 1) * size)));
}

/** The sound of a file as the browser reads it; null if it cannot. @param {File} file */
export async function soundOf(file) {
  const reader = new OfflineAudioContext(1, 1, READ_AT);
  return file.arrayBuffer().then((bytes) => reader.decodeAudioData(bytes)).catch(() => null);
}

/** Seconds of a WAV file, by the bytes a second that its head tells; no end if it tells none. @param {Blob} file */
export async function secondsOf(file) {
  const head = new DataView(await file.slice(0, HEAD).arrayBuffer());
  for (let at = 12; at + 20 <= head.byteLength; at += 1) {
    if (head.getUint32(at) === FORMAT) return file.size / head.getUint32(at + 16, true);
  }
  return Infinity;
}

/** Its largest sample; no number if one of them is none. @param {Float32Array} samples */
export function peakOf(samples) {
  let most = 0;
  for (const sample of samples) most = Math.max(most, Math.abs(sample));
  return most;
}

/** The samples of each channel. @param {AudioBuffer} sound */
export const channelsOf = (sound) => Array.from({ length: sound.numberOfChannels }, (_, channel) => sound.getChannelData(channel));

/** A sound as a WAV file. @param {AudioBuffer} sound @param {string} name */
export function asWav(sound, name) {
  const channels = channelsOf(sound);
  const samples = new Float32Array(channels.length * sound.length);
  channels.forEach((own, channel) => own.forEach((sample, place) => (samples[channels.length * place + channel] = sample)));
  return wavFile(name, [samples], READ_AT, channels.length);
}
