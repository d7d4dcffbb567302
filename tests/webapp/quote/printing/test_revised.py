"""A version after a changed build marks what changed, on its drawings and in its table."""

from __future__ import annotations

import re
from datetime import date

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.freeze_build import freeze

DAY = date(2026, 3, 1)


def frozen(catalogue: Catalogue, before: QuoteContent | None = None, **query: str) -> QuoteContent:
    choice = read_choice(catalogue, {name: [value] for name, value in query.items()}).strict()
    return freeze(compute(catalogue, choice), on=DAY, before=before)


def marked(svg: str) -> set[str]:
    """Keys of the figures that carry a triangle which shows."""
    shown = re.findall(
        r'data-figure="drawing-(\w+)"[^>]*>(?:(?!</g>).)*?class="revision"(?! visibility)', svg
    )
    assert "data-figure" in svg
    return set(shown)


def test_what_a_changed_axle_moved_carries_the_triangle(trail: Catalogue) -> None:
    first = frozen(trail, slot="2")
    assert first.revised == ()
    assert marked(first.drawing.paper) == set()
    second = frozen(trail, first, slot="20")
    assert {"chainstay_length", "rear_centre", "wheelbase"} <= set(second.revised)
    for drawn in (second.drawing.paper, second.drawing.full):
        assert {"chainstay_length", "wheelbase"} <= marked(drawn) <= set(second.revised)
    assert "wheelbase" in marked(second.drawing.small)


def test_the_same_build_and_another_model_mark_nothing(trail: Catalogue, tourer: Catalogue) -> None:
    first = frozen(trail, slot="2")
    assert frozen(trail, first, slot="2").revised == ()
    assert frozen(tourer, first).revised == ()
