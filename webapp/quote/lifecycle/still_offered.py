"""What a frozen quote holds that the shop has stopped offering since.

A frozen quote stays as it was made. But a frame whose revision was withdrawn, or
a part that is no longer made, may not be available: the shop sees this and confirms it before
the version is sent; until then the customer cannot accept.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import parse_qs

from sqlmodel import Session, select

from webapp.builds.choice.places import NONE, SCOPES, places_sold
from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.tables import WITHDRAWN
from webapp.common.errors import Invalid, NotFound
from webapp.common.text.language import tr
from webapp.common.text.sentences import sentence
from webapp.quote.freezing.bikes import bikes_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.pricing import basis_of
from webapp.quote.states import Event
from webapp.quote.storage.read import QuoteView
from webapp.quote.tables import Quote, QuoteEvent

LABOUR = "labour-"


@dataclass(frozen=True, kw_only=True)
class Gone:
    """One thing that is no longer offered: its key, and the sentence about it."""

    key: str
    words: str


def gone_since(session: Session, view: QuoteView) -> tuple[Gone, ...]:
    """What a version sells that is no longer offered today.

    Parameters
    ----------
    session : Session
    view : QuoteView

    Returns
    -------
    tuple of Gone
        Parts that only carry the figures of a frame sold alone are not among them;
        what several bikes share is said once.
    """
    found = (gone for bike in bikes_of(view.content) for gone in _gone_of_one(session, bike))
    return tuple({gone.key: gone for gone in found}.values())


def _gone_of_one(session: Session, content: QuoteContent) -> tuple[Gone, ...]:
    build = content.build
    try:
        catalogue = load_catalogue(session, build.model_slug, build.revision)
    except NotFound:
        words = tr(
            "Revision {revision} of {model} is no longer in the catalogue.",
            revision=build.revision,
            model=build.model,
        )
        return (Gone(key=f"revision-{build.revision}", words=words),)
    return tuple(_gone(catalogue, content))


def _gone(catalogue: Catalogue, content: QuoteContent) -> Iterator[Gone]:
    revision, model = catalogue.revision, catalogue.model
    if revision.state == WITHDRAWN:
        reason = revision.withdrawn_reason.rstrip(".")
        words = tr(
            "Revision {number} of {name} is withdrawn: {reason}.",
            number=revision.number,
            name=model.name,
            reason=reason,
        )
        yield Gone(key=f"revision-{revision.number}", words=words)
    for kind, slug, listed in _sold(content):
        try:
            part = catalogue.part(kind, slug)
        except (NotFound, Invalid):
            yield Gone(
                key=f"{kind}-{slug}",
                words=sentence(tr("{listed} is no longer in the catalogue", listed=listed)),
            )
            continue
        if part.retired and not part.assumed:
            yield Gone(
                key=f"{kind}-{slug}", words=sentence(tr("{name} is no longer made", name=part.name))
            )


def _sold(content: QuoteContent) -> Iterator[tuple[str, str, str]]:
    """Kind and name of every part sold, and how the quote lists it."""
    query = parse_qs(content.build.query)
    listed = {line.key: line.item for line in basis_of(content).lines}
    scope = next(scope for scope in SCOPES if scope == content.build.scope)
    own = query.get("own", [])
    for place in places_sold(scope):
        for slug in query.get(place.name, []):
            if slug != NONE and place.name not in own:
                yield place.kind, slug, listed.get(place.name, slug)
    for slug in query.get("extra", []):
        yield "extra", slug, listed.get(f"extra-{slug}", slug)
    for key, item in listed.items():
        if key.startswith(LABOUR):
            yield "labour", key.removeprefix(LABOUR), item


def unconfirmed(session: Session, quote: Quote, view: QuoteView) -> tuple[Gone, ...]:
    """What is no longer offered and not confirmed by the shop for this version."""
    gone = gone_since(session, view)
    if not gone:
        return ()
    query = select(QuoteEvent.detail).where(
        QuoteEvent.quote_id == row_id(quote),
        QuoteEvent.what == Event.CONFIRM,
        QuoteEvent.version == view.version,
    )
    confirmed = {key for detail in session.exec(query) for key in detail.get("gone", ())}
    return tuple(each for each in gone if each.key not in confirmed)
