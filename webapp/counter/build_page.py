"""The build page at the counter: the same choices and checks, leading to a quote."""

from __future__ import annotations

from dataclasses import dataclass, replace

from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import ReadChoice, query_of
from webapp.builds.evaluation import BuildResult
from webapp.builds.page.check_view import check_line
from webapp.builds.page.context import BuildPage, build_page
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, form_errors
from webapp.common.text.language import tr
from webapp.common.web.links import led_elsewhere
from webapp.counter.customers.chosen import ChosenCustomer, along_with
from webapp.pricing.totals import printed_money
from webapp.quote.customer_page.request_form import TypedCustomer
from webapp.quote.freezing.content import Pricing
from webapp.quote.printing.sheet import printed_lines, printed_totals


@dataclass(frozen=True, kw_only=True)
class CounterBuildPage:
    """A build on its way into a quote.

    ``number`` is the quote it becomes a version of; empty for a new quote, which
    needs the customer's name. ``latest`` changes with every quote made, so that
    what a browser keeps of one customer is not put into the next one's form.
    """

    person: Person
    number: str
    bike: int
    added: bool
    version: int
    heading: str
    over: str
    address: str
    along: str
    query: str
    build: BuildPage
    total: str
    total_shown: str
    prices_today: bool
    trouble: str
    can_be_made: bool
    make_words: str
    make_address: str
    measure_address: str
    failed: str
    other_models: tuple[tuple[str, str], ...]
    newer_revision: str
    latest: str
    chosen: ChosenCustomer | None
    somebody_else: str
    price_list: str
    typed: TypedCustomer
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]

    @property
    def section(self) -> str:
        """Its place in the navigation."""
        return "counter" if self.number else "new"

    @property
    def makeable(self) -> bool:
        """Whether the button that makes a quote of it is shown."""
        return self.can_be_made and not self.trouble

    @property
    def build_text(self) -> str:
        """The build as the form sends it."""
        return f"{self.build.model_slug}?{self.query}"

    @property
    def further(self) -> bool:
        """Whether it is not the first bike of its quote."""
        return self.bike > 1


def counter_build_page(
    catalogue: Catalogue,
    read: ReadChoice,
    result: BuildResult | None,
    *,
    person: Person,
    address: str,
    measure: str,
    number: str = "",
    version: int = 0,
    bike: int = 1,
    added: bool = False,
    next_version: int = 0,
    made: Pricing | None = None,
    prices_today: bool = False,
    trouble: str = "",
    other_models: tuple[tuple[str, str], ...] = (),
    newer_revision: str = "",
    latest: str = "",
    chosen: ChosenCustomer | None = None,
    typed: TypedCustomer | None = None,
    error: DomainError | None = None,
) -> CounterBuildPage:
    """The page of one build at the counter.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
    result : BuildResult or None
        None when the parts cannot stand together.
    person : Person
    address : str
        Where this page itself is, without its query.
    measure : str
        Where the rider is measured, without its query.
    number, version, next_version
        The quote to be changed, the version seen, and the one it becomes; nothing for a
        new quote.
    bike : int
        Which of its bikes this is.
    added : bool
        Whether it would be one more.
    made : Pricing, optional
        What a changed quote would come to, everything agreed counted.
    prices_today : bool
        Whether all lines are priced anew, unchanged ones too.
    trouble : str
        Why a quote cannot be made of it under its terms.
    other_models : tuple of (label, address)
    newer_revision : str
        Address of the same page in the revision now published, if it is another.
    latest : str
        Number of the quote made last.
    chosen : ChosenCustomer, optional
        Whom a new quote is for; their prices must have been used.
    typed : TypedCustomer, optional
    error : DomainError, optional
        Why a quote could not be made of it.

    Returns
    -------
    CounterBuildPage
    """
    shown = build_page(catalogue, read, result)
    if made is not None:
        lines, totals = printed_lines(made), printed_totals(made)
        shown = replace(shown, prices=lines, totals=totals)
    slug = catalogue.model.slug
    whom = along_with(chosen)
    along = f"model={slug}&" if number else ""
    along += f"bike={bike}&" if bike > 1 else ""
    along += "prices=today&" if prices_today else ""
    along += whom
    query = query_of(read.choice)
    errors, field_errors = form_errors(error)
    failed = (
        ", ".join(dict.fromkeys(check_line(check).name for check in result.failed))
        if result
        else ""
    )
    return CounterBuildPage(
        person=person,
        number=number,
        bike=bike,
        added=added,
        version=version,
        heading=_heading(number, bike, added=added),
        over=tr(
            "{name}, revision {number}", name=catalogue.model.name, number=catalogue.revision.number
        ),
        address=address,
        along=along,
        query=query,
        build=replace(
            led_elsewhere(shown, {f"/build/{slug}?": f"{address}?{along}"}), action=address
        ),
        total=_total(result, made),
        total_shown=_gross(result, made),
        prices_today=prices_today,
        trouble=trouble,
        can_be_made=result is not None and not read.problems and not result.price.unpriced,
        make_words=_make_words(number, next_version, added=added, failed=failed),
        make_address=address if number else f"{address}?{along}{query}",
        measure_address=f"{measure}?model={slug}&{whom}{query}",
        failed=failed,
        other_models=other_models,
        newer_revision=newer_revision,
        latest=latest,
        chosen=chosen,
        somebody_else=f"{address}?{query}",
        price_list=catalogue.price_list,
        typed=typed or TypedCustomer(),
        errors=errors,
        field_errors=field_errors,
    )


def _heading(number: str, bike: int, *, added: bool) -> str:
    if not number:
        return tr("New quote")
    if added:
        return tr("Quote {number}: another bike", number=number)
    if bike > 1:
        return tr("Quote {number}: change bike {bike}", number=number, bike=bike)
    return tr("Quote {number}: change the build", number=number)


def _gross(result: BuildResult | None, made: Pricing | None) -> str:
    """The total as printed, which the quote made of it must have."""
    if made is not None:
        return made.gross.printed
    return printed_money(result.price.gross) if result else ""


def _total(result: BuildResult | None, made: Pricing | None) -> str:
    if made is not None:
        return tr(
            "Total {total}, deposit {deposit}",
            total=made.gross.printed,
            deposit=made.deposit.printed,
        )
    if result is None:
        return ""
    total, deposit = result.price.gross.format(), result.price.deposit.format()
    if not result.price.unpriced:
        return tr("Total {total}, deposit {deposit}", total=total, deposit=deposit)
    return tr(
        "Total {total}, deposit {deposit}; not counted: {missing}",
        total=total,
        deposit=deposit,
        missing=", ".join(result.price.unpriced),
    )


def _make_words(number: str, version: int, *, added: bool, failed: str) -> str:
    if added:
        return tr("Make version {version} with this bike too", version=version)
    if number:
        return tr("Make version {version} with this build", version=version)
    return tr("Make the draft") if failed else tr("Make the quote")
