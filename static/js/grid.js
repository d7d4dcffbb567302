// A grid of cells in a form: arrow keys move between them, and what was copied from a
// spreadsheet spreads over them.
//
//   <form data-grid><table><tbody><tr><td><input class="office-cell" data-row="0">…
//
// Without this script the same form has a field for a whole table.

import { isNow, remember } from "./grid-steps.js";

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

// Tab walks the cells, row by row; back from a row's first cell it comes to what explains the row.
document.addEventListener("keydown", (event) => {
  const cell = event.target.closest?.("[data-grid] .office-cell");
  if (!cell || event.key !== "Tab" || event.ctrlKey || event.metaKey || event.altKey) return;
  const row = cell.closest("tr");
  const cells = cellsOf(cell.closest("[data-grid]")).flat();
  const next = cells[cells.indexOf(cell) + (event.shiftKey ? -1 : 1)];
  if (!next || (event.shiftKey && next.closest("tr") !== row)) return;
  event.preventDefault();
  next.focus();
  next.select();
});

const NUMBER = /^[-+\u2212]?\d*([.,]\d+)?$/;

// A table with names goes to the server, which knows what they mean; nothing is kept by it.
function sendsNames(grid, lines) {
  const area = grid.querySelector("[data-grid-table]");
  const button = grid.querySelector("[data-grid-paste]");
  if (!area || !button || lines.flat().every((value) => NUMBER.test(value.trim()))) return false;
  area.value = lines.map((line) => line.join("\t")).join("\n");
  grid.requestSubmit(button);
  return true;
}

function tellLeftOut(grid, numbers) {
  const note = grid.querySelector("[data-grid-left-out]");
  if (!note) return;
  note.hidden = numbers.length === 0;
  note.textContent = note.dataset.gridLeftOut.replace("%", numbers.join(", "));
}

document.addEventListener("paste", (event) => {
  const cell = event.target.closest?.("[data-grid] .office-cell");
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!cell || !/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  const grid = cell.closest("[data-grid]");
  const lines = text.replace(/\r/g, "").replace(/\n$/, "").split("\n").map((line) => line.split("\t"));
  if (sendsNames(grid, lines)) return;
  const rows = cellsOf(grid);
  const [y, x] = placeOf(rows, cell);
  const changes = [];
  const leftOut = new Set();
  lines.forEach((line, i) => {
    line.forEach((value, j) => {
      const target = rows[y + i]?.[x + j];
      if (!target) leftOut.add(i + 1);
      else changes.push({ cell: target, was: target.value, now: value.trim() });
    });
  });
  for (const each of changes) {
    each.cell.value = each.now;
    isNow(each.cell);
  }
  remember(grid, changes);
  tellLeftOut(grid, [...leftOut]);
  cell.dispatchEvent(new CustomEvent("input", { bubbles: true, detail: "step" }));
});
