"""The page on which a rider asks for a quote."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from urllib.parse import quote

from webapp.builds.choice.build_choice import ReadChoice, query_of
from webapp.builds.choice.field_words import field_label
from webapp.builds.choice.places import scope_words
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.lead_time import lead_weeks, weeks_in_words
from webapp.builds.page.context import PrintedLine, price_lines, price_totals
from webapp.builds.rider.view import shared_address
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid, Problem
from webapp.common.security.tokens import new_key
from webapp.common.text.language import tr
from webapp.pricing.totals import printed_money
from webapp.quote.freezing.assembly_settings import settings_of
from webapp.quote.freezing.content import Setting
from webapp.quote.lifecycle.request import askable, orderable
from webapp.rider.summary import rider_summary

LABELS = {"name": tr("Your name"), "mail": tr("Your mail address"), "note": tr("Your note")}


@dataclass(frozen=True, kw_only=True)
class TypedCustomer:
    """The texts of the form, as typed."""

    name: str = ""
    mail: str = ""
    note: str = ""
    key: str = field(default_factory=new_key)


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """One reason why a build cannot be quoted: field, value, remedy."""

    label: str
    value: str
    remedy: str


def refusal_of(problem: Problem) -> Refusal:
    """A problem of a build in the words of the build page.

    >>> refusal_of(Problem("slot", "99", "between 0 and 20 mm")).label
    'Axle position'
    """
    value = "" if problem.value is None else str(problem.value)
    return Refusal(label=field_label(problem.field), value=value, remedy=problem.remedy)


@dataclass(frozen=True, kw_only=True)
class AskPage:
    """Everything the page's templates know.

    ``refusals`` are reasons why this build cannot be ordered. Where they are checks
    alone, the form is a ``question`` to the shop; otherwise the page holds none, unless
    something had been typed into it. ``trouble``
    is what went wrong without a field to point at.
    """

    model: str
    size: str
    revision: int
    scope_words: str
    action: str
    build_address: str
    refusals: tuple[Refusal, ...]
    trouble: str
    lines: tuple[PrintedLine, ...]
    totals: tuple[PrintedLine, ...]
    total_shown: str
    settings: tuple[Setting, ...]
    lead_time: str
    valid_days: int
    shop: str
    measures: str
    shared_address: str
    without_rider: str
    typed: TypedCustomer
    show_form: bool
    question: bool
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]

    @property
    def heading(self) -> str:
        """What the page is for."""
        return tr("Ask the shop about this build") if self.question else tr("Ask for a quote")

    @property
    def refused(self) -> str:
        """What cannot be done with the build."""
        if self.question:
            return tr("This build cannot be ordered as it is")
        return tr("This build cannot be quoted as it is")

    @property
    def button(self) -> str:
        """What sending the form does."""
        return tr("Ask the shop") if self.question else tr("Get the quote")

    @property
    def kept_words(self) -> str:
        """Which data of the customer is kept, and for what."""
        if self.measures:
            return tr(
                "Your name, mail address, measures and note are kept with the quote, so that "
                "{shop} can answer you and find it again.",
                shop=self.shop,
            )
        return tr(
            "Your name, mail address and note are kept with the quote, so that {shop} can answer "
            "you and find it again.",
            shop=self.shop,
        )


def ask_page(
    catalogue: Catalogue,
    read: ReadChoice,
    typed: TypedCustomer,
    *,
    asked: str,
    error: DomainError | None = None,
) -> AskPage:
    """The page of one build, with what was wrong if a quote was asked for in vain.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        The build as its address gives it.
    typed : TypedCustomer
        The texts in the form.
    asked : str
        Query of the request, to lead back to the very same build.
    error : DomainError, optional
        Why asking failed.

    Returns
    -------
    AskPage
    """
    result, refusals = _judged(catalogue, read)
    question = result is not None and bool(refusals)
    query = asked if refusals else query_of(read.choice)
    slug, shop = quote(catalogue.model.slug), catalogue.settings
    at_fields, trouble = _errors(error, refusals)
    return AskPage(
        model=catalogue.model.name,
        size=catalogue.size(read.choice.size).name,
        revision=catalogue.revision.number,
        scope_words=scope_words(catalogue, read.choice.scope),
        action=f"/quote/{slug}?{query}",
        build_address=f"/build/{slug}?{query}",
        refusals=tuple(map(refusal_of, refusals)),
        trouble=trouble,
        lines=price_lines(result.price) if result else (),
        totals=price_totals(result.price) if result else (),
        total_shown=printed_money(result.price.gross) if result else "",
        settings=settings_of(result) if result else (),
        lead_time=weeks_in_words(lead_weeks(result.setup) if result else shop.lead_time_weeks),
        valid_days=shop.quote_valid_days,
        shop=shop.letterhead.name,
        measures=rider_summary(read.choice.rider) if read.choice.rider else "",
        shared_address=shared_address(read.choice, result),
        without_rider=f"/quote/{slug}?{query_of(replace(read.choice, rider=None))}",
        typed=typed,
        show_form=question or not refusals or any((typed.name, typed.mail, typed.note)),
        question=question,
        errors=tuple((name, f"{LABELS[name]}: {words}") for name, words in at_fields.items()),
        field_errors=at_fields,
    )


def _judged(
    catalogue: Catalogue, read: ReadChoice
) -> tuple[BuildResult | None, tuple[Problem, ...]]:
    """The computed build if the shop can price it, and every reason why it cannot be ordered."""
    try:
        return orderable(catalogue, read.strict()), ()
    except Invalid as error:
        refusals = error.problems
    try:
        return askable(catalogue, read.strict()), refusals
    except Invalid:
        return None, refusals


def _errors(error: DomainError | None, refusals: tuple[Problem, ...]) -> tuple[dict[str, str], str]:
    """Messages at fields of the form, and those that concern neither a field nor the build."""
    wrong = error.problems if error else ()
    at_fields = {p.field: p.remedy for p in wrong if p.field in LABELS}
    rest = [p.remedy for p in wrong if p.field not in LABELS and not refusals]
    return at_fields, "; ".join(rest)
