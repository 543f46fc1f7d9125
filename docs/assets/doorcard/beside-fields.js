/** What is said beside the fields of a form, and the way to one of them. */

import { parts, write } from "./parts.js";

/** @param {HTMLElement} form @param {string} name */
const fieldOf = (form, name) => form.querySelector(`.dc-form [name="${CSS.escape(name)}"]`);

/**
 * The place beside a field for what is wrong with it, made when it is first asked for: nearly all fields are right, and a
 * long form has two hundred.
 * @param {HTMLElement} form
 * @param {string} name
 */
function placeOf(form, name) {
  const found = form.querySelector(`[data-error="${CSS.escape(name)}"]`);
  if (found instanceof HTMLElement) return found;
  const field = fieldOf(form, name);
  const holder = field?.closest(".dc-field");
  if (!field || !holder) return null;
  const place = Object.assign(document.createElement("p"), { className: "dc-error", id: `${field.id}-error`, hidden: true });
  place.dataset.error = name;
  holder.append(place);
  field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${place.id}`.trim());
  return place;
}

/** Opens what a place is folded away in. @param {Element} place */
function unfold(place) {
  for (let fold = place.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null) fold.open = true;
}

/**
 * Shows what is wrong beside each field; a field that is refused says so itself.
 * @param {HTMLElement} form
 * @param {import("./messages.js").FieldError[]} errors
 */
export function showErrors(form, errors) {
  const refused = parts(form, '.dc-form [data-refused]:not([data-refused=""])', HTMLInputElement);
  const told = new Set([...errors.map((error) => error.field), ...refused.map(({ name }) => name)]);
  told.forEach((name) => placeOf(form, name));
  for (const place of parts(form, "[data-error]", HTMLElement)) {
    const name = place.dataset.error ?? "";
    if (place.hidden && !told.has(name)) continue;
    const field = fieldOf(form, name);
    const own = errors.filter((error) => error.field === name).map((error) => error.message);
    const message = (field instanceof HTMLInputElement && field.dataset.refused) || own.join(" ");
    write(place, message);
    if (place.hidden === Boolean(message)) place.hidden = !message;
    if (message) unfold(place);
    const invalid = String(Boolean(message));
    if (field?.getAttribute("aria-invalid") !== invalid) field?.setAttribute("aria-invalid", invalid);
  }
}

/**
 * Shows beside each field how it was read, where that is worth a look.
 * @param {HTMLElement} form
 * @param {import("./messages.js").FieldError[]} notes
 */
export function showNotes(form, notes) {
  parts(form, ".dc-read-as", HTMLElement).forEach((old) => old.remove());
  for (const { field, message } of notes) {
    const place = placeOf(form, field);
    if (!place) continue;
    const note = document.createElement("p");
    note.className = "dc-read-as";
    note.textContent = message;
    place.after(note);
    unfold(note);
  }
}

/** Leads from what a result says to the field that it is about. @param {HTMLElement} form @param {string} name */
export function goToField(form, name) {
  const field = fieldOf(form, name);
  if (!(field instanceof HTMLElement)) return;
  unfold(field);
  field.focus({ preventScroll: true });
  field.scrollIntoView({ block: "center" });
}
