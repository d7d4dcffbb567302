"""Which quotes of a list hold something that is no longer offered, in one query for all.

The page of one quote says what it is (`webapp.quote.lifecycle.still_offered`); a list only
marks it, from the build each version was made from, without reading what it says.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any
from urllib.parse import parse_qs

from sqlalchemy import CompoundSelect, Integer, String, and_, literal, or_, select, union_all
from sqlmodel import Session, col

from webapp.builds.choice.places import SCOPES, places_sold
from webapp.catalogue.tables import RETIRED, WITHDRAWN, FrameModel, FrameRevision, Part
from webapp.quote.tables import QuoteVersion

_VERSION, _PART, _REVISION = "version", "part", "revision"


def not_offered(session: Session, versions: Collection[tuple[int, int]]) -> frozenset[int]:
    """The quotes whose version sells a part or a revision that is no longer offered.

    Parameters
    ----------
    session : Session
        A reading session.
    versions : collection of (int, int)
        Key of each quote, and the number of the version looked at.

    Returns
    -------
    frozenset of int
        Keys of quotes.
    """
    if not versions:
        return frozenset()
    rows = session.execute(_query(versions)).all()
    gone = {(row.kind, row.slug) for row in rows if row.what == _PART}
    withdrawn = {(row.slug, row.key) for row in rows if row.what == _REVISION}
    return frozenset(
        row.key
        for row in rows
        if row.what == _VERSION and _holds(row.kind, row.slug, gone, withdrawn)
    )


def _query(versions: Collection[tuple[int, int]]) -> CompoundSelect[Any]:
    """One statement: the builds of these versions, and all that was taken out of the catalogue."""
    said = QuoteVersion
    those = [and_(col(said.quote_id) == quote, col(said.number) == n) for quote, n in versions]
    return union_all(
        select(
            literal(_VERSION, String).label("what"),
            col(said.quote_id).label("key"),
            col(said.model).label("kind"),
            col(said.build).label("slug"),
        ).where(or_(*those)),
        select(literal(_PART, String), literal(0, Integer), col(Part.kind), col(Part.slug)).where(
            col(Part.state) == RETIRED
        ),
        select(
            literal(_REVISION, String),
            col(FrameRevision.number),
            literal("", String),
            col(FrameModel.slug),
        )
        .join(FrameModel, col(FrameModel.id) == col(FrameRevision.model_id))
        .where(col(FrameRevision.state) == WITHDRAWN),
    )


def _holds(
    model: str, build: str, gone: set[tuple[str, str]], withdrawn: set[tuple[str, int]]
) -> bool:
    """Whether a version sells any of it; further bikes stand in lines of their own."""
    first, *further = build.splitlines() or [""]
    for slug, _, other in (each.partition("?") for each in further):
        if _holds(slug, other, gone, withdrawn):
            return True
    query = parse_qs(first)
    revision = query.get("rev", ["0"])[0]
    if revision.isdigit() and (model, int(revision)) in withdrawn:
        return True
    named = query.get("scope", [SCOPES[0]])[0]
    scope = next((scope for scope in SCOPES if scope == named), SCOPES[0])
    sold = {
        (place.kind, slug) for place in places_sold(scope) for slug in query.get(place.name, ())
    }
    sold |= {("extra", slug) for slug in query.get("extra", ())}
    return not sold.isdisjoint(gone)
