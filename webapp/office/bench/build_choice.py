"""Which build a measured bike is compared with: a quote's, a link's, or a model's usual one."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import parse_qs, urlsplit

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.query_strings import revision_in
from webapp.common.text.language import tr
from webapp.quote.storage.read import quote_by_number, view_of

_PAGE = "build"


def build_of_quote(session: Session, number: str) -> tuple[Catalogue, BuildChoice]:
    """The build of a quote's current version.

    Raises
    ------
    NotFound
        For a number no quote has.
    """
    quote = view_of(session, quote_by_number(session, number.strip()))
    build = quote.content.build
    return build_of_query(session, build.model_slug, build.query)


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
