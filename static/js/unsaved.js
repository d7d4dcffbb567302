// Asks before a page is left whose form holds what nobody kept.
//
//   <form data-ask-leaving>…</form>
//   <form data-ask-leaving="unsaved">…</form>   what the server filled in is unkept too
//
// The question is the browser's own. Sending the form is no leaving.

const sent = new WeakSet();

function isTick(field) {
  return field.type === "radio" || field.type === "checkbox";
}

function isChanged(field) {
  if (field.type === "hidden" || field.type === "submit" || field.name === "") return false;
  if (field.type === "file") return field.files.length > 0;
  if (isTick(field)) return field.checked !== field.defaultChecked;
  if (field instanceof HTMLSelectElement) {
    const usual = [...field.options].find((option) => option.defaultSelected) ?? field.options[0];
    return field.value !== (usual?.value ?? "");
  }
  return field.value !== field.defaultValue;
}

function holdsMore(form) {
  return form.dataset.askLeaving === "unsaved" || [...form.elements].some(isChanged);
}

addEventListener("submit", (event) => {
  sent.add(event.target);
});
addEventListener("pageshow", () => {
  for (const form of document.forms) sent.delete(form);
});
addEventListener("beforeunload", (event) => {
  const forms = [...document.querySelectorAll("form[data-ask-leaving]")];
  if (forms.some((form) => sent.has(form))) return;
  if (forms.some(holdsMore)) event.preventDefault();
});
