/**
 * What the page and its worker say to each other. Both import this file and nothing of each other.
 *
 * The page sends one `start`, then any number of `ask`, which wait until it is ready, and once it is `keep` for bytes
 * that questions will name. The worker sends `progress` and `step` while it gets ready, then `ready` or `unable`. It works on all
 * questions in turn, in slices: `working` when it takes one up and between two slices, one `reply` at
 * its end, or `stopped` once a `cancel` has been heard.
 *
 * @typedef {{name: string, size: number, unpacked: number, sha256: string}} RuntimeFile
 *   One file of the runtime: its name, its bytes on the server, its bytes when unpacked.
 * @typedef {{name: string, size: number}} RuntimePart What is fetched after the start.
 * @typedef {RuntimePart & {long: boolean}} CalculatorPart Whether its work is long, and goes in slices.
 *
 * @typedef {object} Manifest What the site build wrote about the runtime.
 * @property {string} release Changes whenever any file of the runtime does.
 * @property {string} calculators Version and short hash of the calculators: an answer's release.
 * @property {string} pyodide Version of Pyodide.
 * @property {string} python Version of Python.
 * @property {string} numpy Version of NumPy.
 * @property {number} total Bytes to download at the start.
 * @property {Record<string, RuntimeFile>} files `loader`, `glue`, `interpreter`, the `data` that lie in its memory at first, `library`, and
 *   one for each compiled module of NumPy under its full name; `rest`, fetched when it is quiet; `codes`, fetched
 *   for the first QR code.
 * @property {Record<string, CalculatorPart>} parts By the names of calculators: of `rest` what each needs.
 * @property {string[]} extensions Full names of those compiled modules that the start needs.
 * @property {string[]} late Full names of those that come once an answer uses them.
 * @property {{length: number, layout: import("./kept-start.js").Layout, state: object, total: number}} [start] Of the
 *   start that comes with the handbook (`files.start`): its memory's bytes, where NumPy's modules lie in it, what Pyodide
 *   has to know of it, and the bytes to download with it in place of the library. A folder has none.
 * @property {object} lock The package list that Pyodide's loader asks for: none.
 *
 * @typedef {{field: string, message: string}} FieldError What is wrong with one field, in words.
 *
 * @typedef {{about: string, message: string, danger: boolean}} Advice What to look at, and why.
 *
 * @typedef {{output: string, name: string, media_type: string, buffer: ArrayBuffer}} MadeFile
 *   A file that was made, for the reader to keep.
 *
 * @typedef {object} Answered What Python says to a question.
 * @property {FieldError[]} errors
 * @property {Advice[]} advice Dangers first.
 * @property {string} [html] The result, ready to be put into the page, if it was asked for.
 * @property {Record<string, string>} [fields] Of a file that was opened: the text of each field that it fills.
 * @property {FieldError[]} [notes] With it: how fields were read, where that is worth a look.
 * @property {string} [said] With it: the result in one sentence, for a screen reader.
 * @property {MadeFile[]} files Transferred.
 * @property {Record<string, unknown> | null} [answer] The whole answer as data, if it was asked
 *   for; null with errors.
 *
 * @typedef {object} Ended Why there is no answer.
 * @property {string} [stopped] It was stopped: why, in words for the reader.
 * @property {string} [failure] Python's traceback or what the browser said of a script that cannot run, for "copy details".
 *
 * @typedef {Answered | Ended} Reply What a form gets.
 *
 * @typedef {{kind: "start", calculator: string | undefined, kept: boolean, given: boolean, saves: boolean}}
 *   StartMessage The calculator that will be asked first, whether it may wake a start kept on the device, whether it may fetch the one that comes with the handbook, and whether data are to be saved: nothing is
 *   fetched or kept before it is needed.
 * @typedef {{kind: "keep", handle: string, name: string, buffer: ArrayBuffer}} KeepMessage Transferred.
 * @typedef {{kind: "forget", handle: string}} ForgetMessage
 * @typedef {"html" | "answer" | "files" | "sound"} Want What a reply shall hold.
 * @typedef {{kind: "ask", id: number, calculator: string, inputs: object, want: Want[], example: boolean}} AskMessage
 *   The text of a file's field is the handle it is kept under. An example's values are the page's own, nobody's.
 * @typedef {{kind: "cancel", id: number}} CancelMessage
 * @typedef {{kind: "draw", id: number, link: string}} DrawMessage Asks for the QR code of a link.
 * @typedef {{kind: "progress", loaded: number, total: number}} ProgressMessage In bytes.
 * @typedef {{kind: "step", step: string}} StepMessage One of `Step`.
 * @typedef {{kind: "held", life: string}} HeldMessage The name of a lock that the worker holds as long as it lives.
 * @typedef {{kind: "ready"}} ReadyMessage
 * @typedef {{kind: "unable", details: string}} UnableMessage
 * @typedef {{kind: "working", id: number, step: string, share: number}} WorkingMessage A share of 1.
 * @typedef {{kind: "stopped", id: number}} StoppedMessage
 * @typedef {{kind: "reply", id: number, heap: number, reply: Reply}} ReplyMessage `heap` is the bytes
 *   of Python's memory, which grows and never shrinks.
 * @typedef {{kind: "drawn", id: number, code: string}} DrawnMessage SVG; empty if there can be none.
 *
 * @typedef {StartMessage | KeepMessage | ForgetMessage | AskMessage | CancelMessage | DrawMessage} ToWorker
 * @typedef {ProgressMessage | StepMessage | HeldMessage | ReadyMessage | UnableMessage | WorkingMessage |
 *   StoppedMessage | ReplyMessage | DrawnMessage} FromWorker
 */

