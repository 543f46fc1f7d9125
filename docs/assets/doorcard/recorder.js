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

import { MOST_KEPT } from "./engine.js";
import { Microphone } from "./microphone.js";
import { cutOff, note } from "./noted-run.js";
import { part } from "./parts.js";
import { asWav, channelsOf, holdsSound, levelOf, peakOf, peaksOf, secondsOf, soundOf } from "./peaks.js";
import { clock, moment } from "./clock.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */

/** The fields of the form that a sweep is made from. */
const SETTINGS = ["low", "high", "sweep_length", "pause", "lead", "markers", "direction"];
const LOUDER = 12; // dB that a run may be louder than the loudest before it.
const RATES = new Map([[44_100, "44.1 kHz"], [48_000, "48 kHz"], [96_000, "96 kHz"]]);
const TAIL = 500; // Milliseconds from the sweep's end on this device to the end of the recording.
const LONGEST = 160; // Seconds: longer than the longest signal, and its samples fit a small phone.
const HELD = 15; // Blocks of which the loudest is shown: a second and a half.
const LARGEST_PACKED = 10_000_000; // Bytes: a sweep takes a tenth, and much more would not fit a phone once unpacked.
const CHANNEL = "recording_channel"; // The form's field that names the channel it reads.

const RIGHT = "the right level";
const NO_NUMBERS = "some samples are no numbers: record again, or export it anew.";
const RECORD = "Record with this device";
const OFF = "Turn the microphone off";
const WORDS = Object.freeze({
  asking: "Waiting for your device to allow the microphone…",
  making: "Making the sweep…",
  unmade: "The sweep cannot be made: ",
  another: "Turn the player down: the first run at a speaker is a soft one, and a tweeter gets 1 V RMS at most. Press Record, then start the sweep, with a hand on the player’s stop. Press Finish once both sweeps have ended.",
  this: "Connect this device to the system and turn the system down. The first run is a soft one; each further one may be 12 dB louder. Another speaker, another soft first run. One hand on Stop, or on Escape; the other on the amplifier’s volume, for over Bluetooth the sound goes on for a moment.",
  changed: "The sweep is another one now, and its first run is a soft one. Read this, then press again.",
  louder: " With the same speaker and the same volume the next run may be 12 dB louder. Another speaker, another soft first run.",
  reading: "Reading the file…",
  read: "This is no WAV file: your browser has read it, and it is taken for lossy. If it is not, change “Lossy” under “More settings”.",
  long: `This file is longer than ${LONGEST} s, or does not tell how long it is: how loud it is, is not told. Cut it down to the sweep.`,
  large: "This is no WAV file, and too large to be read here. Cut it down to the sweep, or export it as WAV.",
  running: "Recording. Be quiet, and move nothing.",
  stopped: "Stopped. Nothing was kept.",
  unplayed: "The sweep could not be played: this device may be short of memory. Close other programs and press again. Nothing was kept.",
  unseen: "The page went out of sight, where nobody can stop it: sound and microphone were turned off, and nothing was kept. Press again.",
  phone: " The form takes this microphone for a phone’s that was not compared: change “Microphone” if it is a measuring one.",
  refused: "The microphone was not allowed: by you, by the device, or by this address. Allow it beside the address or in the device’s settings, and press again; or record with any recorder and choose its file above.",
  none: "There is no microphone here. Plug one in and press again; or record with any recorder and choose its file above.",
  busy: "Another program holds the microphone. Close it and press again.",
  unable: "This browser gives a page no microphone here: it wants a newer one, or an address that starts with https. Record with any recorder and choose its file above.",
  gone: "The microphone went away: it was pulled out, a call came in, this page was left, or the device put it to sleep. What it had recorded is thrown away. Press again.",
});
const FAULTS = new Map([
  ["NotAllowedError", WORDS.refused],
  ["SecurityError", WORDS.refused],
  ["NotFoundError", WORDS.none],
  ["NotReadableError", WORDS.busy],
  ["AbortError", WORDS.busy],
]);

