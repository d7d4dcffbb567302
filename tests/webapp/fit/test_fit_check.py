"""The fit check as the builder reads it before publishing."""

from __future__ import annotations

from dataclasses import replace

from webapp.catalogue.reading.views import Catalogue
from webapp.fit.fit_check import fit_check


def test_every_style_has_its_sentence(trail: Catalogue) -> None:
    said = fit_check(trail)
    assert len(said) == len(trail.styles)
    for style, line in zip(trail.styles, said, strict=True):
        assert line.startswith(f"{style.name}: of 100 riders")
        assert "never named smaller sizes" in line


def test_a_size_that_nobody_can_stand_over_is_seen(trail: Catalogue) -> None:
    medium = trail.sizes[2]
    chart = medium.data.riders
    assert chart is not None
    high = medium.data.model_copy(
        update={"riders": chart.model_copy(update={"shortest": 1790.0, "tallest": 1796.0})}
    )
    broken = replace(trail, sizes=(*trail.sizes[:2], replace(medium, data=high), *trail.sizes[3:]))
    assert fit_check(broken) != fit_check(trail)


def test_without_a_chart_it_says_why(trail: Catalogue) -> None:
    bare = replace(trail.sizes[0], data=trail.sizes[0].data.model_copy(update={"riders": None}))
    said = fit_check(replace(trail, sizes=(bare, *trail.sizes[1:])))
    assert all("not checked" in line and "size chart" in line for line in said)
