"""Which build a measured bike is compared with: a quote's, a link's, or a model's usual one."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import parse_qs, urlencode, urlsplit

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, query_of, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, NotFound
from webapp.common.query_strings import revision_in
from webapp.common.text.language import tr
from webapp.common.web.choices import Link
from webapp.quote.freezing.bikes import builds_of, heading_of
from webapp.quote.storage.read import quote_by_number, view_of

_PAGE = "build"


def build_of_quote(session: Session, number: str, bike: int = 1) -> tuple[Catalogue, BuildChoice]:
    """The build of one bike of a quote's current version.

    Raises
    ------
    NotFound
        For a number no quote has, or a bike that the quote has not.
    """
    quote = view_of(session, quote_by_number(session, number.strip()))
    build = quote.bike(bike).content.build
    return build_of_query(session, build.model_slug, build.query)


def bikes_of_quote(session: Session, number: str, choice: BuildChoice) -> tuple[Link, ...]:
    """The bikes of a quote of several, each to be put on the bench; that of the build is shown."""
    if not number:
        return ()
    try:
        content = view_of(session, quote_by_number(session, number)).content
    except NotFound:
        return ()
    builds, shown = builds_of(content), query_of(choice)
    if len(builds) == 1:
        return ()
    return tuple(
        Link(
            label=heading_of(content, at),
            address="/office/bench/measure?" + urlencode({"quote": number, "bike": at}),
            present=(build.model_slug, build.query) == (choice.model, shown),
        )
        for at, build in enumerate(builds, start=1)
    )


def build_of_link(session: Session, link: str) -> tuple[Catalogue, BuildChoice]:
    """The build a link opens, whole or from the site's root.

    Raises
    ------
    Invalid
        For a link that opens no build.
    """
    try:
        parts = urlsplit(link.strip())
    except ValueError:
        parts = urlsplit("")
    steps = [step for step in parts.path.split("/") if step]
    if steps[:1] != [_PAGE] or len(steps) != 2:  # noqa: PLR2004  # /build/<model>
        raise Invalid("link", link[:200], tr("the address of a build page, /build/…"))
    return build_of_query(session, steps[1], parts.query)


def build_of_query(session: Session, model: str, query: str) -> tuple[Catalogue, BuildChoice]:
    """The build of a model's slug and a canonical query.

    Raises
    ------
    NotFound
        For a model or revision nobody knows, or a draft.
    Invalid
        For a query that is of no build.
    """
    fields: Mapping[str, list[str]] = parse_qs(query, keep_blank_values=True)
    catalogue = load_catalogue(session, model, revision_in(fields))
    return catalogue, read_choice(catalogue, fields).strict()
