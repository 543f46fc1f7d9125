/** Sound as a WAV file of floating-point samples, which are kept as they are. */

const HEADER = 58;
const FLOATING = 3; // A WAV file's word for such samples.
const BYTES = 4; // In one of them.

/**
 * @param {string} name
 * @param {Float32Array[]} blocks Samples, those of all channels in turn.
 * @param {number} rate Hz.
 * @param {number} channels
 */
export function wavFile(name, blocks, rate, channels) {
  const size = BYTES * blocks.reduce((sum, { length }) => sum + length, 0);
  return new File([headerOf(size, rate, channels), ...blocks.map(littleEndian)], name, { type: "audio/wav" });
}

/**
 * The bytes of samples as a WAV file wants them: the lowest first.
 * @param {Float32Array} samples
 */
function littleEndian(samples) {
  const view = new DataView(new ArrayBuffer(BYTES * samples.length));
  samples.forEach((sample, place) => view.setFloat32(BYTES * place, sample, true));
  return view.buffer;
}

/**
 * The head of such a file (Multimedia Programming Interface and Data Specifications 1.0, with the parts that its
 * later revision asks of floating-point samples).
 * @param {number} size Bytes of sound.
 * @param {number} rate Hz.
 * @param {number} channels
 */
function headerOf(size, rate, channels) {
  const view = new DataView(new ArrayBuffer(HEADER));
  /** @type {(place: number, word: string) => void} */
  const word = (place, letters) => [...letters].forEach((letter, at) => view.setUint8(place + at, letter.charCodeAt(0)));
  word(0, "RIFF");
  view.setUint32(4, HEADER - 8 + size, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 18, true);
  view.setUint16(20, FLOATING, true);
  view.setUint16(22, channels, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, BYTES * channels * rate, true);
  view.setUint16(32, BYTES * channels, true);
  view.setUint16(34, 8 * BYTES, true);
  word(38, "fact");
  view.setUint32(42, 4, true);
  view.setUint32(46, size / BYTES / channels, true);
  word(50, "data");
  view.setUint32(54, size, true);
  return view.buffer;
}
