"""The form of one's own shop: its fields from the settings, and the settings from its fields."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import available_timezones

from sqlalchemy import func, update
from sqlmodel import Session, col, select

from webapp.accounts.people import tidy_mail
from webapp.accounts.tables import Account
from webapp.catalogue.marks.kept import keep_mark
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.catalogue.schema.shop import ShopSettings
from webapp.catalogue.starting import FIRST_MAIL
from webapp.catalogue.tables import PriceList
from webapp.catalogue.writing.parts import put_price_list
from webapp.catalogue.writing.shop import put_settings
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.countries import (
    countries,
    number_example,
    number_styles,
    usual_in,
)
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.money import EXPONENTS
from webapp.common.web.choices import Option
from webapp.office.forms.typed_numbers import read_number

USUAL_ACCENT = "#a2360f"
NO_TAX, INCLUDED, ADDED = "none", "included", "added"

_LETTERHEAD = ("name", "lines", "country", "email", "telephone", "web", "tax_number")
FIELDS = (
    *(f"letterhead.{name}" for name in _LETTERHEAD),
    "currency", "tax", "tax_name", "tax_percent", "units", "paper", "time_zone", "number_style",
    "look.accent", "embed_sites",
)  # fmt: skip
"""Names of the form's fields, as refusals of the settings call them."""


@dataclass(frozen=True, kw_only=True)
class ShopChoices:
    """What the form's lists offer."""

    countries: tuple[Option, ...]
    currencies: tuple[Option, ...]
    taxes: tuple[Option, ...]
    units: tuple[Option, ...]
    papers: tuple[Option, ...]
    time_zones: tuple[Option, ...]
    number_styles: tuple[Option, ...]


def choices() -> ShopChoices:
    """Everything to choose from."""
    return ShopChoices(
        countries=(Option(value="", label=tr("not chosen")), *_pairs(countries())),
        currencies=_pairs((code, code) for code in EXPONENTS),
        taxes=(
            Option(value=NO_TAX, label=tr("no tax is charged")),
            Option(value=INCLUDED, label=tr("prices include the tax")),
            Option(value=ADDED, label=tr("the tax is added to the prices")),
        ),
        units=(
            Option(value="metric", label=tr("metric (mm, kg)")),
            Option(value="imperial", label=tr("imperial (inches, pounds)")),
        ),
        papers=_pairs((each, each) for each in ("A4", "Letter")),
        time_zones=_pairs((each, each.replace("_", " ")) for each in sorted(available_timezones())),
        number_styles=_pairs(number_styles()),
    )


def _pairs(pairs: Any) -> tuple[Option, ...]:
    return tuple(Option(value=value, label=label) for value, label in pairs)


def texts_now(session: Session) -> dict[str, str]:
    """The form with the shop's present settings: empty where nothing was set yet."""
    data = settings_data(session)
    head, listed = data.letterhead, first_price_list(session)
    tax = INCLUDED if listed is None or listed.tax_included else ADDED
    texts = {f"letterhead.{name}": str(getattr(head, name)) for name in _LETTERHEAD}
    texts |= {
        "letterhead.name": "" if head.name == PROGRAM else head.name,
        "letterhead.email": "" if head.email == FIRST_MAIL else head.email,
        "letterhead.lines": "\n".join(head.lines),
        "currency": listed.currency if listed else "EUR",
        "tax": tax if data.tax_percent else NO_TAX,
        "tax_name": data.tax_name,
        "tax_percent": in_own_signs(f"{data.tax_percent.normalize():f}"),
        "units": data.units,
        "paper": data.paper,
        "time_zone": data.time_zone,
        "number_style": like_style(data.number_style),
        "look.accent": data.look.accent or USUAL_ACCENT,
        "embed_sites": "\n".join(data.embed_sites),
    }
    return texts


def like_style(code: str) -> str:
    """The one of the styles offered that writes numbers as a locale does."""
    wanted = number_example(code) if code else ""
    return next((style for style, example in number_styles() if example == wanted), "en")


