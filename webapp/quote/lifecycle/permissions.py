"""Whether a version may be sent and accepted: its frozen checks, and today's checks of its rider.

The checks that tell of a rider's weight are frozen with the customer, apart from
the build. They are checked again when a quote is sent or accepted: versions made before they
were frozen have none, and pages are not trusted to have shown them.
"""

from __future__ import annotations

from urllib.parse import parse_qs

from sqlmodel import Session

from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice, ReadChoice, read_choice
from webapp.builds.fitting.calculations.loads import PERSONAL, frame_load_checks, load_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.page.check_view import check_line
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, NotFound
from webapp.common.query_strings import revision_in
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.quoted_rider import rideable, with_kept_rider
from webapp.quote.storage.read import QuoteView


def personal_checks(catalogue: Catalogue, choice: BuildChoice) -> tuple[FrozenCheck, ...]:
    """What the builder permits, held against the rider of a build.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice

    Returns
    -------
    tuple of FrozenCheck
        Empty where no rider is known.

    Raises
    ------
    Invalid, GeometryError
        For parts that cannot stand together.
    """
    if choice.rider is None:
        return ()
    setup = Setup.of(catalogue, choice)
    found = load_checks(setup) if choice.scope == "bike" else frame_load_checks(setup)
    return tuple(
        FrozenCheck.model_validate(check_line(check), from_attributes=True)
        for check in found
        if check.code in PERSONAL
    )


def read_again(session: Session, view: QuoteView) -> tuple[Catalogue, ReadChoice]:
    """The build of a version of one bike with its rider, as the catalogue has it today.

    Raises
    ------
    NotFound, Invalid
        For a model or revision that is no longer there.
    """
    build = view.content.build
    asked = with_kept_rider(parse_qs(build.query, keep_blank_values=True), view.customer)
    catalogue = load_catalogue(session, build.model_slug, revision_in(asked))
    return catalogue, read_choice(catalogue, rideable(asked, view.customer, catalogue))


def failing(session: Session, view: QuoteView) -> tuple[str, ...]:
    """Names of the checks for which a version may not be sent or accepted.

    Parameters
    ----------
    session : Session
    view : QuoteView

    Returns
    -------
    tuple of str
        Frozen failures of build and rider, and what of the rider fails today; of every bike.
    """
    judged = (check for bike in view.bikes for check in _judged_now(session, bike))
    now = [check for check in judged if check.outcome == "no"]
    return tuple(dict.fromkeys(check.name for check in (*view.outcomes("no"), *now)))


def _judged_now(session: Session, view: QuoteView) -> tuple[FrozenCheck, ...]:
    if not view.customer.rider:
        return ()
    try:
        catalogue, read = read_again(session, view)
        return personal_checks(catalogue, read.choice)
    except (NotFound, Invalid, GeometryError):
        return ()  # a build that can no longer be computed keeps its frozen checks
