"""One part's form: empty, as it is, or as a draft would make it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import one, part_row
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import Part
from webapp.common.errors import Conflict, DomainError, Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.typed_numbers import read_amount
from webapp.common.timestamps import day_of
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.data_form import form_of, texts_of
from webapp.office.forms.field import DataGroup
from webapp.office.forms.standards import standard_lists
from webapp.office.forms.standards_typed import with_added, with_ticked
from webapp.office.forms.submitted import (
    PRIVATE,
    Texts,
    refusal,
    with_unticked,
)
from webapp.office.forms.typed_money import margin_words, read_cost
from webapp.office.part_changes.drafts import Proposal, next_page, propose, throw_away
from webapp.office.parts.editing import (
    PartContent,
    list_parts,
    new_slug,
    offers_of,
    read_part,
    save_part,
)
from webapp.office.parts.pages import label_of_kind
from webapp.office.parts.reopened import as_drafted

router = APIRouter(prefix="/office/parts", include_in_schema=False)

Draft = Annotated[int, Query(ge=0, le=2**31)]


@dataclass(frozen=True, kw_only=True)
class OfferFields:
    """What the form says of one model, as typed."""

    model: str
    name: str
    offered: bool
    usual: bool
    position: str


@dataclass(frozen=True, kw_only=True)
class PartPage:
    """One part's form."""

    person: Person
    kind: str
    label: str
    slug: str
    name: str
    title: str
    heading: str
    button: str
    new: bool
    retired: bool
    replaced_by: str
    others: tuple[Option, ...]
    form: DataGroup
    price: str
    price_error: str
    price_list: str
    cost: str
    cost_hint: str
    cost_error: str
    draft: int
    offers: tuple[OfferFields, ...]
    edit: EditForm
    field_errors: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("/{kind}/new")
def new(
    kind: str,
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
    *,
    like: Annotated[str, Query(max_length=60)] = "",
) -> HTMLResponse:
    """The form for a new part of a kind, empty or with all of another but its name."""
    _known(kind)
    content = _like(read_part(session, kind, like, day=day_of(at))) if like else None
    return _answer(request, person, session, content or _empty(session, kind), at=at)


def _like(content: PartContent) -> PartContent:
    """A new part with the data, price and offers of another; the usual choice stays the other."""
    offers = tuple(replace(offer, usual=False) for offer in content.offers)
    return replace(content, slug="", name="", retired=False, replaced_by="", offers=offers)


@router.get("/{kind}/{slug}")
def part(
    kind: str,
    slug: str,
    *,
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
    draft: Draft = 0,
) -> HTMLResponse:
    """One part's form, as it is or as a draft of it would make it."""
    _known(kind)
    content = _content(session, kind, slug, day_of(at), draft)
    return _answer(request, person, session, content, at=at, draft=draft)


