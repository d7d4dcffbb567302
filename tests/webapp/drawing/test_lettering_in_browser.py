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
# the sheet or are smaller than allowed.
FAULTS = """smallest => [...document.querySelectorAll(".drawing-paper")].map(paper => {
  const svg = [...paper.children].find(each => getComputedStyle(each).display !== "none");
  const sheet = svg.getBoundingClientRect(), scale = sheet.width / svg.viewBox.baseVal.width;
  const texts = [...svg.querySelectorAll("text")];
  const found = [];
  const boxes = texts.map(each => [each.textContent, each.getBoundingClientRect()]);
  for (const each of svg.querySelectorAll(".revision")) {
    if (getComputedStyle(each).visibility !== "visible") found.push("a triangle is hidden");
    boxes.push(["triangle of " + each.parentElement.textContent, each.getBoundingClientRect()]);
  }
  boxes.forEach(([name, a], at) => {
    if (a.left < sheet.left || a.right > sheet.right ||
        a.top < sheet.top || a.bottom > sheet.bottom)
      found.push(`${name} leaves the sheet`);
    for (const [other, b] of boxes.slice(at + 1))
      if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
        found.push(`${name} meets ${other}`);
  });
  for (const each of texts)
    if (Number(each.getAttribute("font-size")) * scale < smallest)
      found.push(`${each.textContent} is ${Number(each.getAttribute("font-size")) * scale} px`);
  return {found, count: texts.length, named: svg.querySelectorAll(".dimension-name").length};
})"""

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
        # A test of drawings without lettering would find nothing either.
        counts = [each["count"] for each in told]
        assert min(counts) >= (1 if width < 400 else 14)
        assert sum(counts) / BUILDS >= (3 if width < 400 else 14)
        assert all(each["named"] == each["count"] for each in told)


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
