/**
 * `<doorcard-recorder>`: records the measuring sweep into a file's field with the device's own microphone.
 *
 * A press asks for the microphone and shows how loud it hears; another one records, while the sweep comes from
 * another player or from this device. The microphone is off again as soon as a run has ended, however it ended.
 * What was recorded becomes the file of the field, as if it had been chosen there; nothing else keeps it.
 *
 * A file of another kind that is chosen there, as most phones record it, is read by the browser and goes on as a
 * WAV file, marked as lossy.
 */

import { Microphone } from "./microphone.js";
import { part } from "./parts.js";
import { wavFile } from "./wav.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */

/** The fields of the form that a sweep is made from. */
const SETTINGS = ["low", "high", "sweep_length", "pause", "lead", "markers", "direction"];
const MADE_AT = -12; // dB: the loudest that this device plays.
const LOUDER = 12; // dB that a run may be louder than the loudest before it.
const RATES = new Map([[44_100, "44.1 kHz"], [48_000, "48 kHz"], [96_000, "96 kHz"]]);
const TAIL = 500; // Milliseconds from the sweep's end on this device to the end of the recording.
const LONGEST = 160; // Seconds: longer than the longest signal, and its samples fit a small phone.
const HELD = 15; // Blocks of which the loudest is shown: a second and a half.
const READ_AT = 48_000; // Hz: a file that the browser reads gets this rate.
const LARGEST_READ = 10_000_000; // Bytes: a sweep takes a tenth, and much more would not fit a phone once unpacked.
const SILENCE = 1e-6; // Less than any sample but 0.

const RECORD = "Record with this device";
const OFF = "Turn the microphone off";
const WORDS = Object.freeze({
  asking: "Waiting for your device to allow the microphone…",
  making: "Making the sweep…",
  unmade: "The sweep cannot be made: ",
  another: "Press Record, then start the sweep on the player. Press Finish once both sweeps have ended.",
  this: "Connect this device to the system and turn the system down. The first run is a soft one; each further one may be 12 dB louder. Keep a hand on Stop.",
  reading: "Reading the file…",
  read: "This is no WAV file: your browser has read it, and it is taken for lossy. If it is not, change “Lossy” under “More settings”.",
  large: "This is no WAV file, and too large to be read here. Cut it down to the sweep, or export it as WAV.",
  running: "Recording. Be quiet, and move nothing.",
  stopped: "Stopped. Nothing was kept.",
  phone: " The form takes this microphone for a phone’s that was not compared: change “Microphone” if it is a measuring one.",
  refused: "The microphone was not allowed: by you, by the device, or by this address. Allow it beside the address or in the device’s settings, and press again; or record with any recorder and choose its file above.",
  none: "There is no microphone here. Plug one in and press again; or record with any recorder and choose its file above.",
  busy: "Another program holds the microphone. Close it and press again.",
  unable: "This browser gives a page no microphone here: it wants a newer one, or an address that starts with https. Record with any recorder and choose its file above.",
  gone: "The microphone went away: it was pulled out, a call came in, or the device put this page to sleep. What it had recorded is thrown away. Press again.",
});
const FAULTS = new Map([
  ["NotAllowedError", WORDS.refused],
  ["SecurityError", WORDS.refused],
  ["NotFoundError", WORDS.none],
  ["NotReadableError", WORDS.busy],
  ["AbortError", WORDS.busy],
]);

/** @param {number} decibels */
const shown = (decibels) => `${decibels.toFixed(0).replace("-", "−")} dB`;

/** Level of the largest sample, dB of full scale. @param {number} peak */
const levelOf = (peak) => 20 * Math.log10(Math.max(peak, SILENCE));

/** @param {Float32Array} samples */
const peakOf = (samples) => samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);

/** The samples of all channels in turn. @param {AudioBuffer} sound */
function interleaved(sound) {
  const { numberOfChannels: channels, length } = sound;
  const samples = new Float32Array(channels * length);
  for (let channel = 0; channel < channels; channel += 1) {
    sound.getChannelData(channel).forEach((sample, place) => (samples[channels * place + channel] = sample));
  }
  return samples;
}

