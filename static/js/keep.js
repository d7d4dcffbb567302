// Keeps what was typed into a form in this browser, so that a reload loses nothing.
//
//   <form data-keep="rider">…</form>
//   <p data-kept="rider" hidden>… <button type="button" data-forget="rider">Forget</button></p>
//
// Kept in localStorage, or only as long as the tab is open with data-keep-in="session".
// A field named in the page's address, or marked invalid by the server, is newer than
// what is kept, and then nothing is restored. Fields with data-keep-not, hidden fields,
// passwords and files are never kept.

import { forgetKept, kept, keepAs } from "./browser-kept.js";

const NEVER = new Set(["hidden", "password", "file", "submit", "button", "image", "reset"]);

function storeOf(form) {
  return form.dataset.keepIn === "session" ? "sessionStorage" : "localStorage";
}

function fieldsOf(form) {
  return [...form.elements].filter(
    (field) => field.name && !NEVER.has(field.type) && field.dataset.keepNot === undefined,
  );
}

function isTick(field) {
  return field.type === "radio" || field.type === "checkbox";
}

function typedIn(form) {
  const typed = {};
  for (const field of fieldsOf(form)) {
    if (!isTick(field)) typed[field.name] = [field.value];
    else if (field.checked) (typed[field.name] ??= []).push(field.value);
    else typed[field.name] ??= [];
  }
  return typed;
}

function showForget(name, shown) {
  for (const note of document.querySelectorAll(`[data-kept="${CSS.escape(name)}"]`)) note.hidden = !shown;
}

function keep(form) {
  keepAs(form.dataset.keep, typedIn(form), storeOf(form));
  showForget(form.dataset.keep, true);
}

function isAnswered(form) {
  const address = new URLSearchParams(location.search);
  return fieldsOf(form).some(
    (field) => address.has(field.name) || field.getAttribute("aria-invalid") === "true",
  );
}

// Sets the fields to what was kept; true when any of them changed by it.
function fill(form, typed) {
  let changed = false;
  for (const field of fieldsOf(form)) {
    const values = typed[field.name];
    if (!Array.isArray(values)) continue;
    if (isTick(field)) {
      const ticked = values.includes(field.value) && !field.disabled;
      changed ||= ticked !== field.checked;
      field.checked = ticked;
    } else if (values.length && field.value !== values[0]) {
      field.value = values[0];
      changed = true;
    }
  }
  return changed;
}

function restore(form) {
  const typed = kept(form.dataset.keep, storeOf(form));
  if (!typed) return;
  showForget(form.dataset.keep, true);
  if (isAnswered(form) || !fill(form, typed)) return;
  form.dispatchEvent(new CustomEvent("kept:restored", { bubbles: true }));
  form.dispatchEvent(new Event("change", { bubbles: true }));
}

function forget(name) {
  forgetKept(name);
  for (const form of document.querySelectorAll(`form[data-keep="${CSS.escape(name)}"]`)) {
    for (const field of fieldsOf(form)) {
      if (field.type === "checkbox") field.checked = false;
      else if (field.type === "radio") field.checked = field.defaultChecked;
      else if (field instanceof HTMLSelectElement) field.selectedIndex = 0;
      else field.value = "";
    }
    fieldsOf(form)[0]?.focus();
  }
  showForget(name, false);
}

const seen = new WeakSet();

function restoreForms() {
  for (const form of document.querySelectorAll("form[data-keep]")) {
    if (seen.has(form)) continue;
    seen.add(form);
    restore(form);
  }
}

for (const kind of ["input", "change"]) {
  document.addEventListener(kind, (event) => {
    const form = event.target.form;
    if (form?.dataset.keep) keep(form);
  });
}
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-forget]");
  if (button) forget(button.dataset.forget);
});
document.addEventListener("htmx:after:swap", restoreForms);
// Runs once htmx listens, which it starts in a timer: a restored form then asks for its answer.
setTimeout(restoreForms);
