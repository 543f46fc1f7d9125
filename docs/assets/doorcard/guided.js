/**
 * The guided tune: the forms of its page, one step a screen; what one of them gives, the next one gets.
 *
 * Without this every stage stands on the page, and files are kept and chosen by hand. What comes next Python
 * says; here it is carried out. The curves that were measured, the sheet and what was typed stay on the device, as
 * the texts that the forms read, so that the way goes on after a call or an empty battery. Recordings do not.
 */

import { ANSWERED } from "./calculator.js";
import { answerOf, emptyRows, endRun, fileField, goodOf, isHanded, prepareRun, putFile, rowsOf, settingsOf, textIn, unreadOf } from "./guided-forms.js";
import { Kept, afterwards, againOf, called, calledAgain, crossedOtherwise, gatheredIn, keyOf, nothing, runsIn, textsOf, typedIn } from "./guided-kept.js";
import { toldOf } from "./guided-questions.js";
import { refusalOf, runsOf, waysOf } from "./guided-ways.js";
import { FORMS, REFUSED, SCREENS, SET_UP, Screens, WAITING, formIn } from "./guided-screens.js";
import { WORDS } from "./guided-words.js";
import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { beginAnew } from "./former-values.js";
import { addressed } from "./parts.js";
import "./recorder.js"; // It is told things here: it must be alive by then.
import * as state from "./state.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {import("./guided-screens.js").Standing} Standing */
/** @typedef {import("./guided-screens.js").Way} Way */
/** @typedef {import("./guided-kept.js").Gathered} Gathered */

const PAUSE = 300; // Milliseconds after an answer before what was typed is kept.

export class Guide {
  on = false;
  /** The plan is shown, to be typed in. */
  settingUp = true;
  held = nothing();
  kept = new Kept();
  /** Null while the plan cannot be read, undefined until it has been. @type {Standing | null | undefined} */
  standing;
  /** Why it cannot. @type {import("./messages.js").FieldError[]} */
  errors = [];
  /** The stage and run that the forms are ready for. */
  ready = "";
  /** What the form of the stage gave, if it is good enough to go on with. */
  given = "";
  /** All fields of the step are shown. */
  full = false;
  /** What there is to say, and a button: mostly what was thrown away last. @type {(string | Way)[]} */
  said = [];
  /** What there was before that. */
  before = nothing();
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  timer;
  /** What the reader is asked; until then nothing is kept. @type {import("./guided-kept.js").Question} */
  overtaken = "";
  /** Why what the device holds was not taken up. */
  aside = "";
  /** What is asked about before it goes for good. @type {import("./guided-kept.js").Tune | null} */
  goes = null;
  /** What stands here is not on the device yet. */
  unkept = false;
  /** How many tunes have stood here: what comes late may be of another. */
  tunes = 0;
  /** How often another one is to be taken up: until then nothing is kept. */
  changing = 0;
  changes = Promise.resolve();
  /** What was recorded and not kept as a run, by job, and for which step: it is there again once that job is. @type {Map<string, {ready: string, file: File}>} */
  recordings = new Map();

  /** @param {DoorcardCalculator} plan @param {HTMLElement} article */
  constructor(plan, article) {
    this.plan = plan;
    this.response = formIn(article, "response");
    this.tune = formIn(article, "tune");
    this.back = formIn(article, "read-back");
    this.forms = [this.response, this.tune, this.back, plan];
    this.screens = new Screens(article, () => this.go());
    for (const form of this.forms) {
      form.addEventListener(ANSWERED, (event) => this.heard(form, event instanceof CustomEvent ? event.detail : {}));
    }
    // Whose the recording is stands in the form before it is asked about it.
    fileField(this.response, "recording").addEventListener("change", () => this.nameRun(), { capture: true });
    fileField(plan, "measurements").addEventListener("change", () => this.choseRuns());
    fileField(plan, "sheet").addEventListener("change", () => this.choseSheet());
  }

  get screen() {
    if (this.settingUp) return SET_UP;
    if (this.standing === null) return refusalOf(this).length ? REFUSED : SET_UP;
    if (!this.standing) return WAITING;
    const { stage, point } = this.standing;
    return stage === "measure again" && point === null ? SCREENS.finished : SCREENS[stage]; // All is measured, and not as expected.
  }

