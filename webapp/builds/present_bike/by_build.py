"""The present bike as a build of ours, by its address."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from sqlmodel import Session

from geometry.uncertainty import explain_all
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.choice.carried_build import BUILD_KEY, carried_build_in, fields_of
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.points import points_of
from webapp.builds.present_bike.bike import Known, Measured, Spot
from webapp.builds.present_bike.fields import BUILD
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.builds.solving.tolerances import tolerances_of
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.errors import DomainError, Problem
from webapp.common.query_strings import revision_in
from webapp.common.text.language import tr
from webapp.drawing.outline import Outline, outline_of

_PAGE = "/build/"
_SURE = 2.0  # mm, one standard deviation of a bike from its drawing [CP]


def by_build(typed: Mapping[str, str], session: Session) -> Measured:
    """A bike that is one of our builds.

    Parameters
    ----------
    typed : mapping of field to str
    session : Session

    Returns
    -------
    Measured
    """
    open_ = Spot(at=(np.nan, np.nan), covariance=np.full((2, 2), np.nan))
    nothing = Measured(grip=open_, saddle=open_, figures={}, outline=Outline())
    link = typed[BUILD.name]
    if not link:
        return nothing
    try:
        return _of(_result(link, session))
    except DomainError as error:
        return _refused(nothing, link, error)


def _refused(nothing: Measured, link: str, error: DomainError) -> Measured:
    said = "; ".join(problem.remedy for problem in error.problems)
    remedy = tr(
        "paste the link of a build page, such as /build/knapweed?size=m ({said})", said=said
    )
    problems = (Problem(BUILD.name, link[:100], remedy),)
    return Measured(
        grip=nothing.grip, saddle=nothing.saddle, figures={}, outline=Outline(), problems=problems
    )


def _result(link: str, session: Session) -> BuildResult:
    text = carried_build_in({BUILD_KEY: [link.partition("#")[0].rpartition(_PAGE)[2]]})
    query = fields_of(text)
    catalogue = load_catalogue(session, text.partition("?")[0], revision_in(query))
    return compute(catalogue, read_choice(catalogue, query).strict())


def _of(result: BuildResult) -> Measured:
    state = result.states[UNLOADED]
    frame = result.catalogue.revision.data.tolerances
    widths = explain_all(state.bike, tolerances_of(frame, result.assembly))
    figures = {
        key: Known(value=float(value), half_width=widths[key].half_width or 0.0)
        for key, value in state.figures.items()
        if key in widths
    }
    spots = [
        Spot(at=(float(x), float(y)), covariance=np.eye(2) * _SURE**2)
        for x, y in (state.hands.grips, state.seated.saddle)
    ]
    return Measured(
        grip=spots[0],
        saddle=spots[1],
        figures=figures,
        outline=outline_of(points_of(result)),
    )