@router.post("/{kind}")
def add(
    kind: str, *, request: Request, person: Builder, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Add a part; its draft, if it was one already, goes."""
    _known(kind)
    slug, texts = "", with_ticked(texts)
    draft = _draft_in(texts)
    try:
        with writing(engine) as session:
            if draft:
                throw_away(session, draft)
            slug = new_slug(session, kind, texts.get("part_name", "").strip())
            own = with_added(session, person.name, PART_KINDS[kind], texts)
            made = _proposed(session, person, kind, slug, own, at=at)
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            empty = _empty(session, kind, slug)
            return _answer(
                request, person, session, empty, at=at, texts=texts, error=error, draft=draft
            )
    return RedirectResponse(next_page(made, f"/office/parts?kind={kind}"), 303)


@router.post("/{kind}/{slug}")
def change(
    kind: str,
    slug: str,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Change a part, unless somebody else has since the form was opened."""
    _known(kind)
    merged: Merged | None = None
    made: Proposal | None = None
    texts = with_ticked(texts)
    draft, day = _draft_in(texts), day_of(at)
    try:
        with writing(engine) as session:
            session.refresh(part_row(session, kind, slug), with_for_update=True)
            own = with_added(session, person.name, PART_KINDS[kind], texts)
            content = _content(session, kind, slug, day, draft)
            now = _texts(content)
            merged = merged_if_changed(own, now, with_unticked(now, own))
            if merged is None:
                if draft:
                    throw_away(session, draft)
                made = _proposed(session, person, kind, slug, own, at=at)
    except Invalid as error:
        with reading(engine) as session:
            content = _content(session, kind, slug, day, draft)
            return _answer(
                request, person, session, content, at=at, texts=texts, error=error, draft=draft
            )
    if merged is None:
        return RedirectResponse(next_page(made, f"/office/parts?kind={kind}"), 303)
    with reading(engine) as session:
        return _answer(request, person, session, content, at=at, merged=merged, draft=draft)


def _draft_in(texts: dict[str, str]) -> int:
    """Number of the draft that the form goes on with; 0 for none."""
    text = texts.get("instead_of", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0  # noqa: PLR2004


def _content(session: Session, kind: str, slug: str, day: date, draft: int) -> PartContent:
    """The part as it is, or as a draft would make it; one that a draft adds is not there yet."""
    added = bool(draft) and one(session, Part, kind=kind, slug=slug) is None
    found = _empty(session, kind, slug) if added else read_part(session, kind, slug, day=day)
    return as_drafted(session, found, draft, day=day) if draft else found


def _proposed(
    session: Session, person: Person, kind: str, slug: str, texts: dict[str, str], *, at: Now
) -> Proposal | None:
    return propose(
        session,
        lambda: save_part(
            session, who=person.name, kind=kind, slug=slug, texts=texts, day=day_of(at)
        ),
        who=person.name,
        at=at,
        title=tr("{name}: changed", name=texts.get("part_name", "").strip()),
        address=f"/office/parts/{kind}/{slug}",
    )


def _known(kind: str) -> None:
    if kind not in PART_KINDS:
        raise NotFound("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))


def _empty(session: Session, kind: str, slug: str = "") -> PartContent:
    return PartContent(
        kind=kind,
        slug=slug,
        name="",
        retired=False,
        replaced_by="",
        data={},
        price="",
        cost="",
        offers=offers_of(session, None),
    )


def _texts(content: PartContent) -> dict[str, str]:
    """Everything the form holds, by its fields' names."""
    own = {"part_name": content.name, "part_price": content.price, "part_cost": content.cost}
    for offer in content.offers:
        own[f"offer:{offer.model}"] = "yes" if offer.offered else "no"
        own[f"usual:{offer.model}"] = "yes" if offer.usual else "no"
        own[f"place:{offer.model}"] = str(offer.position)
    return own | texts_of(PART_KINDS[content.kind], content.data)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    content: PartContent,
    *,
    at: Now,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
    draft: int = 0,
) -> HTMLResponse:
    kind, prefix = content.kind, f"{content.kind}.{content.slug}"
    new_part = not content.name or one(session, Part, kind=kind, slug=content.slug) is None
    now = _texts(content)
    typed = merged.fields if merged else texts
    told = refusal(error, prefix, merged=merged)
    shown = typed if typed is not None else now
    listed = price_list_on(session, day_of(at))
    new_words = tr("New {kind}", kind=label_of_kind(kind).lower())
    context = PartPage(
        person=person,
        kind=kind,
        label=label_of_kind(kind),
        slug=content.slug,
        name=shown.get("part_name", ""),
        title=shown.get("part_name", "") or new_words,
        heading=new_words if new_part else shown.get("part_name", ""),
        button=tr("Add it") if new_part else tr("Save it"),
        new=new_part,
        retired=content.retired,
        replaced_by=content.replaced_by,
        others=() if new_part else _others(session, content, at),
        form=form_of(
            PART_KINDS[kind],
            content.data,
            typed=typed,
            errors=told.at_field,
            standards=standard_lists(session),
        ),
        price=shown.get("part_price", ""),
        price_error=told.at_field.get("part_price", ""),
        price_list=f"{listed.name}, {listed.currency}" if listed else "",
        cost=shown.get("part_cost", ""),
        cost_hint=_cost_hint(session, content, at),
        cost_error=told.at_field.get("part_cost", ""),
        draft=draft,
        offers=_offers(content, shown),
        edit=edit_form(now, texts, merged),
        field_errors=told.at_field,
        errors=told.errors,
    )
    template = "pages/office/parts/part.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)


def _cost_hint(session: Session, content: PartContent, at: Now) -> str:
    """Who sees the cost, and the margin as it is kept."""
    alone, listed = tr("shown to you alone"), price_list_on(session, day_of(at))
    if listed is None or not content.price:
        return alone
    price = read_amount("part_price", content.price, listed.currency)
    cost = read_cost(content.cost, listed.currency, "part_cost")
    tax = settings_data(session).tax_percent if listed.tax_included else Decimal(0)
    margin = margin_words(price, cost, tax_percent=tax) if cost else ""
    return tr("shown to you alone; margin {margin}", margin=margin) if margin else alone


def _others(session: Session, content: PartContent, at: Now) -> tuple[Option, ...]:
    found = list_parts(session, kind=content.kind, day=day_of(at))
    return tuple(
        Option(value=one.slug, label=one.name)
        for one in found
        if not one.retired and one.slug != content.slug
    )


def _offers(content: PartContent, shown: dict[str, str]) -> tuple[OfferFields, ...]:
    return tuple(
        OfferFields(
            model=offer.model,
            name=offer.name,
            offered=shown.get(f"offer:{offer.model}") == "yes",
            usual=shown.get(f"usual:{offer.model}") == "yes",
            position=shown.get(f"place:{offer.model}", ""),
        )
        for offer in content.offers
    )
