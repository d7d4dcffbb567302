"""Price lists: their days, and the prices in them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session, select

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import price_list_row
from webapp.catalogue.reading.prices import FRAMES
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import PriceList
from webapp.common.errors import Conflict, DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS
from webapp.common.text.slugs import slug_of
from webapp.common.timestamps import day_of
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.choices import Link, Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Refusal, Texts, refusal
from webapp.office.part_changes.drafts import Proposal, next_page, propose
from webapp.office.parts.pages import label_of_kind
from webapp.office.prices.price_lists import (
    ListForm,
    ListView,
    price_lines,
    price_list,
    price_lists,
    save_list,
    save_prices,
)
from webapp.office.prices.scope_choices import ScopeChoices, scope_choices

router = APIRouter(prefix="/office/prices", include_in_schema=False)

Kind = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True, kw_only=True)
class PriceListsPage:
    """Every price list, and the form for a new one."""

    person: Person
    lists: tuple[ListView, ...]
    form: ListForm
    currencies: tuple[Option, ...]
    scopes: ScopeChoices
    sources: tuple[Option, ...]
    copied: str
    field_errors: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class ShownPrice:
    """The fields of one thing: its price, and what it costs the shop."""

    name: str
    label: str
    value: str
    error: str
    faded: bool
    cost_name: str
    cost: str
    cost_error: str
    margin: str

    @property
    def shown(self) -> str:
        """What it is the price of, and whether that is retired."""
        return tr("{part}, retired", part=self.label) if self.faded else self.label


@dataclass(frozen=True, kw_only=True)
class PriceListPage:
    """One price list: its own data, and the prices of one kind of thing."""

    person: Person
    listed: ListView
    form: ListForm
    currencies: tuple[Option, ...]
    scopes: ScopeChoices
    kinds: tuple[Link, ...]
    kind: str
    prices: tuple[ShownPrice, ...]
    edit: EditForm
    field_errors: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("")
def lists(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """Every price list."""
    empty = ListForm(
        slug="", name="", currency="EUR", valid_from="", valid_to="", tax_included=True
    )
    return _lists(request, person, session, empty, at=at)


@router.post("")
def add(
    *, request: Request, person: Builder, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Begin a price list, with or without the prices of another."""
    form = _form(texts, "")
    try:
        with writing(engine) as session:
            form = replace(form, slug=_new_slug(session, form.name))
            save_list(session, who=person.name, form=form, copied=texts.get("copied", ""))
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            return _lists(request, person, session, form, at=at, texts=texts, error=error)
    return RedirectResponse(f"/office/prices/{form.slug}", 303)


def _new_slug(session: Session, name: str) -> str:
    rows = session.exec(select(PriceList)).all()
    if name.strip().casefold() in {row.name.casefold() for row in rows}:
        raise Conflict("name", name, tr("a name that no other price list has"))
    return slug_of(name, taken={row.slug for row in rows}, otherwise="prices")


@router.get("/{slug}")
def prices(
    slug: str,
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
    *,
    kind: Kind = FRAMES,
) -> HTMLResponse:
    """One list's prices of one kind."""
    return _list(request, person, session, slug, kind=kind, at=at)


