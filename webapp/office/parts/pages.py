"""Parts: the list, retiring and offering again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import part_row
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.writing.parts import restore_part
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import Now, ReadingSession, WritingSession
from webapp.common.web.templating import page
from webapp.office.forms.field_words import kind_in_words
from webapp.office.forms.submitted import (
    PRIVATE,
)
from webapp.office.part_changes.drafts import next_page, propose, throw_away
from webapp.office.part_changes.retiring import retire
from webapp.office.parts.editing import (
    PAGE,
    PartLine,
    count_parts,
    list_parts,
)

router = APIRouter(prefix="/office/parts", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class KindLink:
    """One kind of part and how many there are."""

    kind: str
    label: str
    count: int
    present: bool


@dataclass(frozen=True, kw_only=True)
class PartsPage:
    """The list of parts."""

    person: Person
    kinds: tuple[KindLink, ...]
    kind: str
    kind_words: str
    words: str
    parts: tuple[PartLine, ...]
    cut: bool


def label_of_kind(kind: str) -> str:
    """A kind in words.

    >>> label_of_kind("front-hub")
    'Front hub'
    """
    words = kind_in_words(kind)
    return capitalized(words)


@router.get("")
def parts(
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
    *,
    kind: Annotated[str, Query(max_length=40)] = "",
    q: Annotated[str, Query(max_length=200)] = "",
) -> HTMLResponse:
    """Parts of one kind, or found by their names."""
    found = list_parts(session, kind=kind, words=q, day=day_of(at))
    counts = count_parts(session)
    kinds = tuple(
        KindLink(kind=k, label=label_of_kind(k), count=counts[k], present=k == kind)
        for k in PART_KINDS
    )
    context = PartsPage(
        person=person,
        kinds=kinds,
        kind=kind,
        kind_words=kind_in_words(kind),
        words=q,
        parts=found,
        cut=len(found) == PAGE,
    )
    return page(
        request,
        "pages/office/parts/parts.html",
        context,
        partial="partials/office/parts/parts.html",
        headers=PRIVATE,
    )


@router.post("/{kind}/{slug}/retire")
def retire_one(
    kind: str,
    slug: str,
    *,
    person: Builder,
    at: Now,
    session: WritingSession,
    replaced_by: Annotated[str, Form()] = "",
    instead_of: Annotated[int, Form()] = 0,
) -> RedirectResponse:
    """Take a part out of what is offered, with or without another in its place."""
    row, address = part_row(session, kind, slug), f"/office/parts/{kind}/{slug}"
    if instead_of:
        throw_away(session, instead_of)
    made = propose(
        session,
        lambda: retire(session, who=person.name, kind=kind, slug=slug, replaced_by=replaced_by),
        who=person.name,
        at=at,
        title=tr("{name}: retired", name=row.name),
        address=address,
    )
    return RedirectResponse(next_page(made, address), 303)


@router.post("/{kind}/{slug}/restore")
def restore(
    kind: str, slug: str, *, person: Builder, at: Now, session: WritingSession
) -> RedirectResponse:
    """Offer a retired part again."""
    row, address = part_row(session, kind, slug), f"/office/parts/{kind}/{slug}"
    made = propose(
        session,
        lambda: restore_part(session, who=person.name, kind=kind, slug=slug),
        who=person.name,
        at=at,
        title=tr("{name}: offered again", name=row.name),
        address=address,
    )
    return RedirectResponse(next_page(made, address), 303)
