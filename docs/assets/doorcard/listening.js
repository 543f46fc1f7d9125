/**
 * `<doorcard-listening>`: plays the sounds of a demonstration, switched in step, and tests the ear blind.
 *
 * The sounds are Python's: they are asked for when the page is idle and this is in sight, or at the first press
 * of Play. All run side by side from the same instant and go round and round; one of them is let through.
 * Only one demonstration plays at a time, and none while the page is out of sight. What moves beside a sound follows
 * its time, unless the reader wants less movement.
 */

import { part, parts } from "./parts.js";

const RATE = 48_000;
const SWITCH = 0.01; // Seconds of a cross-fade: both are in step, so a straight one has no dip and no click.
const SOFT = 0.05; // Seconds in which the level follows the slider, and in which it starts and stops.
const LEAD = 0.03; // Seconds from the press until all sounds start together.
const ROUNDS = 10;
const WORDS = Object.freeze({
  making: "Making the sound…",
  unable: "The sound cannot be made here. Read below what is heard.",
  silent: "This browser plays no sound. Read below what is heard.",
  interrupted: "The sound was interrupted: press Play.",
  anew: "Test yourself blind: the rounds begin anew.",
  unheard: "Play X first.",
});
const BEGUN = "doorcard-blind-test"; // In the tab: page and form whose rounds are not all answered yet.

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {import("./messages.js").MadeFile} MadeFile */

/** The demonstration that plays, or will once its sound is made. @type {DoorcardListening | null} */
let playing = null;

/** @type {AudioContext | null} */
let opened = null;

/** One for the tab, from the first press on. The system silences it for a call: then nothing goes on unheard. */
function context() {
  if (opened) return opened;
  const audio = new AudioContext({ sampleRate: RATE });
  audio.onstatechange = () => audio.state !== "running" && playing?.interrupted();
  return (opened = audio);
}

/** Asks for no more than what is needed. */
const saves = () => Boolean(navigator.connection?.saveData);

/** @param {number} decibels */
const amplitude = (decibels) => 10 ** (decibels / 20);

/** A coin that nobody can foresee. */
const coin = () => crypto.getRandomValues(new Uint8Array(1))[0] % 2;

class DoorcardListening extends HTMLElement {
  /** The files of the sounds, once they are asked for. @type {Promise<MadeFile[] | null> | undefined} */
  files;
  /** Which sound is let through. */
  at = 0;
  /** What plays: a source and its gain for each sound, and the gain of all. @type {{sources: AudioBufferSourceNode[], gains: GainNode[], level: GainNode, since: number} | null} */
  running = null;
  /** @type {Animation[]} */
  motions = [];
  /** @type {string[]} */
  addresses = [];
  /** @type {IntersectionObserver | undefined} */
  sight;
  round = 0;
  right = 0;
  /** Which sound X is, 0 for the first and 1 for the last. */
  x = 0;
  /** Which of the blind test is let through: "0", "1", "x", or none of them. */
  blind = "";
  /** Whether X was let through in this round, to its answer. */
  heard = false;

  connectedCallback() {
    part(this, ".dc-listen", HTMLFieldSetElement).disabled = false;
    this.addEventListener("click", (event) => this.clicked(event));
    // What is turned here is no value of the form: the calculator around must not hear of it.
    for (const kind of ["input", "change"]) this.addEventListener(kind, (event) => event.stopPropagation());
    this.level.addEventListener("input", () => this.setLevel(SOFT));
    this.setLevel(0);
    this.newRound();
    this.choose(0);
    if (!this.round && this.begun() === this.own) this.tell(WORDS.anew);
    if (saves()) return;
    this.sight = new IntersectionObserver((seen) => {
      if (seen.some(({ isIntersecting }) => isIntersecting)) this.prepare();
    });
    this.sight.observe(this);
  }

  disconnectedCallback() {
    this.sight?.disconnect();
    this.stop();
    this.addresses.forEach((address) => URL.revokeObjectURL(address));
  }

  /** The calculator whose sounds these are. */
  get form() {
    return /** @type {DoorcardCalculator} */ (this.closest("doorcard-calculator"));
  }

  /** By what its rounds are noted. */
  get own() {
    return `${location.pathname}#${this.form.id}`;
  }

  get level() {
    return part(this, "[data-level]", HTMLInputElement);
  }

  get button() {
    return part(this, "[data-play]", HTMLButtonElement);
  }

  get choices() {
    return parts(this, "[data-choose]", HTMLButtonElement);
  }

  /** @param {string} words */
  tell(words) {
    part(this, "[data-told]", HTMLElement).textContent = words;
  }

