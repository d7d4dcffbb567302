// Marks what a choice changed, as on a revised drawing: a triangle beside the figure,
// and for a moment the old value struck through.
//
//   <span class="figure" data-figure="reach" data-value="452"><span class="figure-value">452</span></span>
//
// After htmx has put a new answer in place, every figure is compared with the one of the
// same name that stood there before. In a drawing, data-figure stands on the group of a
// dimension, which gets the class "changed". How an old value is said stands in a template (base.html).

const SHOWN_FOR = 4000; // [ms]

// While one goes on moving a slider, the old value is the one from before it moved.
let latest = readFigures();
let before = latest;
let lastSwap = -Infinity;
const marked = new WeakSet();

// The large and the small drawing may print the same figure with other decimals.
function nameOf(figure) {
  return `${figure.dataset.figure} ${figure.ownerSVGElement?.getAttribute("class") ?? ""}`;
}

function readFigures() {
  const found = new Map();
  for (const figure of document.querySelectorAll("[data-figure]")) {
    found.set(nameOf(figure), figure.dataset.value);
  }
  return found;
}

function oldValue(text) {
  const words = document.getElementById("old-value").content.cloneNode(true);
  words.querySelector("[data-old]").replaceWith(text);
  return words.firstElementChild;
}

function mark(figure, old) {
  marked.add(figure);
  if (figure instanceof SVGElement) {
    figure.classList.add("changed");
    return;
  }
  figure.classList.add("is-changed");
  if (figure.querySelector(".figure-was")) return;
  const was = oldValue(old);
  figure.prepend(was);
  setTimeout(() => was.remove(), SHOWN_FOR);
}

function unmark(figure) {
  if (!marked.delete(figure)) return;
  figure.classList.remove("changed", "is-changed");
  figure.querySelector(".figure-was")?.remove();
}

// Only what the last choice changed is marked; what it left alone may bear marks of those before.
function compare() {
  if (performance.now() - lastSwap > SHOWN_FOR) before = latest;
  lastSwap = performance.now();
  for (const figure of document.querySelectorAll("[data-figure]")) {
    const old = before.get(nameOf(figure));
    if (old !== undefined && old !== figure.dataset.value) mark(figure, old);
    else unmark(figure);
  }
  latest = readFigures();
}

document.addEventListener("htmx:after:swap", compare);
