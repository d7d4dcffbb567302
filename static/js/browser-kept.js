// What this browser keeps for its reader, by name: a form, the builds kept. Storage can be refused
// by the browser; the page must then work as if nothing had been kept.

const PREFIX = "kept:";

function attempt(action) {
  try {
    return action();
  } catch {
    return null;
  }
}

// What was kept under a name; null where nothing was, or where it cannot be read.
export function kept(name, store = "localStorage") {
  return attempt(() => JSON.parse(window[store].getItem(PREFIX + name)));
}

// Keeps a value; true when the browser took it.
export function keepAs(name, value, store = "localStorage") {
  return attempt(() => (window[store].setItem(PREFIX + name, JSON.stringify(value)), true)) === true;
}

// Removes what was kept under a name, from either storage.
export function forgetKept(name) {
  attempt(() => localStorage.removeItem(PREFIX + name));
  attempt(() => sessionStorage.removeItem(PREFIX + name));
}
