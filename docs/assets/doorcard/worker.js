/** The worker: boots Python and answers what the page asks. */

import { boot } from "./boot.js";
import { Kind } from "./messages.js";

/** Python's `answer`, once it is there. @type {(text: string) => string} */
let answer;

/** The release of the calculators, as answers name it. @type {string} */
let release;

/** @param {import("./messages.js").FromWorker} message */
const tell = (message) => self.postMessage(message);

/** Tells the page that this worker is of no use any more. @param {unknown} error */
function tellUnable(error) {
  const details = error instanceof Error ? error.stack ?? error.message : String(error);
  tell({ kind: Kind.UNABLE, details });
}

/** @param {import("./messages.js").StartMessage} message */
async function start({ manifest }) {
  release = manifest.calculators;
  try {
    const pyodide = await boot(manifest, {
      progress: (loaded, total) => tell({ kind: Kind.PROGRESS, loaded, total }),
      step: (step) => tell({ kind: Kind.STEP, step }),
    });
    answer = pyodide.pyimport("calculators.browser").answer;
    tell({ kind: Kind.READY });
  } catch (error) {
    tellUnable(error);
  }
}

/** @param {import("./messages.js").AskMessage} message */
function reply({ id, calculator, inputs, want }) {
  try {
    const text = answer(JSON.stringify({ calculator, inputs, want, release }));
    tell({ kind: Kind.REPLY, id, ...JSON.parse(text) });
  } catch (error) {
    // An exception of Python leaves Python usable; anything else is a crash of the interpreter.
    if (!(error instanceof Error) || error.name !== "PythonError") return tellUnable(error);
    tell({ kind: Kind.REPLY, id, failure: error.message });
  }
}

self.onmessage = ({ data }) => {
  if (data.kind === Kind.START) start(data);
  else if (data.kind === Kind.ASK) reply(data);
};
