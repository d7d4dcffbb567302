// Single keys that press or go to something, at the counter.
//
//   <a href="/counter/new" aria-keyshortcuts="n">New quote</a>     the key follows the link
//   <input id="f-q" aria-keyshortcuts="/">                          the key goes into the field
//   <div id="keys" hidden><span data-keys-list></span>
//     <button type="button" data-keys-switch="Turn them on">Turn them off</button></div>
//
// The list is made of whatever on the page has a key, so it tells no key that does nothing.
// A key typed into a field is text. All of it can be turned off, which this browser remembers
// (WCAG 2.1.4). Escape leaves a field, so that the keys are heard again.

const KEPT = "single-keys";
const WRITTEN_IN = "input:not([type=radio], [type=checkbox], [type=range], [type=button], [type=submit]), textarea, select";

let off = attempt(() => localStorage.getItem(KEPT)) === "off";

// Storage can be refused by the browser; the keys must then work as if nothing had been kept.
function attempt(action) {
  try {
    return action();
  } catch {
    return null;
  }
}

function withKey(key) {
  const found = [...document.querySelectorAll("[aria-keyshortcuts]")];
  return found.find((each) => each.getAttribute("aria-keyshortcuts") === key && each.getClientRects().length > 0);
}

function use(element) {
  if (!element.matches(WRITTEN_IN)) return element.click();
  element.focus();
  element.select?.();
}

function nameOf(element) {
  return (element.ariaLabel || element.labels?.[0]?.textContent || element.textContent).trim().replace(/\s+/g, " ");
}

function show() {
  document.documentElement.classList.toggle("keys-on", !off);
  const box = document.getElementById("keys");
  if (!box) return;
  box.hidden = false;
  const list = box.querySelector("[data-keys-list]");
  list.replaceChildren();
  const seen = new Set();
  for (const each of off ? [] : document.querySelectorAll("[aria-keyshortcuts]")) {
    const key = each.getAttribute("aria-keyshortcuts");
    if (seen.has(key)) continue;
    seen.add(key);
    const sign = document.createElement("kbd");
    sign.textContent = key;
    const item = document.createElement("span");
    item.append(sign, ` ${nameOf(each)}`);
    list.append(item);
  }
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.repeat) return;
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const writing = event.target.closest?.(`${WRITTEN_IN}, [contenteditable]`);
  if (writing && event.key === "Escape") writing.blur();
  if (writing || off) return;
  const element = withKey(event.key);
  if (!element) return;
  event.preventDefault();
  use(element);
});

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-keys-switch]");
  if (!button) return;
  off = !off;
  attempt(() => localStorage.setItem(KEPT, off ? "off" : "on"));
  turn(button);
  show();
});

// The button says what it does next.
function turn(button) {
  const other = button.dataset.keysSwitch;
  button.dataset.keysSwitch = button.textContent;
  button.textContent = other;
}

const button = document.querySelector("[data-keys-switch]");
if (off && button) turn(button);
document.addEventListener("htmx:after:swap", show);
show();