def with_usual(texts: Mapping[str, str]) -> dict[str, str]:
    """The form as typed, with what is usual in the country chosen."""
    usual = usual_in(texts.get("letterhead.country", ""))
    proposed = {
        "currency": usual.currency or texts.get("currency", ""),
        "time_zone": usual.time_zone,
        "number_style": like_style(usual.number_style),
        "units": usual.units,
        "paper": usual.paper,
    }
    return {**texts, **proposed}


def first_price_list(session: Session) -> PriceList | None:
    """The oldest price list, which the shop began with."""
    return session.exec(select(PriceList).order_by(col(PriceList.id)).limit(1)).first()


def keep_shop(
    session: Session, *, who: str, texts: Mapping[str, str], mark: bytes, on: date
) -> None:
    """Keep the shop as typed; a shop without a price list gets its first one.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    texts : mapping of field to text
        As typed, by the names of `FIELDS`; ``no_mark`` takes the mark away.
    mark : bytes
        A mark just uploaded; empty to leave it as it is.
    on : date
        From when the first price list counts.

    Raises
    ------
    Invalid
        For texts or a mark that cannot be used, all at once.
    """
    before = settings_data(session)
    gathering = Gathering()
    own = own_settings(before, texts)
    if mark:
        gathering.take(lambda: own["look"].update(mark=keep_mark(session, mark)))
    gathering.take(lambda: _own_name(texts))
    gathering.take(lambda: put_settings(session, who=who, data=own))
    gathering.take(lambda: _keep_price_list(session, who, texts, on))
    gathering.finish()
    _move_first_account(session, before.letterhead.email, texts.get("letterhead.email", ""))


def _own_name(texts: Mapping[str, str]) -> None:
    name = texts.get("letterhead.name", "").strip()
    if name.casefold() == PROGRAM.casefold():
        remedy = tr("your own firm’s name; this is what the program is called")
        raise Invalid("settings.letterhead.name", name, remedy)


def own_settings(before: ShopSettings, texts: Mapping[str, str]) -> dict[str, Any]:
    """The shop's settings with the form as typed, not checked yet."""
    head: dict[str, Any] = {
        name: texts.get(f"letterhead.{name}", "").strip() for name in _LETTERHEAD
    }
    head["lines"] = _lines(head["lines"])
    accent = texts.get("look.accent", "").strip().lower()
    look = {
        "mark": "" if texts.get("no_mark") == "yes" else before.look.mark,
        "accent": "" if accent == USUAL_ACCENT else accent,
    }
    untaxed = texts.get("tax", NO_TAX) == NO_TAX
    percent = read_number(texts.get("tax_percent", "").strip())
    own = {
        "letterhead": head,
        "look": look,
        "tax_name": tr("Tax") if untaxed else texts.get("tax_name", "").strip(),
        "tax_percent": "0" if untaxed else str(percent),
        **{name: texts.get(name, "").strip() for name in ("units", "paper", "time_zone")},
        "number_style": texts.get("number_style", "").strip(),
        "embed_sites": _lines(texts.get("embed_sites", "")),
    }
    return before.model_dump(mode="json") | own


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _keep_price_list(session: Session, who: str, texts: Mapping[str, str], on: date) -> None:
    listed = first_price_list(session)
    included = texts.get("tax", NO_TAX) != ADDED
    if listed is None:
        put_price_list(
            session,
            who=who,
            slug=f"prices-{on.year}",
            name=tr("Prices {year}", year=on.year),
            currency=texts.get("currency", ""),
            valid_from=on,
            tax_included=included,
        )


def _move_first_account(session: Session, before: str, mail: str) -> None:
    """The first account signs in with the shop's own address from now on, unless that is taken."""
    wanted = tidy_mail(mail)
    taken = session.exec(select(Account.id).where(func.lower(Account.mail) == wanted)).first()
    if before == FIRST_MAIL and taken is None:
        session.execute(update(Account).where(col(Account.mail) == FIRST_MAIL).values(mail=wanted))