/** A file's name by the minute, so that two can be told apart. */
function fileName() {
  const now = new Date();
  const local = new Date(now.getTime() - 60_000 * now.getTimezoneOffset());
  return `recording-${local.toISOString().slice(0, 16).replace("T", "-").replace(":", "")}.wav`;
}

class DoorcardRecorder extends HTMLElement {
  /** @type {Microphone | null} */
  microphone = null;
  running = false;
  /** The loudest of the last blocks each. @type {number[]} */
  peaks = [];
  /** The largest sample of the recording. */
  largest = 0;
  /** The loudest level that this device may play at, dB. */
  allowed = -Infinity;
  /** Whether the form has been told once what microphone this is. */
  toldForm = false;
  address = "";
  /** A file is being put into the field from here. */
  handing = false;
  /** The field's file was read by the browser. */
  translated = false;

  connectedCallback() {
    this.field.addEventListener("change", this.readOther);
    this.addEventListener("click", (event) => this.clicked(event));
    // What is chosen here is no value of the form: the calculator around must not hear of it.
    for (const kind of ["input", "change"]) this.addEventListener(kind, (event) => event.stopPropagation());
    this.player.addEventListener("change", () => this.choosePlayer());
    this.allow(Number(this.level.value));
    document.addEventListener("visibilitychange", this.hide);
    this.show();
  }

  disconnectedCallback() {
    document.removeEventListener("visibilitychange", this.hide);
    this.close();
    URL.revokeObjectURL(this.address);
  }

  get form() {
    return /** @type {DoorcardCalculator} */ (this.closest("doorcard-calculator"));
  }

  get field() {
    return part(this.form, `.dc-form [name="${this.dataset.field}"]`, HTMLInputElement);
  }

  get player() {
    return part(this, "[data-player]", HTMLSelectElement);
  }

  get level() {
    return part(this, "[data-level]", HTMLSelectElement);
  }

  get meter() {
    return part(this, "[data-meter]", HTMLMeterElement);
  }

  get playsItself() {
    return this.player.value === "this";
  }

  /** @param {string} words */
  tell(words) {
    part(this, "[data-told]", HTMLElement).textContent = words;
  }

  /** @param {Event} event */
  clicked({ target }) {
    const pressed = target instanceof Element ? target.closest("button") : null;
    const { open, run, done, stop } = pressed?.dataset ?? {};
    if (open !== undefined) return this.microphone ? this.end("") : this.open();
    if (run !== undefined) return this.run();
    if (done !== undefined) return this.finish();
    if (stop !== undefined) return this.end(WORDS.stopped);
  }

  async open() {
    const opener = part(this, "[data-open]", HTMLButtonElement);
    const fromFolder = location.protocol === "file:"; // A browser loads no audio worklet from there.
    if (fromFolder || !navigator.mediaDevices || typeof AudioWorkletNode !== "function") return this.tell(WORDS.unable);
    this.tell(WORDS.asking);
    opener.disabled = true;
    try {
      this.microphone = await Microphone.open({ onBlock: (samples) => this.hear(samples), onGone: () => this.end(WORDS.gone) });
    } catch (error) {
      return this.tell(FAULTS.get(error instanceof DOMException ? error.name : "") ?? WORDS.unable);
    } finally {
      opener.disabled = false;
    }
    if (!this.isConnected) return this.close();
    this.peaks = [];
    this.showDevice();
    this.show();
    this.choosePlayer();
  }

  /** What the device says of itself. */
  showDevice() {
    const { name, altering, silent } = /** @type {Microphone} */ (this.microphone).told;
    const device = name ? `“${name}”` : "This microphone";
    const line = part(this, "[data-device]", HTMLElement);
    line.className = altering.length ? "dc-advice dc-danger" : "";
    if (altering.length) {
      line.textContent = `${device} alters the sound before this page gets it (${altering.join(", ")}): levels are not to be trusted. Record with a device that leaves it alone.`;
    } else if (silent) {
      line.textContent = `${device} does not say whether it alters the sound. The softer second sweep shows a gain that moves; compare with another recorder.`;
    } else {
      line.textContent = `${device} says that it leaves the sound as it is.`;
    }
  }