export const Kind = Object.freeze({
  START: "start",
  KEEP: "keep",
  FORGET: "forget",
  ASK: "ask",
  CANCEL: "cancel",
  DRAW: "draw",
  PROGRESS: "progress",
  STEP: "step",
  HELD: "held",
  READY: "ready",
  UNABLE: "unable",
  WORKING: "working",
  STOPPED: "stopped",
  REPLY: "reply",
  DRAWN: "drawn",
});

/** The named steps of getting ready, in their order; the text is what the reader sees. A start that is woken has
 * the third, and the one that comes with the handbook the fourth, in place of the second and the last. */
export const Step = Object.freeze({
  DOWNLOAD: "Fetching the calculators",
  PYTHON: "Starting Python",
  WAKING: "Waking the calculators",
  GIVEN: "Unpacking the calculators",
  CALCULATORS: "Loading the calculators",
});

/** How the build packs the runtime's files. */
export const PACKING = "deflate";

/** The status of a file's reply; many a host answers with its home page for what it has not. @param {Response} reply */
export const statusOf = ({ status, headers }) => (headers.get("Content-Type")?.startsWith("text/html") ? 404 : status);

/** What is wrong with a script that does not run, by its reply. @param {Response} reply */
export function faultOfScript(reply) {
  const kind = reply.headers.get("Content-Type")?.split(";")[0] ?? "";
  if (!reply.ok || kind === "text/html") return statusOf(reply);
  return /^(?:text|application)\/javascript$/.test(kind) ? "not whole" : kind;
}

const MEND = "If that does not help, whoever runs the server can mend it.";

/**
 * What a reader is told where a file is at fault: one of a folder, or one of a server, whose details end a line with
 * `NAME: STATUS`, `NAME: KIND` or `NAME: not whole`; nothing where none is.
 * @param {string} details
 */
export function faultOfFile(details) {
  const [folder] = /\S+ is (?:damaged|missing): unpack the folder anew\./.exec(details) ?? [];
  const [, file, fault] = /([\w-]+\.[\w.]+): (\d{3}|[\w.+-]+\/[\w.+-]+|not whole)$/m.exec(details) ?? [];
  if (folder || !file) return folder;
  if (fault === "404") return `${file} is not on the server: it may have a newer version. Load the page anew; your values are kept. ${MEND}`;
  if (fault === "not whole") return `${file} was cut off or altered on the way. Try again. ${MEND}`;
  return `The server does not give ${file} as it should (${fault}). Try again. ${MEND}`;
}