@router.post("/{slug}")
def change(
    slug: str,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Keep the list's own data."""
    try:
        with writing(engine) as session:
            price_list_row(session, slug)
            save_list(session, who=person.name, form=_form(texts, slug))
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            return _list(
                request, person, session, slug, kind=FRAMES, at=at, texts=texts, error=error
            )
    return RedirectResponse(f"/office/prices/{slug}", 303)


@router.post("/{slug}/amounts")
def amounts(
    slug: str,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
    kind: Kind = FRAMES,
) -> Response:
    """Keep prices, unless somebody else has changed them since the form was opened."""
    merged: Merged | None = None
    made: Proposal | None = None
    try:
        with writing(engine) as session:
            listed = price_list_row(session, slug)
            session.refresh(listed, with_for_update=True)
            now = _amounts(session, slug, kind)
            merged = merged_if_changed(texts, now)
            if merged is None:
                made = propose(
                    session,
                    lambda: save_prices(
                        session, who=person.name, slug=slug, kind=kind, texts=texts
                    ),
                    who=person.name,
                    at=at,
                    title=tr("Prices of {name}", name=listed.name),
                    address=f"/office/prices/{slug}?kind={kind}",
                )
    except Invalid as error:
        with reading(engine) as session:
            return _list(request, person, session, slug, kind=kind, at=at, texts=texts, error=error)
    if merged is None:
        return RedirectResponse(next_page(made, f"/office/prices/{slug}?kind={kind}"), 303)
    with reading(engine) as session:
        return _list(request, person, session, slug, kind=kind, at=at, merged=merged)


def _form(texts: dict[str, str], slug: str) -> ListForm:
    return ListForm(
        slug=slug,
        name=texts.get("name", ""),
        currency=texts.get("currency", ""),
        valid_from=texts.get("valid_from", ""),
        valid_to=texts.get("valid_to", ""),
        tax_included=texts.get("tax_included") == "yes",
        customer_group=texts.get("customer_group", ""),
        region=texts.get("region", ""),
    )


def _amounts(session: Session, slug: str, kind: str) -> dict[str, str]:
    lines = price_lines(session, slug, kind)
    return {line.field: line.amount for line in lines} | {
        line.cost_field: line.cost for line in lines
    }


def _currencies() -> tuple[Option, ...]:
    return tuple(Option(value=code, label=code) for code in EXPONENTS)


def _short(told: Refusal) -> dict[str, str]:
    """Problems by the last segment of their field too, which is its name in the form."""
    found = told.at_field
    return found | {name.rpartition(".")[2]: words for name, words in found.items()}


def _lists(
    request: Request,
    person: Person,
    session: Session,
    form: ListForm,
    *,
    at: Now,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    found, told = price_lists(session, today=day_of(at)), refusal(error, form.slug.strip())
    context = PriceListsPage(
        person=person,
        lists=found,
        sources=(
            Option(value="", label=tr("none")),
            *(Option(value=each.slug, label=each.name) for each in found),
        ),
        form=form,
        currencies=_currencies(),
        scopes=scope_choices(session),
        copied=(texts or {}).get("copied", ""),
        field_errors=_short(told),
        errors=told.errors,
    )
    template = "pages/office/prices/prices.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)


def _list(
    request: Request,
    person: Person,
    session: Session,
    slug: str,
    *,
    kind: str,
    at: Now,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    listed = price_list(session, slug, today=day_of(at))
    now = _amounts(session, slug, kind)
    told = refusal(error, slug, merged=merged)
    errors = _short(told)
    typed = merged.fields if merged else texts or {}
    own = "name" in (texts or {})
    context = PriceListPage(
        person=person,
        listed=listed,
        form=_form(texts or {}, slug) if own else _kept(listed),
        currencies=_currencies(),
        scopes=scope_choices(session),
        kinds=(
            _kind_link(slug, FRAMES, tr("Frames"), present=kind == FRAMES),
            *(_kind_link(slug, k, label_of_kind(k), present=k == kind) for k in PART_KINDS),
        ),
        kind=kind,
        prices=tuple(
            ShownPrice(
                name=line.field,
                label=line.label,
                value=typed.get(line.field, line.amount),
                error=errors.get(line.field, ""),
                faded=line.faded,
                cost_name=line.cost_field,
                cost=typed.get(line.cost_field, line.cost),
                cost_error=errors.get(line.cost_field, ""),
                margin=line.margin,
            )
            for line in price_lines(session, slug, kind)
        ),
        edit=edit_form(now, texts, merged),
        field_errors=errors,
        errors=told.errors,
    )
    template = "pages/office/prices/price_list.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)


def _kept(listed: ListView) -> ListForm:
    return ListForm(
        slug=listed.slug,
        name=listed.name,
        currency=listed.currency,
        valid_from=listed.valid_from.isoformat(),
        valid_to=listed.valid_to.isoformat() if listed.valid_to else "",
        tax_included=listed.tax_included,
        customer_group=listed.customer_group,
        region=listed.region,
    )


def _kind_link(slug: str, kind: str, label: str, *, present: bool) -> Link:
    return Link(label=label, address=f"/office/prices/{slug}?kind={kind}", present=present)