  choosePlayer() {
    part(this, "[data-of=level]", HTMLElement).hidden = !this.playsItself;
    part(this, "[data-run]", HTMLButtonElement).textContent = this.playsItself ? "Play and record" : "Record";
    this.tell(this.playsItself ? WORDS.this : WORDS.another);
    this.warn("");
    if (this.playsItself) this.signal(); // Its dangers are read before it sounds.
  }

  /** Shows what belongs to the moment. */
  show() {
    const { running, microphone } = this;
    const opener = part(this, "[data-open]", HTMLButtonElement);
    opener.textContent = microphone ? OFF : RECORD;
    opener.hidden = running;
    part(this, "[data-panel]", HTMLElement).hidden = !microphone;
    part(this, "[data-run]", HTMLButtonElement).hidden = running;
    part(this, "[data-done]", HTMLButtonElement).hidden = !running || this.playsItself;
    part(this, "[data-stop]", HTMLButtonElement).hidden = !running;
    this.player.disabled = this.level.disabled = running;
  }

  /** @param {string} words A danger of the sweep. */
  warn(words) {
    const place = part(this, "[data-warning]", HTMLElement);
    place.className = "dc-advice dc-danger";
    place.textContent = words;
    place.hidden = !words;
  }

  /** Lets this device play up to a level. @param {number} most dB */
  allow(most) {
    this.allowed = Math.max(this.allowed, most);
    for (const option of this.level.options) option.disabled = Number(option.value) > this.allowed;
  }

  /** The sweep of the form's own settings as a file; null if there is none, and why is told. */
  async signal() {
    const { sampleRate = 0 } = this.microphone ?? {};
    const typed = this.form.inputs();
    const own = Object.entries(typed).filter(([name]) => SETTINGS.includes(name.replace(/:unit$/, "")));
    const reply = await this.form.beside("html", "sweep", {
      ...Object.fromEntries(own),
      level: String(MADE_AT),
      layout: typed.plays_in_file?.startsWith("two") ? "left-right" : "mono",
      sample_rate: RATES.get(sampleRate) ?? "48 kHz",
      sample_format: "float",
    });
    if (!reply || !("errors" in reply)) return null;
    this.warn(reply.advice.filter(({ danger }) => danger).map(({ message }) => message).join(" "));
    if (reply.errors.length) this.tell(WORDS.unmade + reply.errors.map(({ message }) => message).join(" "));
    return reply.files[0]?.buffer ?? null;
  }

  async run() {
    const { microphone, playsItself } = this;
    if (!microphone) return;
    const button = part(this, "[data-run]", HTMLButtonElement);
    button.disabled = true; // Nothing is started twice while the sweep is made.
    if (playsItself) this.tell(WORDS.making);
    const sound = playsItself ? await this.signal() : null;
    button.disabled = false;
    if (this.microphone !== microphone || (playsItself && !sound)) return;
    this.running = true;
    this.largest = 0;
    this.show();
    this.tell(WORDS.running);
    part(this, playsItself ? "[data-stop]" : "[data-done]", HTMLButtonElement).focus();
    if (!sound) return microphone.record();
    await microphone.play(sound, Number(this.level.value) - MADE_AT, () => setTimeout(() => {
      if (this.microphone === microphone) this.finish();
    }, TAIL));
  }

  /** Shows how loud it is. @param {Float32Array} samples */
  hear(samples) {
    const peak = peakOf(samples);
    this.peaks = [...this.peaks, peak].slice(-HELD);
    const level = levelOf(Math.max(...this.peaks));
    this.meter.value = level;
    const length = this.running ? this.microphone?.length ?? 0 : 0;
    const time = this.running ? `${Math.floor(length)} s, ` : "";
    part(this, "[data-heard]", HTMLElement).textContent = `${time}${shown(level)}, ${this.judged(level)}`;
    if (this.running) this.largest = Math.max(this.largest, peak);
    if (length >= LONGEST) this.finish();
  }

  /** @param {number} level dB */
  judged(level) {
    if (level > this.meter.high) return "too loud: turn down";
    return level < this.meter.low ? "too quiet for a sweep, right for silence" : "right for a sweep";
  }