  /** A phone that was not compared gives delays by tape alone. */
  get byTape() {
    return this.plan.inputs().microphone === "phone";
  }

  /** The channels were typed before. */
  get begun() {
    return Boolean(this.ready || this.held.measured.size || this.held.sheet);
  }

  /** The channels of the plan with their crossovers, as text. */
  get channels() {
    return JSON.stringify(rowsOf(this.plan, "channels"));
  }

  /** Whether the large button may be pressed. */
  get may() {
    return Boolean(!this.overtaken && this.standing && this.screen.go && (this.given || this.screen === SET_UP));
  }

  /** A form has answered. @param {DoorcardCalculator} form @param {import("./messages.js").Reply} reply */
  async heard(form, reply) {
    const answered = "errors" in reply;
    if (form === this.plan) return answered ? this.ask() : undefined;
    if (!this.on || this.screen.form !== form.calculator) return;
    const { ready, tunes } = this;
    this.given = ""; // What was stopped, or failed, gives nothing: neither what stood there before.
    const given = !answered || reply.errors.length ? "" : await goodOf(form, reply.files, /** @type {Standing} */ (this.standing), this.byTape);
    if (ready !== this.ready || tunes !== this.tunes) return; // The way has gone on meanwhile.
    this.given = given;
    this.keepSoon();
    this.show();
  }

  /** Asks Python what comes next. */
  async ask() {
    const { tunes } = this;
    const answer = await answerOf(this.plan);
    if (!answer || tunes !== this.tunes) return;
    this.errors = answer.errors;
    this.standing = /** @type {Standing | null} */ (answer.values);
    if (this.standing) Object.assign(this.held, { of: String(this.standing.of), finished: this.standing.stage === "finished" ? "yes" : "no" });
    if (this.on) {
      this.prepare();
      this.keepSoon();
    }
    this.show();
  }

  /** Makes the form of the stage ready for it, once. What was typed there before a call stays. */
  prepare() {
    if (!this.standing || this.settingUp) return;
    const { stage, speaker, point, swept_from: from } = this.standing;
    const channels = stage === "tune" ? this.channels : "";
    const now = [stage, speaker, point, from, channels].join(" ");
    const first = this.ready !== now;
    this.ready = now;
    if (first) {
      this.given = "";
      this.full = false;
    }
    if (first && this.screen.form === "response") prepareRun(this.response, from, stage === "measure again");
    if (stage === "tune") this.prepareTune(first);
    if (stage === "read back") this.prepareBack(first);
  }

  /** @param {boolean} first */
  prepareTune(first) {
    const { tune, byTape } = this;
    const { bass_gain, tilt } = this.plan.inputs();
    if (first) tune.fill({ ...rowsOf(this.plan, "channels"), bass_gain, tilt, begin_with: byTape ? "distances" : "measurements" });
    if (first || !tune.inputs().measurements) putFile(tune, "measurements", "measurements.txt", byTape ? "" : this.gathered());
  }

  /** The names stand in the rows; what the screen shows is typed. @param {boolean} first */
  prepareBack(first) {
    const { back } = this;
    if (first) {
      emptyRows(back, "filters");
      back.fill(unreadOf(this.held.sheet));
    }
    if (first || !back.inputs().sheet) putFile(back, "sheet", "tuning-sheet.json", this.held.sheet);
  }

  nameRun() {
    if (!this.on || !this.standing || this.screen.form !== "response") return;
    const { stage, speaker, point } = this.standing;
    this.response.fill({ microphone: "calibrated" });
    if (stage === "measure") this.response.fill({ speaker, seat: "driver’s", point: String(point), tie: "reference" });
  }

  /** Every curve measured so far, as the tune reads them. */
  gathered() {
    return [...this.held.measured.values()].join("\n");
  }

