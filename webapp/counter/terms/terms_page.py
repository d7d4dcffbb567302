"""The form of everything agreed with a customer, and both changes of it to be merged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from webapp.accounts.people import Person
from webapp.builds.fitting.calculations.lead_time import weeks_in_words
from webapp.catalogue.schema.shop import ShopSettings
from webapp.common.errors import DomainError, Problem
from webapp.common.security.tokens import new_key
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.sentences import capitalized
from webapp.common.two_edits import Clash
from webapp.common.web.choices import Option
from webapp.counter.builds import BUILDS, builds_of
from webapp.counter.changing import Collision, fields_to_change
from webapp.counter.lists import address_of
from webapp.counter.terms.field_labels import LABELS, label_of, labelled
from webapp.counter.terms.preview import TermsPreview, terms_preview
from webapp.quote.agreed_terms.deal import ADDED_LINES, AMOUNT, COUNT, OFF, REASON, TAX
from webapp.quote.freezing.bikes import extra_weeks_of, place_of
from webapp.quote.freezing.pricing import basis_of
from webapp.quote.storage.read import QuoteView


@dataclass(frozen=True, kw_only=True)
class DiscountRow:
    """One line of the build list with its discount."""

    name: str
    place: str
    item: str
    price: str
    value: str
    reason: str
    error: str


@dataclass(frozen=True, kw_only=True)
class AddedField:
    """One field of such a line, and what is wrong with it."""

    name: str
    value: str
    error: str


@dataclass(frozen=True, kw_only=True)
class AddedRow:
    """One line of work or parts that are not in the catalogue."""

    words: AddedField
    amount: AddedField
    count: AddedField
    tax: AddedField

    @property
    def wrong(self) -> tuple[AddedField, ...]:
        """Its fields that were refused."""
        fields = (self.words, self.amount, self.count, self.tax)
        return tuple(field for field in fields if field.error)


@dataclass(frozen=True, kw_only=True)
class TermsPage:
    """The form of a quote's terms; ``clashes`` and ``said`` when two people changed them."""

    person: Person
    number: str
    action: str
    back: str
    version: int
    key: str
    values: dict[str, str]
    builds: tuple[tuple[str, str], ...]
    build_changed: bool
    rows: tuple[DiscountRow, ...]
    open_rows: bool
    added: tuple[AddedRow, ...]
    open_added: bool
    places: tuple[Option, ...]
    currency: str
    list_words: str
    list_tax: str
    list_percent: str
    usual_days: int
    usual_until: str
    usual_lead_time: str
    usual_deposit: str
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    preview: TermsPreview
    clashes: tuple[Clash, ...]
    said: tuple[str, ...]
    said_by: str


def terms_page(
    view: QuoteView,
    shop: ShopSettings,
    person: Person,
    *,
    today: date,
    typed: Mapping[str, str] | None = None,
    preview: TermsPreview | None = None,
    error: DomainError | None = None,
    collision: Collision | None = None,
) -> TermsPage:
    """The form of a version's terms.

    Parameters
    ----------
    view : QuoteView
        The current version.
    shop : ShopSettings
        What holds where nothing is agreed.
    person : Person
    today : date
    typed : mapping of str to str, optional
        The texts of the form in place of what the version says.
    preview : TermsPreview, optional
        What would come of it; of the version as it is when not given.
    error : DomainError, optional
    collision : Collision, optional
        Both changes, when somebody else was faster.

    Returns
    -------
    TermsPage
    """
    values = fields_to_change(view, on=today) | dict(typed or {})
    if collision:
        values = collision.merged.fields
    problems = error.problems if error else ()
    field_errors = {p.field: _remedy_sentence(p) for p in problems}
    rows = _rows(view, values, field_errors)
    added = _added(values, field_errors)
    basis = basis_of(view.content)
    tax = tr("with tax") if basis.tax_included else tr("without tax")
    return TermsPage(
        person=person,
        number=view.number,
        action=f"{address_of(view.number)}/terms",
        back=address_of(view.number),
        version=view.version,
        key=new_key(),
        values={name: values.get(name, "") for name in LABELS},
        builds=tuple((name, values[name]) for name in BUILDS),
        build_changed=any(values[name] != build for name, build in builds_of(view).items()),
        rows=rows,
        open_rows=any(row.value or row.reason or row.error for row in rows),
        added=added,
        open_added=any(row.words.value or row.amount.value or row.wrong for row in added),
        places=(
            Option(
                value="",
                label=tr(
                    "At home, {tax_name} {tax_percent} %",
                    tax_name=basis.tax_name,
                    tax_percent=basis.tax_percent,
                ),
            ),
            *(
                Option(value=p.slug, label=f"{p.name}, {p.tax_name} {p.tax_percent:f} %")
                for p in shop.destinations
            ),
        ),
        currency=basis.currency,
        list_words=f"“{basis.price_list}”, {tax}",
        list_tax=tax,
        list_percent=basis.tax_percent,
        usual_days=shop.quote_valid_days,
        usual_until=day_in_words(view.content.valid_until),
        usual_lead_time=weeks_in_words(shop.lead_time_weeks + extra_weeks_of(view.content)),
        usual_deposit=basis.deposit_percent,
        errors=tuple((p.field, labelled(p)) for p in problems),
        field_errors=field_errors,
        preview=preview or terms_preview(view, view),
        clashes=tuple(map(_labelled_clash, collision.merged.clashes)) if collision else (),
        said=collision.said if collision else (),
        said_by=collision.theirs.created_by if collision else "",
    )


def _rows(
    view: QuoteView, values: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[DiscountRow, ...]:
    basis = basis_of(view.content)
    return tuple(
        DiscountRow(
            name=f"{OFF}{line.key}",
            place=place_of(line.key, line.place),
            item=line.item,
            price=Money(line.minor, basis.currency).format(),
            value=values.get(f"{OFF}{line.key}", ""),
            reason=values.get(f"{OFF}{line.key}{REASON}", ""),
            error=errors.get(f"{OFF}{line.key}", "") or errors.get(f"{OFF}{line.key}{REASON}", ""),
        )
        for line in basis.lines
    )


def _added(values: Mapping[str, str], errors: Mapping[str, str]) -> tuple[AddedRow, ...]:
    def field(name: str) -> AddedField:
        return AddedField(name=name, value=values.get(name, ""), error=errors.get(name, ""))

    return tuple(
        AddedRow(
            words=field(name),
            amount=field(name + AMOUNT),
            count=field(name + COUNT),
            tax=field(name + TAX),
        )
        for name in ADDED_LINES
    )


def _labelled_clash(clash: Clash) -> Clash:
    return replace(clash, label=label_of(clash.name))


def _remedy_sentence(problem: Problem) -> str:
    return capitalized(problem.remedy)
