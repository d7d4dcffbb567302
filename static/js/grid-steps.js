// Undo and redo in a grid before it is kept: typing into one cell is one step, a paste another.
//
// Ctrl+Z takes the last step back, Ctrl+Y or Ctrl+Shift+Z does it again.

const grids = new WeakMap();

function stateOf(grid) {
  if (!grids.has(grid)) grids.set(grid, { done: [], undone: [], typing: null });
  return grids.get(grid);
}

// Remembers one step: for each cell what it was and what it is.
export function remember(grid, changes, cell = null) {
  const state = stateOf(grid);
  const last = state.done.at(-1);
  if (cell !== null && state.typing === cell && last) last[0].now = changes[0].now;
  else state.done.push(changes);
  state.typing = cell;
  state.undone = [];
}

function apply(changes, which) {
  for (const each of changes) {
    each.cell.value = each[which];
    known.set(each.cell, each[which]);
  }
  const { cell } = changes[0];
  cell.focus();
  cell.select();
  cell.dispatchEvent(new CustomEvent("input", { bubbles: true, detail: "step" }));
}

function move(grid, from, to, which) {
  const state = stateOf(grid);
  const changes = state[from].pop();
  if (!changes) return false;
  state[to].push(changes);
  state.typing = null;
  apply(changes, which);
  return true;
}

const known = new WeakMap();

export function wasIn(cell) {
  return known.get(cell) ?? cell.defaultValue;
}

export function isNow(cell) {
  known.set(cell, cell.value);
}

document.addEventListener("input", (event) => {
  const cell = event.target.closest?.("[data-grid] .office-cell");
  if (!cell || event.detail === "step") return;
  const was = wasIn(cell);
  if (was === cell.value) return;
  remember(cell.closest("[data-grid]"), [{ cell, was, now: cell.value }], cell);
  isNow(cell);
});

document.addEventListener("focusin", (event) => {
  const grid = event.target.closest?.("[data-grid]");
  if (grid) stateOf(grid).typing = null;
});

document.addEventListener("keydown", (event) => {
  const grid = event.target.closest?.("[data-grid] .office-cell")?.closest("[data-grid]");
  if (!grid || event.altKey || !(event.ctrlKey || event.metaKey)) return;
  const key = event.key.toLowerCase();
  const again = key === "y" || (key === "z" && event.shiftKey);
  if (!again && key !== "z") return;
  event.preventDefault();
  if (again) move(grid, "undone", "done", "now");
  else move(grid, "done", "undone", "was");
});