  /** Has the sounds made while nothing else is to do. */
  prepare() {
    this.sight?.disconnect();
    const idle = window.requestIdleCallback ?? setTimeout;
    idle(() => this.isConnected && this.sounds());
  }

  /** The sounds, made once; after a failure the next press asks again. */
  sounds() {
    this.files ??= this.form.beside("sound").then((reply) => {
      if (reply && "files" in reply && reply.files.length) return this.offer(reply.files);
      this.files = undefined;
      return null;
    });
    return this.files;
  }

  /** Lets the reader keep what was made. @param {MadeFile[]} files */
  offer(files) {
    parts(this, "[data-keep]", HTMLAnchorElement).forEach((link, place) => {
      const { buffer, media_type } = files[place];
      link.href = URL.createObjectURL(new Blob([buffer], { type: media_type }));
      link.hidden = false;
      this.addresses.push(link.href);
    });
    return files;
  }

  /** @param {Event} event */
  clicked({ target }) {
    const pressed = target instanceof Element ? target.closest("button") : null;
    const { play, choose, blind, say } = pressed?.dataset ?? {};
    if (play !== undefined) return this.running ? this.stop() : this.play();
    if (choose !== undefined) return this.listenTo(Number(choose));
    if (blind !== undefined) return this.listenBlind(blind);
    if (say !== undefined) return this.answer(Number(say));
  }

  async play() {
    playing?.stop();
    this.note();
    playing = this;
    if (typeof AudioContext !== "function") return this.stop(WORDS.silent);
    const audio = context();
    const awake = audio.resume().catch(() => {}); // At the press itself, or the browser refuses it.
    this.tell(WORDS.making);
    const files = await this.sounds();
    await awake;
    if (playing !== this) return; // It was stopped before it began.
    if (!files) return this.stop(WORDS.unable);
    if (audio.state !== "running") return this.interrupted();
    const sounds = await Promise.all(files.map(({ buffer }) => audio.decodeAudioData(buffer.slice(0))));
    if (playing !== this || this.running) return;
    this.tell("");
    this.start(audio, sounds);
  }

  /**
   * @param {AudioContext} audio
   * @param {AudioBuffer[]} sounds
   */
  start(audio, sounds) {
    const since = audio.currentTime + LEAD;
    const level = new GainNode(audio, { gain: 0 });
    level.connect(audio.destination);
    const gains = sounds.map((_, place) => new GainNode(audio, { gain: place === this.at ? 1 : 0 }));
    const sources = sounds.map((buffer, place) => {
      const source = new AudioBufferSourceNode(audio, { buffer, loop: true });
      source.connect(gains[place]).connect(level);
      source.start(since);
      return source;
    });
    this.running = { sources, gains, level, since };
    this.setLevel(SOFT);
    this.button.textContent = "Stop";
    this.dataset.playing = "";
    this.hear();
    this.move();
  }

  /** What may not have been heard to its end is played again before it is answered. */
  interrupted() {
    this.stop(WORDS.interrupted);
    this.heard = false;
  }

  /** Ends what plays, or would once it is made. @param {string} words Why, if not by the reader's hand. */
  stop(words = "") {
    if (playing !== this) return;
    playing = null;
    this.tell(words);
    const { running } = this;
    if (!running) return;
    this.running = null;
    delete this.dataset.playing;
    this.button.textContent = "Play";
    this.still();
    const { currentTime } = context();
    ramp(running.level.gain, 0, currentTime, SOFT);
    running.sources.forEach((source) => source.stop(currentTime + SOFT));
  }

  /** @param {number} seconds */
  setLevel(seconds) {
    const { value } = this.level;
    this.level.setAttribute("aria-valuetext", `${value.replace("-", "−")} dB`);
    if (this.running) ramp(this.running.level.gain, amplitude(Number(value)), context().currentTime, seconds);
  }

  /** Marks one sound as chosen, and shows its picture and words alone. @param {number} place */
  choose(place) {
    this.at = place;
    this.choices.forEach((choice, index) => choice.setAttribute("aria-pressed", String(index === place)));
    this.show(place);
    this.blindChoice("");
  }

  /** @param {number | null} place null: none, so that nothing gives X away. */
  show(place) {
    parts(this, ".dc-take", HTMLElement).forEach((take, index) => (take.hidden = index !== place));
    if (this.running) this.move();
  }

  /** @param {number} place */
  listenTo(place) {
    this.choose(place);
    this.letThrough(place);
  }

