/** How loud a recording is, by its largest samples; and the sound of a file that the browser reads. */

export const READ_AT = 48_000; // Hz: a file that the browser reads gets this rate.
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

/** @param {Float32Array} samples */
export const peakOf = (samples) => samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);

/** The samples of each channel. @param {AudioBuffer} sound */
export const channelsOf = (sound) => Array.from({ length: sound.numberOfChannels }, (_, channel) => sound.getChannelData(channel));

/** The samples of all channels in turn. @param {AudioBuffer} sound */
export function interleaved(sound) {
  const channels = channelsOf(sound);
  const samples = new Float32Array(channels.length * sound.length);
  channels.forEach((own, channel) => own.forEach((sample, place) => (samples[channels.length * place + channel] = sample)));
  return samples;
}
