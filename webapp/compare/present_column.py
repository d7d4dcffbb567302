"""The bike ridden now as one more column of a comparison."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

from webapp.builds.choice.carried_build import navigation_addresses
from webapp.builds.present_bike.bike import PresentBike
from webapp.builds.solving.solver_inputs import SAGGED, UNLOADED
from webapp.common.text.language import tr
from webapp.compare.address import View, compare_address
from webapp.compare.bikes import Compared
from webapp.compare.difference_sentences import sentence
from webapp.compare.page_values import BuildCard, OtherWords
from webapp.drawing.outline import Outline


def compared_present(bike: PresentBike) -> Compared:
    """The present bike as far as it is known: as it stands unloaded, without price or parts."""
    figures = MappingProxyType({key: each.value for key, each in bike.measured.figures.items()})
    nothing: dict[str, float] = {}
    return Compared(
        name=tr("The bike you ride now"),
        facts=(tr("as far as it is known, unloaded"),),
        states=MappingProxyType({UNLOADED: figures, SAGGED: nothing}),
        points=MappingProxyType({UNLOADED: bike.measured.outline, SAGGED: Outline()}),
        settings={},
        parts={},
        sold_as="",
        price=None,
        cautions=(),
    )


def present_card(letter: str, bike: PresentBike, texts: Sequence[str], view: View) -> BuildCard:
    """Its card, with links to change it on its own page or to leave it out here."""
    now = compared_present(bike)
    first, *beside = texts or ("",)
    return BuildCard(
        letter=letter,
        name=now.name,
        facts=now.facts,
        price="",
        text="",
        change_address=navigation_addresses(first, view.others(beside))["present-bike"],
        remove_address=compare_address(texts, replace(view, present="")),
        first_address="",
        copies=(),
        copy_words="",
    )


def present_words(letter: str, first: Compared, bike: PresentBike, view: View) -> OtherWords:
    """How it differs from A, as far as it is known."""
    now = compared_present(bike)
    said = sentence(letter, first, now, state=view.state) if now.figures(view.state) else ""
    return OtherWords(
        letter=letter,
        sentence=said or tr("{letter} is known only unloaded.", letter=letter),
        parts="",
        cautions=(
            tr("{letter} is the bike you ride now; only what is known is compared.", letter=letter),
        ),
    )
