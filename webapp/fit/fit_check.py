"""The builder's sizes checked against many bodies before they are published, in sentences."""

from __future__ import annotations

from functools import cache

import numpy as np

from geometry.core import GeometryError
from geometry.rider import Bodies, condition
from geometry.sizing import SEED, FitCheck, check_fit
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.common.errors import (
    DomainError,
    remedy_in_words,
)
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice

PEOPLE = 1500
"""Adults drawn, half of them women; a share is then good to about 1 in 100."""


@cache
def _people() -> Bodies:
    return condition([]).draw(PEOPLE, np.random.default_rng(SEED))


def fit_check(catalogue: Catalogue) -> tuple[str, ...]:
    """How the sizes of a catalogue fit the riders of their chart, one sentence a style.

    Parameters
    ----------
    catalogue : Catalogue

    Returns
    -------
    tuple of str
        Where a style cannot be checked, why not.
    """
    return tuple(style_check(catalogue, style) for style in catalogue.styles)


def style_check(catalogue: Catalogue, style: StyleView) -> str:
    """The same of one style."""
    try:
        builds = candidate_builds(catalogue, usual_choice(catalogue))
        found = check_fit(run_for(catalogue, builds, style), _people())
    except (DomainError, GeometryError) as error:
        return tr("{style}: not checked, {remedy}", style=style.name, remedy=remedy_in_words(error))
    return _sentence(style.name, found)


def _sentence(style: str, found: FitCheck) -> str:
    none, one, two, _ = (number(100.0 * share) for share in found.fitting)
    chart, grips = f"{100.0 * found.with_chart:.0f}", number(100.0 * found.grips_kept)
    if found.backward:
        return tr(
            "{style}: of 100 riders in the chart’s range no size fits {none} as sold, one size "
            "fits {one}, and two fit {two}; the size named is the chart’s for {chart}, and still "
            "fits {grips} with grips 10 mm off. Look again: near {stature} mm a growing rider is "
            "named a smaller size, none, or one is skipped.",
            stature=f"{found.backward[0]:.0f}",
            style=style,
            none=none,
            one=one,
            two=two,
            chart=chart,
            grips=grips,
        )
    return tr(
        "{style}: of 100 riders in the chart’s range no size fits {none} as sold, one size fits "
        "{one}, and two fit {two}; the size named is the chart’s for {chart}, and still fits "
        "{grips} with grips 10 mm off. Taller riders are never named smaller sizes.",
        style=style,
        none=none,
        one=one,
        two=two,
        chart=chart,
        grips=grips,
    )
