"""Measuring a rider at the counter: their measurements, and the size that follows.

The answer is the fit page's own; here every size leads on to a quote, with the rider.
"""

from __future__ import annotations

from dataclasses import dataclass

from webapp.accounts.people import Person
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.language import tr
from webapp.common.web.choices import Link
from webapp.common.web.links import led_elsewhere
from webapp.counter.customers.chosen import ChosenCustomer, along_with
from webapp.fit.page_values import FitPage, SizeCard


@dataclass(frozen=True, kw_only=True)
class MeasurePage:
    """A rider on the way to a build; ``number`` is the quote it is for, empty for a new one.

    ``best`` are the sizes to go on with, the likeliest first, none while there is no answer;
    ``without`` leads to the build unmeasured.
    """

    person: Person
    number: str
    chosen: ChosenCustomer | None
    heading: str
    address: str
    here: str
    fit: FitPage
    best: tuple[SizeCard, ...]
    models: tuple[Link, ...]
    without: str

    @property
    def section(self) -> str:
        """Its place in the navigation."""
        return "counter" if self.number else "new"


def measure_page(
    fit: FitPage,
    catalogue: Catalogue,
    *,
    person: Person,
    address: str,
    builds: str,
    number: str = "",
    chosen: ChosenCustomer | None = None,
) -> MeasurePage:
    """The page of one rider at the counter.

    Parameters
    ----------
    fit : FitPage
        The fit page's answer.
    catalogue : Catalogue
    person : Person
    address : str
        Where this page itself is, without its query.
    builds : str
        Where its builds lead, with ``{model}`` in it and up to the question mark.
    number : str
        The quote it is for.
    chosen : ChosenCustomer, optional
        Whom a new quote is for.

    Returns
    -------
    MeasurePage
    """
    slug = catalogue.model.slug
    along = along_with(chosen)
    there = builds.format(model=slug) + along
    fit = led_elsewhere(
        fit, {f"/build/{slug}?": there, f"/fit/{slug}?": f"{address}?model={slug}&{along}"}
    )
    cards = fit.answer.cards if fit.answer else ()
    best = (card for card in cards if card.best)
    return MeasurePage(
        person=person,
        number=number,
        chosen=chosen,
        heading=_heading(number, chosen),
        address=address,
        here=fit.address
        if fit.address.startswith(address)
        else f"{address}?model={slug}&{along}".rstrip("&"),
        fit=fit,
        best=tuple(sorted(best, key=lambda card: -int(card.chance or 0))),
        models=tuple(
            Link(
                label=each.label, address=_model_address(each, address, along), present=each.present
            )
            for each in fit.models
        ),
        without=there.rstrip("?&"),
    )


def _heading(number: str, chosen: ChosenCustomer | None) -> str:
    if number:
        return tr("Quote {number}: measure", number=number)
    return tr("New quote for {name}", name=chosen.name) if chosen else tr("New quote")


def _model_address(link: Link, address: str, along: str) -> str:
    """The same rider on another model, at the counter."""
    model, _, query = link.address.removeprefix("/fit/").partition("?")
    return f"{address}?model={model}&{along}{query}".rstrip("&")
