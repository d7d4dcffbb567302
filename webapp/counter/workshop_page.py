"""The workshop copy as a page: what to build and how it is set, without prices or address."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from webapp.accounts.people import Person
from webapp.builds.page.figure_rows import FigureRow
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.counter.lists import address_of
from webapp.quote.freezing.assembly_settings import first_ride
from webapp.quote.freezing.content import FrozenBuild, Setting
from webapp.quote.freezing.pricing import parts_of
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.printing.pdf import not_ordered
from webapp.quote.printing.sheet import alike_words, figures_of, frozen_drawing, warning_of
from webapp.quote.storage.read import QuoteView


@dataclass(frozen=True, kw_only=True)
class WorkshopPage:
    """One version as the workshop reads it; all but ``person`` and the addresses is frozen.

    No amount is among it, so that none can be shown. ``parts`` are places and parts.
    """

    person: Person
    number: str
    version: int
    version_label: str
    mark: str
    newer: str
    date: str
    customer: str
    build: FrozenBuild
    alike: str
    lead_time: str
    warning: str
    note_lines: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]
    assembly: tuple[Setting, ...]
    settings: tuple[Setting, ...]
    not_clear: tuple[FrozenCheck, ...]
    first_ride: tuple[str, ...]
    cautions: tuple[str, ...]
    states: tuple[str, ...]
    figures: tuple[FigureRow, ...]
    drawing: Markup
    drawing_title: str
    drawing_words: str
    back: str
    pdf: str

    @property
    def customer_words(self) -> str:
        """Whom it is for."""
        return self.customer or tr("a customer erased since")


def workshop_page(whole: QuoteView, person: Person, bike: int = 1) -> WorkshopPage:
    """The workshop copy of a version.

    Parameters
    ----------
    whole : QuoteView
    person : Person
        Who looks.
    bike : int
        Which bike of several.

    Returns
    -------
    WorkshopPage
    """
    view, bikes = whole.bike(bike), len(whole.bikes)
    content = view.content
    address = address_of(view.number)
    return WorkshopPage(
        person=person,
        number=view.number,
        version=view.version,
        version_label=view.standing.label,
        mark=view.standing.mark() or not_ordered(view),
        newer=_newer(view),
        date=day_in_words(day_of(view.created_at)),
        customer=view.customer.name,
        build=content.build,
        alike=alike_words(content.deal.quantity),
        lead_time=content.lead_time,
        warning=warning_of(view),
        note_lines=tuple(content.deal.workshop_note.splitlines()),
        parts=parts_of(content, bikes=bikes),
        assembly=content.assembly,
        settings=content.settings,
        not_clear=view.outcomes("no", "tight", "unknown"),
        first_ride=first_ride(content.build.scope),
        cautions=content.cautions,
        states=content.states,
        figures=figures_of(content),
        drawing=frozen_drawing(content),
        drawing_title=content.drawing.title,
        drawing_words=content.drawing.words,
        back=f"{address}?version={view.version}",
        pdf=f"{address}/sheet.pdf?version={view.version}"
        f"&paper={content.paper.lower()}&copy=workshop" + (f"&bike={bike}" if bike > 1 else ""),
    )


def _newer(view: QuoteView) -> str:
    """The notice about a version made since; the accepted one still counts."""
    if view.version == view.current_version:
        return ""
    if view.version == view.accepted_version:
        return tr(
            "Build this one. Version {current_version} is not accepted.",
            current_version=view.current_version,
        )
    return tr(
        "This is version {version}; the quote is now at version {current_version}.",
        version=view.version,
        current_version=view.current_version,
    )