  /** The one large button: what the form of the stage gave is kept, and the way goes on. */
  async go() {
    const { screen, given, standing, held } = this;
    if (!standing || !this.may) return;
    if (screen === SET_UP) return this.leaveChannels();
    const form = formIn(this.screens.article, screen.form);
    if (form.answered !== JSON.stringify(form.inputs())) return this.screens.wait(); // It is for what stood there before.
    const { stage, speaker, point } = standing;
    this.given = "";
    this.said = [];
    if (stage === "level check") this.plan.fill({ level_checked: "yes" });
    if (stage === "measure" && !held.measured.size) held.channels = this.channels;
    const key = keyOf(speaker, 1, Number(point));
    if (stage === "measure") held.measured.set(key, given);
    held.sure.delete(key); // One is in doubt anew, whatever was said of the one before it.
    if (stage === "tune") held.sheet = given;
    if (stage === "read back") held.word = given;
    if (stage === "measure again") held.again.set(againOf(speaker, Number(point)), given);
    this.handOver();
    await this.keep();
    this.show();
    this.screens.begin();
  }

  /** What is loaded may be another crossover than the runs were made with. */
  leaveChannels() {
    const { held, channels } = this;
    if (held.measured.size && crossedOtherwise(held.channels, channels)) {
      const words = held.sheet ? ["every run", "the sheet"] : ["every run"];
      this.said = [WORDS.crossed, [WORDS.throwRuns, () => this.throwAway(words, { measured: new Map(), sheet: "" })]];
    }
    held.channels = channels;
    return this.turn(true, false);
  }

  /** Gives the plan what there is. */
  handOver() {
    const { plan, held } = this;
    putFile(plan, "measurements", "measurements.txt", this.gathered());
    putFile(plan, "sheet", "tuning-sheet.json", held.sheet);
    emptyRows(plan, "again");
    const rows = [...held.again].flatMap(([name, text], at) => [[`again[${at}].name`, name], [`again[${at}].curve`, text]]);
    plan.fill({ read_back: held.word, ...Object.fromEntries(rows) });
    plan.hasTyped();
  }

  /**
   * Throws away what the way rests on, with what was read back and measured again since, and offers it back.
   * @param {string[]} words What goes.
   * @param {Partial<Gathered>} rest What stays in place of what there was.
   */
  throwAway(words, rest) {
    const before = this.held;
    const since = rest.again ? "" : afterwards(before);
    const all = since ? [...words, since] : words;
    return this.put({ ...before, again: new Map(), word: "", ...rest }, this.backTo(before, `${WORDS.thrown}${all.join(", ")}. `));
  }

  /** Says what is gone, and offers it back. @param {Gathered} before @param {string} words @returns {(string | Way)[]} */
  backTo(before, words) {
    this.before = before;
    return [words, [WORDS.undo, () => this.put(this.before)]];
  }

  /** @param {Gathered} held @param {(string | Way)[]} [said] */
  async put(held, said = []) {
    this.held = held;
    this.said = said;
    this.handOver();
    await this.keep();
    this.show();
    this.screens.begin();
  }

  /** A run that was kept comes next once more; the sheet rests on it. @param {string} key */
  throwRun(key) {
    const measured = new Map(this.held.measured);
    const run = called(measured.get(key) ?? "");
    measured.delete(key);
    return this.throwAway(this.held.sheet ? [run, "the sheet"] : [run], { measured, sheet: "" });
  }

  /** One run with the finished sheet comes next once more. @param {string} key */
  throwAgain(key) {
    const again = new Map(this.held.again);
    again.delete(key);
    return this.throwAway([calledAgain(key)], { again, word: this.held.word });
  }

  /** Files were chosen in the plan by hand: they are the runs. A sheet rests on those before. */
  async choseRuns() {
    if (isHanded()) return;
    const { held, tunes } = this;
    const text = await textIn(fileField(this.plan, "measurements"));
    if (tunes !== this.tunes) return;
    if (text === null) return this.put(held, [WORDS.large]);
    const measured = runsIn(text);
    if (text && !measured.size) return; // The form says what is wrong with it.
    const chosen = { measured, channels: this.channels, sure: new Set() };
    if (held.measured.size) return this.throwAway(held.sheet ? ["the runs before", "the sheet"] : ["the runs before"], { ...chosen, sheet: "" });
    this.held = { ...held, ...chosen };
    this.keepSoon();
    this.show();
  }

