"""What settings would change before they are saved: a quote's words and sums, riders' sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from types import MappingProxyType

from sqlmodel import Session

from webapp.builds.fitting.calculations.lead_time import weeks_in_words
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.catalogue.schema.validation import checked
from webapp.common.errors import DomainError
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.money import Money
from webapp.fit.advice import fit
from webapp.fit.fit_check import style_check
from webapp.office.forms.data_form import raw_of
from webapp.rider.rider_input import Rider

STATURES = (1550.0, 1650.0, 1750.0, 1850.0, 1950.0)
"""Riders a change of posture windows is tried on [mm]."""

EXAMPLE = 200_000
"""Minor units of the bike whose sums are shown."""


@dataclass(frozen=True, kw_only=True)
class SettingsPreview:
    """How a quote made today would be headed, summed up and closed.

    ``sums`` are pairs of a label and an amount, for a bike of `EXAMPLE`.
    """

    name: str
    lines: tuple[str, ...]
    contact: tuple[str, ...]
    sums: tuple[tuple[str, str], ...]
    valid_until: str
    lead_time: str
    cautions: tuple[str, ...]
    terms: tuple[str, ...]
    fit_notice: str


def settings_preview(
    data: ShopSettings, *, currency: str, tax_included: bool, today: date
) -> SettingsPreview:
    """The words and sums of a quote under some settings."""
    head = data.letterhead
    return SettingsPreview(
        name=head.name,
        lines=head.lines,
        contact=tuple(text for text in (head.email, head.telephone, head.web) if text),
        sums=_sums(data, currency, tax_included=tax_included),
        valid_until=day_in_words(today + timedelta(days=data.quote_valid_days)),
        lead_time=weeks_in_words(data.lead_time_weeks),
        cautions=data.cautions,
        terms=data.terms,
        fit_notice=data.fit_notice,
    )


def _sums(data: ShopSettings, currency: str, *, tax_included: bool) -> tuple[tuple[str, str], ...]:
    rate, price = Fraction(data.tax_percent) / 100, Money(EXAMPLE, currency)
    tax = price.share(rate / (1 + rate)) if tax_included else price.share(rate)
    gross = price if tax_included else price + tax
    deposit = gross.share(Fraction(data.deposit_percent) / 100)
    taxed = (
        (tr("Without tax"), (gross - tax).format()),
        (f"{data.tax_name}, {in_own_signs(str(data.tax_percent))} %", tax.format()),
    )
    words = tr("Deposit, {deposit_percent:g} %", deposit_percent=data.deposit_percent)
    return (
        *(taxed if rate else ()),
        (tr("To pay"), gross.format()),
        (words, deposit.format()),
    )


@dataclass(frozen=True, kw_only=True)
class SizeShift:
    """The size one rider would be advised, with the windows as saved and as typed."""

    stature: float
    before: str
    after: str

    @property
    def changed(self) -> bool:
        """Whether the rider would be advised another size."""
        return self.before != self.after


@dataclass(frozen=True, kw_only=True)
class ModelShift:
    """What a change of windows does to the sizes of one model.

    ``kept`` and ``typed`` are the fit check's sentences, as before publishing.
    """

    model: str
    shifts: tuple[SizeShift, ...]
    kept: str
    typed: str


def style_preview(session: Session, slug: str, texts: Mapping[str, str]) -> tuple[ModelShift, ...]:
    """Which sizes some riders would be advised with a style's windows as typed.

    Parameters
    ----------
    session : Session
        A reading session.
    slug : str
        The style.
    texts : mapping of path to text
        Its form.

    Raises
    ------
    Invalid
        For texts that cannot be used.
    """
    windows = checked(PostureWindows, raw_of(PostureWindows, texts), at=slug)
    found = []
    for model in list_models(session):
        now = load_catalogue(session, model.slug)
        then = replace(now, styles=_with((*now.styles, *now.former_styles), slug, windows))
        shifts = tuple(
            SizeShift(
                stature=s,
                before=_suggested_sizes(now, slug, s),
                after=_suggested_sizes(then, slug, s),
            )
            for s in STATURES
        )
        kept, typed = (style_check(each, each.style(slug)) for each in (now, then))
        found.append(ModelShift(model=model.name, shifts=shifts, kept=kept, typed=typed))
    return tuple(found)


def _with(
    styles: tuple[StyleView, ...], slug: str, windows: PostureWindows
) -> tuple[StyleView, ...]:
    return tuple(replace(s, windows=windows) if s.slug == slug else s for s in styles)


def _suggested_sizes(catalogue: Catalogue, style: str, stature: float) -> str:
    try:
        answer = fit(catalogue, Rider(stature=stature, stature_by="wall", style=style))
    except DomainError as error:
        return str(error.remedy)
    names = MappingProxyType({size.slug: size.name for size in catalogue.sizes})
    return " or ".join(names[one.slug] for one in answer.leading) or "none"
