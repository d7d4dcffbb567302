"""The shop's own page: setting the shop up, removing the demo with it, and changing it later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.catalogue.schema.shop import ShopSettings
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import ShopSetting
from webapp.common.errors import Conflict, DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS
from webapp.common.timestamps import day_of
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, GivenFile, Texts, refusal
from webapp.office.own_shop.demo_out import DemoStanding, demo_standing, take_out
from webapp.office.own_shop.form import (
    ADDED,
    NO_TAX,
    ShopChoices,
    choices,
    first_price_list,
    keep_shop,
    own_settings,
    texts_now,
    with_usual,
)
from webapp.office.save import one_save
from webapp.office.settings.preview import ModelShift, SettingsPreview, settings_preview
from webapp.office.settings.shared_pages import PreviewPart, part

AT = "settings"
router = APIRouter(prefix="/office/shop", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class OwnShopPage:
    """One's own shop: ``texts`` and ``at_field`` by the form's names; ``demo`` while it is here.

    ``quotes_too`` and ``own_too`` are the ticked consents to lose what is the shop's own;
    ``tax_decided`` says that the price list has settled how tax is charged.
    """

    person: Person
    title: str
    lead: str
    demo: DemoStanding | None
    texts: dict[str, str]
    choices: ShopChoices
    mark: str
    quotes_too: bool
    own_too: bool
    has_prices: bool
    tax_decided: bool
    mail_hint: str
    button: str
    at_field: dict[str, str]
    errors: tuple[tuple[str, str], ...]
    edit: EditForm
    preview: SettingsPreview | None
    problem: str
    shifts: tuple[ModelShift, ...] = ()

    @property
    def own_mark(self) -> str:
        """The shop's mark; none while it is the demo's."""
        return "" if self.demo else self.mark


@router.get("")
def own_shop(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """The form: empty while the demo is loaded, since its shop is not the builder's."""
    return _answer(request, person, session, at)


@router.post("/preview")
def preview(
    *, request: Request, _person: Builder, at: Now, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """How a quote would be headed and summed up with the shop as typed."""
    found, problem = _previewed(session, texts, at)
    return part(request, PreviewPart(preview=found, problem=problem))


@router.post("")
def keep(
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
    file: GivenFile,
) -> Response:
    """Take the demo out if it is here, and keep the shop as typed: all of it or nothing."""
    if texts.get("do") == "usual":
        with reading(engine) as session:
            return _answer(request, person, session, at, texts=with_usual(texts))
    merged: Merged | None = None
    try:
        with writing(engine) as session:
            session.get(ShopSetting, 1, with_for_update=True)
            merged = merged_if_changed(texts, _now(session, at))
            if merged is None:
                _begin(session, person.name, texts, file[1], day_of(at))
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            return _answer(request, person, session, at, texts=texts, error=error)
    if merged is None:
        return RedirectResponse("/office", 303)
    with reading(engine) as session:
        return _answer(request, person, session, at, merged=merged)


def _begin(session: Session, who: str, texts: dict[str, str], mark: bytes, on: date) -> None:
    """The demo goes, if it is here, and the shop is kept as typed."""
    if demo_standing(session, on=on) is not None:
        agreed = {name: texts.get(name) == "yes" for name in ("quotes_too", "own_too")}
        take_out(session, who=who, on=on, **agreed)
    with one_save(session):
        keep_shop(session, who=who, texts=texts, mark=mark, on=on)


def _now(session: Session, at: Now) -> dict[str, str]:
    """The form as it is opened; beside the demo, without the demo's own letterhead."""
    now = texts_now(session)
    if demo_standing(session, on=day_of(at)) is not None:
        now |= {name: "" for name in now if name.startswith("letterhead.")}
    return now


def _previewed(
    session: Session, texts: Mapping[str, str], at: Now
) -> tuple[SettingsPreview | None, str]:
    try:
        own = checked(ShopSettings, own_settings(settings_data(session), texts), at=AT)
    except Invalid as error:
        return None, str(error.remedy)
    currency, added = texts.get("currency", ""), texts.get("tax") == ADDED
    if currency not in EXPONENTS:
        return None, tr("choose a currency")
    today = day_of(at)
    return settings_preview(own, currency=currency, tax_included=not added, today=today), ""


def _answer(
    request: Request,
    person: Person,
    session: Session,
    at: Now,
    *,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    demo, data = demo_standing(session, on=day_of(at)), settings_data(session)
    begun = demo is None and data.letterhead.name != PROGRAM
    now, told = _now(session, at), refusal(error, AT, merged=merged)
    shown = {**now, **((merged.fields if merged else texts) or {})}
    found, problem = _previewed(session, shown, at) if begun or texts else (None, "")
    has_prices = demo is None and first_price_list(session) is not None
    context = OwnShopPage(
        person=person,
        title=tr("Your shop") if begun else tr("Begin your own shop"),
        lead=tr("What every page, sheet and mail shows. Quotes already made stay as they are.")
        if begun
        else tr("Who you are and how you count. Everything here can be changed later."),
        demo=demo,
        texts=shown,
        choices=choices(),
        mark=data.look.mark,
        quotes_too=shown.get("quotes_too") == "yes",
        own_too=shown.get("own_too") == "yes",
        has_prices=has_prices,
        tax_decided=has_prices and shown["tax"] != NO_TAX,
        mail_hint=_mail_hint(begins=demo is None and not begun),
        button=_button(demo, begun=begun),
        at_field=told.at_field,
        errors=told.errors,
        edit=edit_form(now, texts, merged),
        preview=found,
        problem=problem,
    )
    template = "pages/office/own_shop/shop.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)


def _mail_hint(*, begins: bool) -> str:
    if begins:
        return tr("Customers write to it; you sign in with it.")
    return tr("Customers write to it.")


def _button(demo: DemoStanding | None, *, begun: bool) -> str:
    if demo is not None:
        return tr("Remove the demo and begin")
    return tr("Save it") if begun else tr("Begin")