/** Whether a field of the form, or its unit, makes the sweep another one. @param {string} name */
const isSetting = (name) => SETTINGS.includes(name.replace(/:unit$/, ""));

/** @param {number} decibels */
const shown = (decibels) => `${decibels.toFixed(0).replace("-", "−")} dB`;

/** A file's name by the minute, so that two can be told apart. */
const fileName = () => `recording-${moment().replace(" ", "-").replace(":", "")}.wav`;

class DoorcardRecorder extends HTMLElement {
  /** @type {Microphone | null} */
  microphone = null;
  running = false;
  /** The loudest of the last blocks each. @type {number[]} */
  peaks = [];
  /** The largest sample of each block of the recording. @type {number[]} */
  recorded = [];
  /** The loudest level that this device may play at, dB. */
  allowed = -Infinity;
  /** The settings of the sweep whose dangers are shown, and for which louder runs were earned. */
  settings = "";
  /** Seconds that its file lasts; 0 while that is not known. */
  lasts = 0;
  /** The last time that they were asked for. */
  asked = Symbol("none");
  /** Whether the form has been told once what microphone this is. */
  toldForm = false;
  address = "";
  /** A file is being put into the field from here. */
  handing = false;
  /** The field's file was read by the browser. */
  translated = false;
  /**
   * The largest sample of each block, channel by channel, of what was recorded or chosen last; of no channel, if this
   * browser cannot read it. @type {number[][]}
   */
  channels = [];
  /** A file was chosen that is too long to be read here. */
  unjudged = false;
  /** What is told of a chosen file before how loud it is. */
  foretold = "";

  connectedCallback() {
    this.field.addEventListener("change", this.readChosen);
    this.addEventListener("click", (event) => this.clicked(event));
    // What is chosen here is no value of the form: the calculator around must not hear of it.
    for (const kind of ["input", "change"]) this.addEventListener(kind, (event) => event.stopPropagation());
    this.player.addEventListener("change", () => {
      this.allow(this.levels.softest);
      this.choosePlayer();
    });
    this.form.addEventListener("change", this.changed);
    this.allow(this.levels.softest);
    document.addEventListener("visibilitychange", this.hide);
    document.addEventListener("keydown", this.escape);
    this.show();
    const began = cutOff();
    if (!began) return;
    note("");
    this.tell(`The run of ${began} was cut off, for this page was left: nothing was kept.`);
  }

