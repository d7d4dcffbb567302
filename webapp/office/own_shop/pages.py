"""The shop's own page: begun here, the demo taken out with it, and changed later."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.common.errors import Conflict, DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, GivenFile, Texts, field_errors, summary
from webapp.office.own_shop.demo_out import DemoStanding, demo_standing, take_out
from webapp.office.own_shop.form import (
    NO_TAX,
    ShopChoices,
    choices,
    first_price_list,
    keep_shop,
    texts_now,
    with_usual,
)
from webapp.office.save import one_save

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

    @property
    def own_mark(self) -> str:
        """The shop's mark; none while it is the demo's."""
        return "" if self.demo else self.mark


@router.get("")
def own_shop(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """The form: empty beside the demo, for there the shop is somebody else's."""
    return _answer(request, person, session, at)


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
    try:
        with writing(engine) as session:
            if demo_standing(session, on=day_of(at)) is not None:
                take_out(
                    session,
                    who=person.name,
                    on=day_of(at),
                    quotes_too=texts.get("quotes_too") == "yes",
                    own_too=texts.get("own_too") == "yes",
                )
            with one_save(session):
                keep_shop(session, who=person.name, texts=texts, mark=file[1], on=day_of(at))
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            return _answer(request, person, session, at, texts=texts, error=error)
    return RedirectResponse("/office", 303)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    at: Now,
    *,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    demo, data = demo_standing(session, on=day_of(at)), settings_data(session)
    begun = demo is None and data.letterhead.name != PROGRAM
    now = texts_now(session)
    if demo is not None:
        now |= {name: "" for name in now if name.startswith("letterhead.")}
    shown = {**now, **(texts or {})}
    has_prices = demo is None and first_price_list(session) is not None
    context = OwnShopPage(
        person=person,
        title=tr("Your shop") if begun else tr("Begin your own shop"),
        lead=tr("What stands on every page, sheet and mail. Quotes already made keep theirs.")
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
        at_field=field_errors(error.problems, "settings") if error else {},
        errors=summary(error, "settings"),
    )
    status = error.status if error else 200
    return page(request, "pages/office/own_shop/shop.html", context, status=status, headers=PRIVATE)


def _mail_hint(*, begins: bool) -> str:
    if begins:
        return tr("Customers write to it; you sign in with it.")
    return tr("Customers write to it.")


def _button(demo: DemoStanding | None, *, begun: bool) -> str:
    if demo is not None:
        return tr("Take the demo out and begin")
    return tr("Keep it") if begun else tr("Begin")
