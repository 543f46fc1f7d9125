/** Questions about a job: what Python is told and tells (`calculators/job/desk.py`). */

/**
 * @typedef {object} OfJob What a job holds for one input of a form.
 * @property {string} name
 * @property {string} from The run whose answer it is; nothing for what was typed.
 * @property {string} row The row of a table of the job in which it stands; nothing for any other.
 * @property {boolean} example It came in as a page showed it, and nobody has typed it since.
 * @property {boolean} rests_on_example The run whose answer it is has such values.
 * @property {Record<string, string>} fields
 *
 * @typedef {{name: string, file: string, size: number}} Chosen A file by the input that it was chosen for, its name and bytes.
 *
 * @typedef {{calculator: string, title: string, another: string}} AnswerForm The form of an answer, and that one's name where it is not the first of its kind.
 *
 * @typedef {object} Stale An answer that is out of date.
 * @property {string} name
 * @property {string} why
 * @property {AnswerForm | null} form Where one that rests on files is worked out again.
 * @property {string[]} files Their names.
 *
 * @typedef {object} OpenPoint A hold point that nobody has signed.
 * @property {string} point
 * @property {string} what
 * @property {string[]} lines What a signature closes.
 * @property {string[]} stops Why it cannot be signed yet.
 * @property {boolean} two Two sign it.
 * @property {boolean} of_example It closes values of a page's example, and is signed with a reason.
 *
 * @typedef {object} Entries What can be written into a job by hand, with what stands there.
 * @property {{line: string, unit: string, limit: string, reading: string, asks: boolean}[]} proof With ``asks``, a line still wants the limit of this vehicle.
 * @property {Lines[]} lines
 * @property {{name: string, form: AnswerForm}[]} unanswered Runs that have no answer yet.
 * @property {string[]} acceptable What is out of tolerance and can be accepted as an exception.
 *
 * @typedef {object} Lines Lines of a sheet.
 * @property {string} path
 * @property {string} one What one of them is.
 * @property {{name: string, words: string, known: string[]}[]} columns With what each is offered.
 * @property {Record<string, string>[]} rows
 *
 * @typedef {object} Told
 * @property {import("./messages.js").FieldError[]} errors
 * @property {boolean} [locked] A reason and initials would mend the error.
 * @property {boolean} [linked] An input follows from an answer: the reader keeps that, or cuts it.
 * @property {string} [job] The job file.
 * @property {string} [title]
 * @property {OfJob[]} [inputs]
 * @property {Chosen[]} [chosen] Files that the job's answer of the form rests on.
 * @property {Stale[]} [stale]
 * @property {{name: string, why: string}[]} [lost] Answers that the job holds, and that nothing gives any more.
 * @property {OpenPoint[]} [open]
 * @property {{point: string, words: string} | null} [last] The last hold point that is signed, by whom and when.
 * @property {string} [latest] When the job was last changed or signed, as it says itself; nothing where it does not.
 * @property {Entries} [entries]
 * @property {string} [release] Of the calculators that answer.
 * @property {boolean} [factsAlone] The file has no job sheet: nothing was taken.
 * @property {string[]} [signed] Hold points of a file from elsewhere, each with who signed it and when.
 * @property {{name: string, figure: string}} [place] The run whose place the form's answer takes, and its main figure that is kept.
 * @property {boolean} [finished] Nothing is stale, missing, out of tolerance or failing.
 * @property {boolean} [customer] Whether it says who the customer is.
 * @property {string[]} [example] Labels of what was put in as the page shows it.
 * @property {string[]} [beside] Names of the files that the answer rests on: the job has none of them.
 * @property {string[]} [others] Names of those that it rested on before, and rests on no more.
 * @property {string[]} [moved] Sentences: answers that take a cell of a row in which another name stands now.
 * @property {string[]} [left] Labels of what was not put in, for it follows from another answer.
 * @property {number} [changes] How many entries the history has more.
 */

const CANNOT = "The calculators cannot answer here now.";

/**
 * @param {import("./engine.js").Engine} engine
 * @param {string} question
 * @param {Record<string, string>} inputs
 * @param {string} form Who asks: a newer question of the same overtakes.
 * @returns {Promise<Told>}
 */
export async function askJob(engine, question, inputs, form) {
  const reply = await engine.ask({ form: `${form} ${question}`, calculator: `job:${question}`, inputs });
  if (reply && "errors" in reply) return reply;
  return { errors: [{ field: "", message: reply?.stopped ?? CANNOT }] };
}

/** What changed in a job, if it did. @param {Told} told */
export const changedBy = ({ job, title = "" }) => (job === undefined ? null : { file: job, title });

/** What is wrong, in one line. @param {Told} told */
export const faultOf = ({ errors }) => errors.map(({ message }) => message).join(" ");