  /** Another sheet was chosen in the plan by hand: what was measured again was another's. */
  async choseSheet() {
    if (isHanded()) return;
    const { held: before, tunes } = this;
    const sheet = await textIn(fileField(this.plan, "sheet"));
    if (sheet === null || sheet === before.sheet || tunes !== this.tunes) return;
    this.held = { ...before, sheet, again: new Map(), word: "" };
    this.said = before.again.size ? this.backTo(before, WORDS.older) : [];
    emptyRows(this.plan, "again");
    this.plan.fill({ read_back: "" });
    this.keepSoon();
    this.show();
  }

  /** All that the device is to keep. @returns {Record<string, string>} */
  texts() {
    const forms = Object.fromEntries(this.forms.map((form) => [form.calculator, JSON.stringify(settingsOf(form))]));
    return { on: this.on ? "yes" : "no", ready: this.ready, ...forms, ...textsOf(this.held) };
  }

  keepSoon() {
    this.unkept = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.keep(), PAUSE);
  }

  /** Keeps what has changed; not over what another tab has written. */
  async keep() {
    this.unkept = true;
    clearTimeout(this.timer);
    if (this.overtaken || this.changing || !this.plan.isConnected) return;
    const done = await this.kept.changed();
    if (this.changing) return; // It is kept before it goes.
    if (done === "went on") this.overtaken = done;
    else await this.write().then(() => this.followed());
    this.show();
  }

  /** Forms in which nothing is begun follow the open job by themselves: what stands there may be its own by now. */
  async write() {
    this.unkept = false;
    if (this.begun || !this.kept.isLeft) await this.kept.write(this.texts());
  }

  /**
   * Takes up what the device holds of the open job, and asks what comes next. A link into the page leads there, and not to a
   * screen. What may be another vehicle's, and what would go over a link's values, waits for a tap.
   * @param {boolean} [lead] A screen may come up by itself.
   * @param {boolean} [wanted] The reader has tapped.
   */
  async recall(lead = !location.hash, wanted = false) {
    if (wanted) await this.kept.take();
    const { fields, aside, begun } = await this.kept.read();
    Object.assign(this, { aside, overtaken: "" });
    if (fields && (wanted || !aside)) await this.takeUp(fields, lead && fields.on === "yes");
    else if (begun) this.overtaken = "aside";
    this.show();
    if (this.on) this.screens.begin();
    await this.ask();
    const { job } = this.kept;
    const recorded = this.recordings.get(job);
    if (recorded?.ready === this.ready) putFile(this.response, "recording", recorded.file.name, recorded.file);
    this.recordings.delete(job);
  }

  /** Another tune is taken up, one after another; nobody kept or followed meanwhile. @param {() => Promise<void>} change */
  inTurn(change) {
    this.changing += 1;
    this.changes = this.changes.then(change).finally(() => {
      this.changing -= 1;
      if (this.unkept && !this.overtaken) this.keep();
      else this.followed();
    });
    return this.changes;
  }

  /** @param {Record<string, string>} fields @param {boolean} on */
  async takeUp(fields, on) {
    this.kept.waiting = null;
    this.held = gatheredIn(fields);
    for (const { yours } of this.forms) if (yours) yours.stays = true; // Nor if another job is opened just now.
    for (const form of this.forms) {
      await form.yours?.begun; // What was typed is back: nothing fills the form after us.
      await form.yours?.look(); // It knows by then whose it is.
      form.fill(typedIn(fields[form.calculator]));
      if (form.fromLink) form.hasTyped(); // They are no link's any more.
    }
    this.ready = fields.ready ?? "";
    this.said = [];
    this.standing = undefined; // Of what stood here before.
    this.on = on;
    this.settingUp = !this.begun;
    if (this.begun) this.handOver();
  }

  /**
   * Another tab has written: what it did to this way goes no further than its own tab, unless the reader says so. Where it has
   * opened another job, that one's tune stands here from now on.
   */
  async followed() {
    if (this.changing || !this.plan.isConnected) return;
    const done = await this.kept.changed();
    if (this.changing) return;
    const { overtaken, begun, on, kept: { isLeft } } = this;
    const asks = overtaken === "went on" || overtaken === "cleared";
    if (asks && isLeft) return; // What stands here is on no device: first it is said what becomes of it.
    if (isLeft && !(begun && done === "cleared")) return this.clear(on).then(() => on && this.screens.begin());
    if (overtaken && !asks) return done ? this.clear() : undefined; // What waits may be the one's that is there now.
    const asked = done === "cleared" && !begun ? "" : done;
    if (asked === overtaken && !asked) return;
    this.overtaken = asked; // Nothing, where the other tab has put it back.
    this.show();
  }

  /**
   * Another vehicle is in the bay: nothing of the tune before stands here any more, and its own is taken up, if it has one.
   * @param {boolean} [lead] A screen may come up by itself.
   */
  clear(lead = false) {
    return this.inTurn(async () => {
      if (this.unkept && !this.overtaken) this.write();
      clearTimeout(this.timer);
      const { begun } = this;
      this.tunes += 1;
      Object.assign(this, { held: nothing(), standing: undefined, given: "", said: [], overtaken: "", unkept: false, on: false, settingUp: true });
      if (begun) await this.empty();
      this.ready = "";
      await this.recall(lead);
    });
  }

  /** Its forms are as on a page that has just come. */
  async empty() {
    const { response, plan, ready, kept: { job } } = this;
    const file = fileField(response, "recording").files?.[0];
    if (file && job) this.recordings.set(job, { ready, file });
    endRun(response, WORDS.ended);
    response.fill({ recording: "" });
    emptyRows(plan, "again");
    plan.fill({ measurements: "", sheet: "", read_back: "" });
    for (const { yours } of this.forms) if (yours) await beginAnew(yours);
  }

  /** @param {boolean} on @param {boolean} settingUp */
  async turn(on, settingUp) {
    this.on = on;
    this.settingUp = settingUp;
    if (on) this.prepare();
    this.show();
    if (on && this.screen !== SET_UP && this.standing) formIn(this.screens.article, this.screen.form).update(); // What it answered while nobody listened.
    this.screens.begin();
    await this.keep();
  }

  show() {
    for (const { yours } of this.forms) if (yours) yours.stays = this.begun; // Under another job it is emptied from here.
    const { on, screen, standing, may, full, kept: { refused } } = this;
    const waits = this.overtaken ? WORDS.asked : screen.waits;
    /** @type {Way} */
    const starter = [this.begun ? WORDS.resume : WORDS.begin, () => this.turn(true, !this.begun)];
    this.screens.show({ on, screen, standing, may, waits, full, refused, asked: Boolean(this.overtaken), starter, examples: this.plan.yours?.ofExample() ?? [], sheet: this.held.sheet, told: toldOf(this), onWhom: this.kept.onWhom(), ways: waysOf(this), runs: runsOf(this) });
  }
}

