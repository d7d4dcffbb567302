// A grid of cells in a form: arrow keys move between them, and what was copied from a
// spreadsheet spreads over them.
//
//   <form data-grid><table><tbody><tr><td><input class="office-cell" data-row="0">…
//
// Without this script the same form has a field for a whole table.

function cellsOf(grid) {
  return [...grid.querySelectorAll("tbody tr")]
    .map((row) => [...row.querySelectorAll(".office-cell")])
    .filter((row) => row.length);
}

function placeOf(rows, cell) {
  const y = rows.findIndex((row) => row.includes(cell));
  return [y, rows[y].indexOf(cell)];
}

const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], Enter: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

// Left and right leave a cell only from its edge, so that a number can be corrected.
function stays(cell, key) {
  if (key === "ArrowLeft") return cell.selectionStart > 0 || cell.selectionEnd > 0;
  if (key === "ArrowRight") return cell.selectionEnd < cell.value.length;
  return false;
}

document.addEventListener("keydown", (event) => {
  const cell = event.target.closest?.("[data-grid] .office-cell");
  const step = STEPS[event.key];
  if (!cell || !step || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
  if (stays(cell, event.key)) return;
  const rows = cellsOf(cell.closest("[data-grid]"));
  const [y, x] = placeOf(rows, cell);
  const next = rows[y + step[0]]?.[x + step[1]];
  event.preventDefault();
  if (next) {
    next.focus();
    next.select();
  }
});

document.addEventListener("paste", (event) => {
  const cell = event.target.closest?.("[data-grid] .office-cell");
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!cell || !/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  const rows = cellsOf(cell.closest("[data-grid]"));
  const [y, x] = placeOf(rows, cell);
  text.replace(/\r/g, "").replace(/\n$/, "").split("\n").forEach((line, i) => {
    line.split("\t").forEach((value, j) => {
      const target = rows[y + i]?.[x + j];
      if (target) target.value = value.trim();
    });
  });
  cell.dispatchEvent(new Event("input", { bubbles: true }));
});
