"""Every ring and sprocket that closes, ranked by a wished chainstay length or gear."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote

from webapp.builds.choice.build_choice import (
    LONGEST_VALUE,
    BuildChoice,
    Query,
    ReadChoice,
    address_of,
    pairs_of,
)
from webapp.builds.choice.carried_build import OtherBikes
from webapp.builds.choice.field_words import problem_words
from webapp.builds.evaluation import BuildResult
from webapp.builds.page.drive.grids import Grid, pairs_grid
from webapp.builds.page.fields import NumberField
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Problem
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class Wish:
    """One number to rank by; the limits only exclude impossible values."""

    name: str
    label: str
    unit: str
    low: float
    high: float


WISHES = (
    Wish(name="chainstay", label=tr("Chainstay length"), unit=tr("mm"), low=300, high=700),
    Wish(name="gear", label=tr("Ring teeth to one sprocket tooth"), unit="", low=0.5, high=6),
)
WISH_KEYS = tuple(wish.name for wish in WISHES)


@dataclass(frozen=True, kw_only=True)
class DrivePage:
    """Everything the page knows."""

    model: str
    size: str
    action: str
    hidden: tuple[tuple[str, str], ...]
    wishes: tuple[NumberField, ...]
    errors: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    pairs: Grid | None
    build_address: str


def drive_page(
    catalogue: Catalogue,
    read: ReadChoice,
    result: BuildResult | None,
    query: Query,
    *,
    others: OtherBikes,
) -> DrivePage:
    """The page of one build's rings and sprockets.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        The build, read with `WISH_KEYS` beside it.
    result : BuildResult or None
        None when the parts cannot stand together.
    query : mapping of str to sequence of str
        For the wishes.
    others : OtherBikes
        Further bikes that its links take along.

    Returns
    -------
    DrivePage
    """
    wishes, problems = _read(query)
    choice, pairs = read.choice, None
    if result is not None:
        setup = result.setup
        pairs = pairs_grid(setup, chainstay=wishes["chainstay"], ratio=wishes["gear"], most=None)
    every = (*read.problems, *problems.values())
    page = DrivePage(
        model=catalogue.model.name,
        size=catalogue.size(choice.size).name,
        action=f"/build/{quote(choice.model)}/drive",
        hidden=(*pairs_of(choice), *others.pairs),
        wishes=tuple(_field(wish, query, problems) for wish in WISHES),
        errors=tuple((each.field, problem_words(each)) for each in every),
        words=() if pairs else (_nothing(choice),),
        pairs=pairs,
        build_address=address_of(choice),
    )
    return others.in_links(page, but=("action",))


def _nothing(choice: BuildChoice) -> str:
    if choice.parts["derailleur"]:
        return tr(
            "With a derailleur the chain works at every axle position, so there is nothing to rank."
        )
    return tr("No available ring and sprocket for this hub, crank and chain or belt close here.")


def _text(query: Query, name: str) -> str:
    return ", ".join(query.get(name, ())).strip()[:LONGEST_VALUE]


def _read(query: Query) -> tuple[Mapping[str, float | None], dict[str, Problem]]:
    """The wishes, and what was wrong with them."""
    found: dict[str, float | None] = {}
    problems: dict[str, Problem] = {}
    for wish in WISHES:
        text = _text(query, wish.name)
        found[wish.name] = value = _number(text, wish)
        if text and value is None:
            remedy = tr(
                "a number from {low:g} to {high:g} {unit}",
                low=wish.low,
                high=wish.high,
                unit=wish.unit,
            ).rstrip()
            problems[wish.name] = Problem(wish.name, text, remedy)
    return found, problems


def _number(text: str, wish: Wish) -> float | None:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if wish.low <= value <= wish.high else None


def _field(wish: Wish, query: Query, problems: Mapping[str, Problem]) -> NumberField:
    problem = problems.get(wish.name)
    return NumberField(
        name=wish.name,
        label=wish.label,
        value=_text(query, wish.name),
        unit=wish.unit,
        low=f"{wish.low:g}",
        high=f"{wish.high:g}",
        hint=tr("Pairs nearest to it come first."),
        error=problem.remedy if problem else "",
    )