  disconnectedCallback() {
    document.removeEventListener("visibilitychange", this.hide);
    document.removeEventListener("keydown", this.escape);
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

  /** The softest and the loudest that this device plays at, dB. */
  get levels() {
    const all = [...this.level.options].map(({ value }) => Number(value));
    return { softest: Math.min(...all), loudest: Math.max(...all) };
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

  async choosePlayer() {
    const button = part(this, "[data-run]", HTMLButtonElement);
    part(this, "[data-of=level]", HTMLElement).hidden = !this.playsItself;
    button.textContent = this.playsItself ? "Play and record" : "Record";
    this.tell(this.playsItself ? WORDS.this : WORDS.another);
    this.warn("");
    const asked = (this.asked = Symbol("dangers"));
    button.disabled = this.playsItself; // Its dangers are read before it sounds.
    await this.signal();
    if (this.asked === asked) button.disabled = false;
  }

  /** Another sweep has other dangers; another channel is as loud as it is. @param {Event} event */
  changed = ({ target }) => {
    const name = target instanceof HTMLInputElement || target instanceof HTMLSelectElement ? target.name : "";
    if (name === CHANNEL && this.channels.length > 1 && this.field.files?.length) this.tell(this.foretold + this.ofFile());
    if (this.microphone && !this.running && isSetting(name)) this.choosePlayer();
  };

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
    const needed = part(this, "[data-needed]", HTMLElement);
    needed.textContent = `after all ${this.lasts.toFixed(1)} s of the file, counted from its start`;
    needed.hidden = !running || this.playsItself || !this.lasts;
    this.player.disabled = this.level.disabled = running;
  }

  /** @param {string} words A danger of the sweep. */
  warn(words) {
    const place = part(this, "[data-warning]", HTMLElement);
    place.className = "dc-advice dc-danger";
    place.textContent = words;
    place.hidden = !words;
  }

  /** Lets this device play up to a level; the softest is chosen, for another speaker may be there. @param {number} most dB */
  allow(most) {
    this.allowed = most;
    for (const option of this.level.options) option.disabled = Number(option.value) > most;
    this.level.value = String(this.levels.softest);
  }

  /** The sweep of the form's own settings as a file; null if there is none, and why is told. */
  async signal() {
    const { sampleRate = 0 } = this.microphone ?? {};
    const typed = this.form.inputs();
    const own = Object.entries(typed).filter(([name]) => isSetting(name));
    const reply = await this.form.beside("files", "sweep", {
      ...Object.fromEntries(own),
      level: String(this.levels.loudest),
      layout: typed.plays_in_file?.startsWith("two") ? "left-right" : "mono",
      sample_rate: RATES.get(sampleRate) ?? "48 kHz",
      sample_format: "float",
    });
    if (!reply || !("errors" in reply)) return null;
    const buffer = reply.files[0]?.buffer ?? null;
    this.lasts = buffer ? await secondsOf(new Blob([buffer])) : 0;
    this.show();
    this.warn(reply.advice.filter(({ danger }) => danger).map(({ message }) => message).join(" "));
    if (this.settings !== JSON.stringify(own)) this.allow(this.levels.softest);
    this.settings = JSON.stringify(own);
    if (reply.errors.length && this.playsItself) this.tell(WORDS.unmade + reply.errors.map(({ message }) => message).join(" "));
    return buffer;
  }

  async run() {
    const { microphone, playsItself } = this;
    if (!microphone) return;
    const button = part(this, "[data-run]", HTMLButtonElement);
    button.disabled = true; // Nothing is started twice while the sweep is made.
    if (playsItself) this.tell(WORDS.making);
    const { settings } = this;
    const sound = playsItself ? await this.signal() : null;
    button.disabled = false;
    if (this.microphone !== microphone || (playsItself && !sound)) return;
    if (this.settings !== settings) return this.tell(WORDS.changed);
    this.running = true;
    note(`${location.pathname}#${clock(Date.now())}`);
    this.recorded = [];
    this.show();
    this.tell(WORDS.running);
    part(this, playsItself ? "[data-stop]" : "[data-done]", HTMLButtonElement).focus();
    if (!sound) return microphone.record();
    const mine = (/** @type {() => void} */ act) => () => this.microphone === microphone && act();
    await microphone
      .play(sound, Number(this.level.value) - this.levels.loudest, () => setTimeout(mine(() => this.finish()), TAIL))
      .catch(mine(() => this.end(WORDS.unplayed)));
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
    if (this.running) this.recorded.push(peak);
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
    const level = levelOf(Math.max(...this.recorded, 0));
    const tooLoud = level > this.meter.high;
    const heard = holdsSound(this.recorded);
    const earned = this.playsItself && heard && !tooLoud && !lost;
    const most = Math.max(this.allowed, Number(this.level.value) + LOUDER);
    this.end("");
    if (earned) this.allow(most);
    if (lost) return this.tell(`The device lost ${Math.ceil(1000 * lost)} ms of sound, so this run is thrown away. Close other programs and press again.`);
    const louder = earned ? WORDS.louder : "";
    const phone = this.toldForm ? "" : WORDS.phone;
    [this.channels, this.unjudged] = [[this.recorded], false];
    const words = this.judge();
    this.hand(file, told);
    this.tell(`Recorded ${length.toFixed(1)} s; ${words}${louder}${phone}`);
    part(this, "[data-open]", HTMLButtonElement).focus();
  }

  /** The number of the channel that the form reads, of those that there are. */
  get channel() {
    return Math.max(1, Math.min(Math.floor(Number(this.form.inputs()[CHANNEL])) || 1, this.channels.length));
  }

  /** How loud that channel is, dB, and whether it is right. */
  get found() {
    const peaks = this.channels[this.channel - 1];
    const level = levelOf(Math.max(...peaks, 0));
    return { level, verdict: this.verdict(level, holdsSound(peaks)) };
  }

  /** What was recorded or chosen last is neither too loud nor too quiet, as far as this browser can tell. */
  get right() {
    return !this.unjudged && (!this.channels.length || this.found.verdict === RIGHT);
  }

  /** Says whether it is. */
  judge() {
    const { level, verdict } = this.found;
    return verdict === NO_NUMBERS ? verdict : `the loudest was ${shown(level)}, ${verdict}.`;
  }

  /** Says so of a chosen file. */
  ofFile() {
    return `Of ${this.channels.length > 1 ? `channel ${this.channel} of ` : ""}this file ${this.judge()}`;
  }

  /** @param {number} level dB @param {boolean} heard */
  verdict(level, heard) {
    if (!Number.isFinite(level)) return NO_NUMBERS;
    if (level > this.meter.high) return "too loud: record again, softer";
    if (!heard) return "and nothing stands clearly over the silence: look for the lead, not for more level";
    return level < this.meter.low ? "too quiet: record again, louder" : RIGHT;
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

  /**
   * Has the browser read a file that was chosen, to say how loud it is; one that is no WAV file goes on as it was read, one
   * that cannot be read as it is. @param {Event} event
   */
  readChosen = async (event) => {
    const [file] = this.field.files ?? [];
    if (this.handing) return;
    [this.channels, this.unjudged] = [[], false];
    const other = file && !/\.wav$/i.test(file.name);
    const large = file && file.size > (other ? LARGEST_PACKED : MOST_KEPT); // Of a larger WAV file the form says that it is.
    if (!other && this.translated) this.choose("declared_lossy", "no");
    if (!other) this.translated = false;
    if (!file || (large && !other)) return this.tell("");
    event.stopPropagation(); // The form hears of it once it is read.
    if (large) {
      this.field.value = "";
      this.field.dispatchEvent(new Event("change", { bubbles: true }));
      return this.tell(WORDS.large);
    }
    this.form.answered = ""; // What stands is for what stood there before: nobody may take it meanwhile.
    this.form.showWhetherCurrent(false, false);
    this.tell(WORDS.reading);
    const long = !other && (await secondsOf(file)) > LONGEST;
    const sound = long ? null : await soundOf(file);
    if (this.field.files?.[0] !== file) return; // Another has been chosen since.
    this.unjudged = long;
    this.channels = sound ? channelsOf(sound).map(peaksOf) : [];
    this.foretold = other && sound ? `${WORDS.read} ` : "";
    this.tell(sound ? this.foretold + this.ofFile() : long ? WORDS.long : "");
    this.putIn(other && sound ? asWav(sound, `${file.name}.wav`) : file, Boolean(other && sound));
  };

  /**
   * @param {string} name
   * @param {string} word
   */
  choose(name, word) {
    part(this.form, `.dc-form select[name="${name}"]`, HTMLSelectElement).value = word;
  }

  /** A microphone that nobody watches is turned off, and so is our sound; a run goes on behind another player's page. */
  hide = () => {
    if (!document.hidden || !this.microphone) return;
    if (!this.running) this.end("");
    else if (this.playsItself) this.end(WORDS.unseen);
  };

  /** The other way to stop, wherever the focus is. @param {KeyboardEvent} event */
  escape = ({ key }) => {
    if (key === "Escape" && this.running) this.end(WORDS.stopped);
  };

  /** The next run is a soft one. @param {string} words Why it has ended. */
  end(words) {
    const focused = this.contains(document.activeElement);
    note("");
    this.close();
    this.allow(this.levels.softest);
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