/** The guide of the page that was shown last. @type {Guide | null} */
let guide = null;

const shown = () => (guide?.plan.isConnected ? guide : null);

/** What another tab has done is told, and what the device does not keep. */
async function follow() {
  await shown()?.followed();
  shown()?.show();
}

document.addEventListener(CLEARED, () => {
  const cleared = shown();
  if (cleared) cleared.unkept = false; // The forms are empty by now.
  cleared?.clear();
});
document.addEventListener(PUT_BACK, () => shown()?.clear(true));
document.addEventListener("visibilitychange", () => document.hidden && shown()?.on && guide?.keep());
state.ifNothingIsKept(follow);
state.follow(follow);
addEventListener("hashchange", async () => {
  const target = addressed();
  if (!shown()?.on || !target || target.checkVisibility()) return;
  await guide?.turn(false, guide.settingUp);
  target.scrollIntoView();
});

/** Leads through the page of a plan, if it holds every form of the way. @param {DoorcardCalculator} plan */
export async function lead(plan) {
  const article = plan.closest("article");
  const whole = FORMS.every((name) => article?.querySelector(`doorcard-calculator[data-calculator="${name}"]`));
  if (!(article instanceof HTMLElement) || !whole || !plan.isConnected || guide?.plan === plan) return;
  const made = (guide = new Guide(plan, article));
  await made.inTurn(() => made.recall());
}