  /** Lets one sound through, in step with the one before. @param {number} place */
  letThrough(place) {
    const now = context().currentTime;
    this.running?.gains.forEach((gain, index) => ramp(gain.gain, index === place ? 1 : 0, now, SWITCH));
  }

  /** Which sound the first or the last of a blind test is. @param {number} which */
  placeOf(which) {
    return which ? this.choices.length - 1 : 0;
  }

  /** @param {string} name "0", "1" or "x" */
  listenBlind(name) {
    const place = this.placeOf(name === "x" ? this.x : Number(name));
    this.choose(place);
    if (name === "x") this.choices.forEach((choice) => choice.setAttribute("aria-pressed", "false"));
    if (name === "x") this.show(null);
    this.blindChoice(name);
    this.letThrough(place);
    this.hear();
    if (!this.running) this.play();
  }

  /** Takes down that X sounds. */
  hear() {
    if (this.blind === "x" && this.running && context().state === "running") this.heard = true;
  }

  /** @param {string} name */
  blindChoice(name) {
    this.blind = name;
    for (const choice of parts(this, "[data-blind]", HTMLButtonElement)) {
      choice.setAttribute("aria-pressed", String(choice.dataset.blind === name));
    }
  }

  newRound() {
    this.draw();
    this.score(this.round ? `Round ${this.round + 1} of ${ROUNDS}.` : "");
  }

  draw() {
    this.x = coin();
    this.heard = false;
  }

  /** Notes for this tab whether rounds are left to answer. */
  note() {
    try {
      if (this.round) sessionStorage.setItem(BEGUN, this.own);
      else sessionStorage.removeItem(BEGUN);
    } catch {
      // Where nothing can be noted, nothing is told.
    }
  }

  /** Whose rounds are left to answer; nothing for none. */
  begun() {
    try {
      return sessionStorage.getItem(BEGUN);
    } catch {
      return null;
    }
  }

  /** @param {string} words */
  score(words) {
    part(this, "[data-score]", HTMLElement).textContent = words;
  }

  /** Takes one answer to an X that was heard; the score is told after the last round. @param {number} said */
  async answer(said) {
    if (!this.heard) return this.score(WORDS.unheard);
    this.round += 1;
    if (said === this.x) this.right += 1;
    if (this.round < ROUNDS) {
      this.note();
      this.newRound();
      return this.listenBlind("x");
    }
    const { right } = this;
    this.round = this.right = 0;
    this.note();
    this.draw();
    const reply = await this.form.beside("answer", "blind-test", { right: String(right), rounds: String(ROUNDS) });
    const values = reply && "answer" in reply ? /** @type {any} */ (reply.answer)?.values : null;
    this.score(`${values?.words ?? `${right} of ${ROUNDS} right`}.`);
  }

  /** Moves what moves in the picture shown, in time with the sound. */
  move() {
    this.still();
    if (!this.running || matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const played = 1000 * (context().currentTime - this.running.since);
    const shown = parts(this, ".dc-take:not([hidden]) [data-poses]", SVGGElement);
    this.motions = shown.map((group) => {
      const { poses = "", centre = "", seconds = "1" } = group.dataset;
      const [x, y] = centre.split(" ");
      group.style.transformOrigin = `${x}px ${y}px`;
      const motion = group.animate(poses.split(";").map(keyframe), { duration: 1000 * Number(seconds), iterations: Infinity });
      motion.currentTime = Math.max(0, played);
      return motion;
    });
  }

  still() {
    this.motions.forEach((motion) => motion.cancel());
    this.motions = [];
  }
}

/** A pose as the browser animates it. @param {string} pose Time, shift, size, and whether it is seen. */
function keyframe(pose) {
  const [at, x, y, size, seen] = pose.split(" ").map(Number);
  return { offset: at, transform: `translate(${x}px, ${y}px) scale(${size})`, opacity: seen };
}

/**
 * Leads a gain to a value in a straight line, from where it is now.
 * @param {AudioParam} gain
 * @param {number} value
 * @param {number} now
 * @param {number} seconds
 */
export function ramp(gain, value, now, seconds) {
  const { value: held } = gain;
  gain.cancelScheduledValues(now);
  gain.setValueAtTime(held, now);
  gain.linearRampToValueAtTime(value, now + seconds);
}

// A page that the browser keeps for the way back would sound again by itself, and one behind another, or behind a call,
// sounds where nobody can stop it.
addEventListener("pagehide", () => playing?.interrupted());
document.addEventListener("visibilitychange", () => document.hidden && playing?.interrupted());

customElements.define("doorcard-listening", DoorcardListening);
