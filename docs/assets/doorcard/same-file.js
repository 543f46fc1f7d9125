/**
 * A file that is chosen again under its name is read anew, for it may have been written anew: a browser tells of no
 * change while the field still names that file. So a field is emptied before its chooser opens.
 */

import { isFile } from "./fields.js";

/** What fields named when their choosers were opened. @type {WeakMap<HTMLInputElement, FileList>} */
const named = new WeakMap();

document.addEventListener("click", ({ target }) => {
  if (!(target instanceof HTMLInputElement) || !isFile(target) || !target.files?.length) return;
  const carrier = new DataTransfer();
  for (const file of target.files) carrier.items.add(file);
  named.set(target, carrier.files);
  target.value = "";
});

/** Nothing was chosen: the form has the file still. */
document.addEventListener("cancel", ({ target }) => {
  if (!(target instanceof HTMLInputElement) || target.files?.length) return;
  target.files = named.get(target) ?? null;
});
