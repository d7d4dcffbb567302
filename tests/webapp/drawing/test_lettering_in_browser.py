"""Lettering as a browser sets it: no text on another, none cut off, none too small to read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import pytest

from tests.webapp.drawing.many_builds import many_drawings
from webapp.catalogue.reading.views import Catalogue

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

BUILDS = 300
WIDTHS = (320, 768, 1440)
SMALLEST = 12.0  # [px]

# Every drawing in a frame of its own, each figure marked as changed: bold, with its triangle.
SHOW = """async drawings => {
  const framed = each =>
    `<figure class="drawing-frame"><div class="drawing-paper">${each}</div></figure>`;
  document.body.innerHTML = drawings.map(framed).join("");
  for (const each of document.querySelectorAll(".dimension")) each.classList.add("changed");
  for (const weight of [400, 600]) await document.fonts.load(`${weight} 16px "Sofia Sans"`);
}"""

# What is wrong on each drawing that shows: texts (with their triangles) that meet, leave
# the sheet, are smaller than allowed, stand on a tyre, on an edge of the bike or on a line
# that leads to another text. Circles of the page are round: one scale serves both ways.
FAULTS = """smallest => {
const meet = (a, b) =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
// The rows of a text, without the paper around its letters.
const rowsOf = text => {
  const rows = [], words = document.createTreeWalker(text, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const range = document.createRange();
    range.selectNodeContents(words.currentNode);
    for (const {left, right, top, bottom, height} of range.getClientRects()) {
      const row = rows[rows.length - 1];
      if (row && Math.abs(row.top - top) < 1) row.right = Math.max(row.right, right);
      else rows.push({left, right, top, bottom, height});
    }
  }
  return rows;
};
return [...document.querySelectorAll(".drawing-paper")].map(paper => {
  const svg = [...paper.children].find(each => getComputedStyle(each).display !== "none");
  const sheet = svg.getBoundingClientRect(), scale = sheet.width / svg.viewBox.baseVal.width;
  const texts = [...svg.querySelectorAll("text")];
  const found = [];
  const letters = texts.map(each => [each.textContent, each.getBoundingClientRect()]);
  const boxes = [...letters];
  for (const each of svg.querySelectorAll(".revision")) {
    if (getComputedStyle(each).visibility !== "visible") found.push("a triangle is hidden");
    const box = each.getBoundingClientRect(), own = each.parentElement.textContent;
    boxes.push(["triangle of " + own, box]);
    // Right beside its value, which stands in the last row: one of two need not be the longer.
    const rows = rowsOf(each.parentElement.querySelector("text"));
    const [row] = rows.slice(-1);
    const away = Math.max(row.left - box.right, box.left - row.right);
    if (box.bottom < row.top || row.bottom < box.top || away > 0.5 * row.height)
      found.push(`the triangle of ${own} stands ${away} px away`);
    if (rows.some(row => meet(row, box))) found.push(`the triangle of ${own} meets it`);
  }
  boxes.forEach(([name, a], at) => {
    if (a.left < sheet.left || a.right > sheet.right ||
        a.top < sheet.top || a.bottom > sheet.bottom)
      found.push(`${name} leaves the sheet`);
    for (const [other, b] of boxes.slice(at + 1))
      if (meet(a, b) && other !== "triangle of " + name) found.push(`${name} meets ${other}`);
  });
  const rounds = [...svg.querySelectorAll(".part-tyre > circle")].map(each => {
    const box = each.getBoundingClientRect();
    return [box.left + box.width / 2, box.top + box.height / 2, each.r.baseVal.value * scale];
  });
  const edges = [...svg.querySelectorAll(
    ".part-frame > path, .part-fork > path, .part-post > path, .part-saddle > path",
  )].flatMap(path => {
    const place = path.getScreenCTM(), long = path.getTotalLength();
    return Array.from({length: Math.ceil(long / 40)}, (_, step) => {
      const point = path.getPointAtLength(step * 40).matrixTransform(place);
      return [point.x, point.y];
    });
  });
  for (const [name, box] of letters) {
    // Within its ascenders and descenders: what the eye sees of a row or two.
    const slack = 0.12 * box.height;
    const [top, bottom] = [box.top + slack, box.bottom - slack];
    for (const [x, y, radius] of rounds) {
      const near = Math.hypot(
        Math.max(box.left - x, x - box.right, 0), Math.max(top - y, y - bottom, 0));
      const far = Math.hypot(
        Math.max(x - box.left, box.right - x), Math.max(y - top, bottom - y));
      if (near < radius && radius < far) found.push(`${name} crosses a tyre`);
    }
    if (edges.some(([x, y]) => box.left < x && x < box.right && top < y && y < bottom))
      found.push(`${name} stands on the bike`);
  }
  for (const each of texts)
    if (Number(each.getAttribute("font-size")) * scale < smallest)
      found.push(`${each.textContent} is ${Number(each.getAttribute("font-size")) * scale} px`);
  const ridden = svg.querySelector(".part-rider") !== null;
  return {found, ridden, count: texts.length,
          named: svg.querySelectorAll(".dimension-name").length,
          high: scale * svg.viewBox.baseVal.height,
          lettering: scale * Math.min(...texts.map(each => each.getAttribute("font-size")))};
});
}"""

# The height a drawing has at least on a phone (see build.css), without and with a rider [px].
PHONE_HIGH = {False: 214.0, True: 270.0}
# Texts on a narrow and on a wide drawing, without and with a rider.
LETTERED = {True: {False: 7, True: 5}, False: {False: 14, True: 14}}

# The size in which each text of the drawing in view appears; a drawing keeps its proportions.
SIZES = """() => {
  const svg = [...document.querySelectorAll(".drawing-paper > svg")].find(
    each => getComputedStyle(each).display !== "none");
  const shown = svg.getBoundingClientRect(), sheet = svg.viewBox.baseVal;
  const scale = Math.min(shown.width / sheet.width, shown.height / sheet.height);
  return [...svg.querySelectorAll("text")].map(
    each => Number(each.getAttribute("font-size")) * scale);
}"""


def test_no_text_meets_another_on_any_of_many_builds(
    browser_page: Page, catalogues: Mapping[tuple[str, int], Catalogue]
) -> None:
    builds, drawings = zip(*many_drawings(catalogues, BUILDS), strict=True)
    browser_page.goto("/components")
    browser_page.evaluate(SHOW, drawings)
    for width in WIDTHS:
        browser_page.set_viewport_size({"width": width, "height": 900})
        told = browser_page.evaluate(FAULTS, SMALLEST)
        assert len(told) == BUILDS
        wrong = [
            f"{width} px: {fault}: {build}"
            for build, each in zip(builds, told, strict=True)
            for fault in each["found"]
        ]
        assert wrong == []
        # A test of drawings without lettering would find nothing either: none is lost.
        narrow = width < 400
        fewest = LETTERED[narrow]
        assert [
            build
            for build, each in zip(builds, told, strict=True)
            if not fewest[each["ridden"]] <= each["count"] == each["named"]
        ] == []
        # Bounded in height as on the build page, its letters still are of 12 px.
        assert (
            not narrow
            or [
                (build, each["lettering"] * PHONE_HIGH[each["ridden"]] / each["high"])
                for build, each in zip(builds, told, strict=True)
                if each["lettering"] * min(1.0, PHONE_HIGH[each["ridden"]] / each["high"])
                < SMALLEST
            ]
            == []
        )


@pytest.mark.parametrize("query", ["", "?stature=196&inseam=92"])
def test_lettering_stays_legible_where_the_drawing_stays_in_view(
    browser_page: Page, query: str
) -> None:
    """On a phone the build page bounds the drawing's height as well as its width."""
    for width, height in ((320, 640), (360, 740), (412, 915)):
        browser_page.set_viewport_size({"width": width, "height": height})
        for model in ("knapweed", "burdock"):
            browser_page.goto(f"/build/{model}{query}")
            sizes = browser_page.evaluate(SIZES)
            assert sizes
            assert min(sizes) >= SMALLEST, (model, width, height)