  /** Ends a run as it should end: the recording becomes the field's file. */
  finish() {
    const { microphone } = this;
    if (!microphone) return;
    const { lost, length, told } = microphone;
    const file = microphone.recording(fileName());
    const level = levelOf(this.largest);
    this.end("");
    if (lost) return this.tell(`The device lost ${Math.ceil(1000 * lost)} ms of sound, so this run is thrown away. Close other programs and press again.`);
    if (this.playsItself) this.allow(Number(this.level.value) + LOUDER);
    const right = level <= this.meter.high && level >= this.meter.low;
    const judged = right ? "right" : level > this.meter.high ? "too loud: record again, softer" : "too quiet: record again, louder";
    const phone = this.toldForm ? "" : WORDS.phone;
    this.hand(file, told);
    this.tell(`Recorded ${length.toFixed(1)} s; the loudest was ${shown(level)}, ${judged}.${phone}`);
    part(this, "[data-open]", HTMLButtonElement).focus();
  }

  /**
   * Gives the recording to the form, with what the device said of itself.
   * @param {File} file
   * @param {import("./microphone.js").Told} told
   */
  hand(file, told) {
    this.choose("functions", told.altering.length ? "on" : told.silent ? "unknown" : "off");
    if (!this.toldForm) this.choose("microphone", "phone");
    this.toldForm = true;
    this.putIn(file, false);
    URL.revokeObjectURL(this.address);
    this.address = URL.createObjectURL(file);
    const save = part(this, "[data-save]", HTMLAnchorElement);
    save.href = this.address;
    save.download = file.name;
    save.hidden = false;
  }

  /**
   * Makes a file the field's, as if it had been chosen there.
   * @param {File} file
   * @param {boolean} translated
   */
  putIn(file, translated) {
    if (translated || this.translated) this.choose("declared_lossy", translated ? "yes" : "no");
    this.translated = translated;
    const carrier = new DataTransfer();
    carrier.items.add(file);
    this.field.files = carrier.files;
    this.handing = true;
    this.field.dispatchEvent(new Event("change", { bubbles: true }));
    this.handing = false;
  }

  /** Has the browser read a file that is no WAV file; one that it cannot read goes on as it is. @param {Event} event */
  readOther = async (event) => {
    const [file] = this.field.files ?? [];
    if (this.handing) return;
    if (!file || /\.wav$/i.test(file.name)) {
      if (this.translated) this.choose("declared_lossy", "no");
      this.translated = false;
      return;
    }
    event.stopPropagation(); // The form hears of it once it is a WAV file.
    if (file.size > LARGEST_READ) {
      this.field.value = "";
      this.field.dispatchEvent(new Event("change", { bubbles: true }));
      return this.tell(WORDS.large);
    }
    this.tell(WORDS.reading);
    const reader = new OfflineAudioContext(1, 1, READ_AT);
    const sound = await file.arrayBuffer().then((bytes) => reader.decodeAudioData(bytes)).catch(() => null);
    if (this.field.files?.[0] !== file) return; // Another has been chosen since.
    this.tell(sound ? WORDS.read : "");
    this.putIn(sound ? wavFile(`${file.name}.wav`, [interleaved(sound)], READ_AT, sound.numberOfChannels) : file, Boolean(sound));
  };

  /**
   * @param {string} name
   * @param {string} word
   */
  choose(name, word) {
    part(this.form, `.dc-form select[name="${name}"]`, HTMLSelectElement).value = word;
  }

  /** A microphone that nobody watches is turned off; a run goes on behind the player's own page. */
  hide = () => {
    if (document.hidden && this.microphone && !this.running) this.end("");
  };

  /** @param {string} words Why it has ended. */
  end(words) {
    const focused = this.contains(document.activeElement);
    this.close();
    this.show();
    this.tell(words);
    if (focused) part(this, "[data-open]", HTMLButtonElement).focus();
  }

  close() {
    this.microphone?.close();
    this.microphone = null;
    this.running = false;
  }
}

customElements.define("doorcard-recorder", DoorcardRecorder);
