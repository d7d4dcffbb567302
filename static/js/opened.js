// What was opened or closed by hand stays so after a changed choice, a link or a reload.
//
//   <details id="step-fork">…</details>
//   <details id="step-seat" data-forced open>…</details>   opened by the server for a mistake in it
//
// Known as long as the tab is open. Without this script a fold is as the server sends it.

const KEPT = "opened";
const left = new Map(attempt(() => JSON.parse(sessionStorage.getItem(KEPT))) ?? []);

// Storage can be refused by the browser; the page must then work as if nothing had been kept.
function attempt(action) {
  try {
    return action();
  } catch {
    return null;
  }
}

function settle(page) {
  for (const [id, open] of left) {
    const details = page.getElementById(id);
    if (details instanceof HTMLDetailsElement && details.dataset.forced === undefined) details.open = open;
  }
}

document.addEventListener("click", (event) => {
  const details = event.target.closest?.("summary")?.parentElement;
  if (!details?.id) return;
  setTimeout(() => {
    left.delete(details.id); // the last one touched stands last
    left.set(details.id, details.open);
    attempt(() => sessionStorage.setItem(KEPT, JSON.stringify([...left].slice(-100))));
  });
});
// Before it is put in, so that nothing closes for a moment and moves the page under the finger.
document.addEventListener("htmx:before:swap", (event) => {
  for (const { fragment } of event.detail.tasks) settle(fragment);
});
settle(document);
