"""What the page *Match a position* shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from webapp.builds.choice.carried_build import BUILD_KEY, OtherBikes, carrying, navigation_addresses
from webapp.builds.choice.places import PLACE_OF, PLACES
from webapp.builds.present_bike.bike import PresentBike
from webapp.catalogue.reading.views import Catalogue, ModelView
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.web.choices import Link, Option
from webapp.match.page.answer_view import AnswerView, answer_view, picture_of
from webapp.match.page.found_words import failed_words, found_words, loosened_words
from webapp.match.page.typed_wish import TypedWish
from webapp.match.page.wish_fields import (
    BOUNDED,
    FORKS,
    POINTS,
    SHIFTS,
    SOURCES,
    TOLERANCE,
    WishField,
)
from webapp.match.stances import WHEELS
from webapp.match.wish import Matched
from webapp.rider.rider_input import Rider

FIRST = ("fork", *WHEELS, "transmission")
"""Places whose parts a rider most often owns already, or insists on."""

FIXABLE = (*FIRST, *(place.name for place in PLACES if place.name not in FIRST))


@dataclass(frozen=True, kw_only=True)
class Field:
    """A line to type in."""

    name: str
    label: str
    why: str
    value: str
    error: str


@dataclass(frozen=True, kw_only=True)
class BoundView:
    """A figure between two bounds."""

    label: str
    least: Field
    most: Field


@dataclass(frozen=True, kw_only=True)
class Choice:
    """A list to choose from."""

    name: str
    label: str
    options: tuple[Option, ...]
    value: str
    error: str


@dataclass(frozen=True, kw_only=True)
class MatchPage:
    """Everything the template needs."""

    model: str
    slug: str
    models: tuple[Link, ...]
    hidden: tuple[tuple[str, str], ...]
    present_address: str
    knows_present: bool
    sources: tuple[Option, ...]
    source: str
    target: str
    missing: str
    points: tuple[Field, ...]
    points_open: bool
    shifts: tuple[Field, ...]
    tolerance: Field
    bounds: tuple[BoundView, ...]
    bounds_open: bool
    choices: tuple[Choice, ...]
    more_choices: tuple[Choice, ...]
    more_open: bool
    errors: tuple[tuple[str, str], ...]
    looked_through: str
    failed: tuple[str, ...]
    loosen: tuple[str, ...]
    answers: tuple[AnswerView, ...]
    trades: tuple[AnswerView, ...]
    picture: Markup

    @property
    def find_kind(self) -> str:
        """How the button that searches looks: the main one once there is a bike to go by."""
        return "main" if self.knows_present else ""


@dataclass(frozen=True, kw_only=True)
class Taken:
    """What links carry from page to page: a build with its rider, the present bike, others."""

    along: str
    rider: Rider | None
    bike: PresentBike
    others: OtherBikes

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """As a form carries it."""
        return (*(((BUILD_KEY, self.along),) if self.along else ()), *self.others.pairs)


def match_page(
    catalogue: Catalogue,
    models: Sequence[ModelView],
    taken: Taken,
    typed: TypedWish,
    *,
    found: Matched | None,
    problems: Sequence[Problem],
) -> MatchPage:
    """The page of one wish on one model.

    Parameters
    ----------
    catalogue : Catalogue
    models : sequence of ModelView
    taken : Taken
    typed : TypedWish
    found : Matched or None
        None where the position is not known yet.
    problems : sequence of Problem
        Of all fields.

    Returns
    -------
    MatchPage
    """
    said = {problem.field: _error(problem) for problem in problems}
    choices = tuple(_choices(catalogue, typed, said))
    first, more = choices[: len(FIRST) + 1], choices[len(FIRST) + 1 :]
    bounds = tuple(_bounds(typed, said))
    return MatchPage(
        model=catalogue.model.name,
        slug=catalogue.model.slug,
        models=tuple(
            Link(
                label=m.name,
                address=carrying(f"/match/{m.slug}", taken.along, taken.others),
                present=m.slug == catalogue.model.slug,
            )
            for m in models
        ),
        hidden=taken.pairs,
        present_address=navigation_addresses(taken.along, taken.others).get(
            "present-bike", "/present-bike"
        ),
        knows_present=bool(taken.bike.text),
        sources=tuple(Option(value=value, label=label) for value, label in SOURCES.items()),
        source=typed.source,
        target=_target(typed),
        missing="" if typed.target else _missing(typed, taken),
        points=tuple(_field(field, typed, said) for field in POINTS),
        points_open=typed.source == "typed" or any(typed.typed[f.name] for f in POINTS),
        shifts=tuple(_field(field, typed, said) for field in SHIFTS),
        tolerance=_field(TOLERANCE, typed, said),
        bounds=bounds,
        bounds_open=any(view.least.value or view.most.value for view in bounds),
        choices=first,
        more_choices=more,
        more_open=any(choice.value for choice in more),
        errors=tuple(said.items()),
        looked_through=found_words(found) if found else "",
        failed=tuple(failed_words(found)) if found else (),
        loosen=tuple(loosened_words(catalogue, found)) if found else (),
        answers=tuple(answer_view(a, typed, taken) for a in found.answers) if found else (),
        trades=tuple(answer_view(a, typed, taken) for a in found.trades) if found else (),
        picture=picture_of(found.trades) if found else Markup(""),
    )


def _error(problem: Problem) -> str:
    return tr("“{value}” cannot be used: {remedy}", value=problem.value, remedy=problem.remedy)


def _field(field: WishField, typed: TypedWish, said: Mapping[str, str]) -> Field:
    return Field(
        name=field.name,
        label=field.label,
        why=field.why,
        value=typed.typed[field.name],
        error=said.get(field.name, ""),
    )


def _bounds(typed: TypedWish, said: Mapping[str, str]) -> list[BoundView]:
    found = []
    for each in BOUNDED:
        label = f"{each.label} [{each.unit}]" if each.unit else each.label
        words = (tr("{figure} at least", figure=label), tr("{figure} at most", figure=label))
        least, most = (
            Field(
                name=name,
                label=said_as,
                why="",
                value=typed.typed[name],
                error=said.get(name, ""),
            )
            for name, said_as in zip(each.names, words, strict=True)
        )
        found.append(BoundView(label=each.label, least=least, most=most))
    return found


def _choices(catalogue: Catalogue, typed: TypedWish, said: Mapping[str, str]) -> list[Choice]:
    any_one = Option(value="", label=tr("any"))
    sizes = [Option(value=size.slug, label=size.name) for size in catalogue.sizes]
    found = [_choice("size", tr("Size"), [any_one, *sizes], typed, said)]
    kinds = [
        Option(value=value, label=label)
        for value, label in zip(
            FORKS, (tr("any rigid fork"), tr("any suspension fork")), strict=True
        )
    ]
    for place in FIXABLE:
        offered = catalogue.offered(PLACE_OF[place].kind)
        options = [any_one, *(kinds if place == "fork" else [])]
        options += [Option(value=part.slug, label=part.name) for part in offered]
        found.append(_choice(place, PLACE_OF[place].label, options, typed, said))
    return found


def _choice(
    name: str, label: str, options: list[Option], typed: TypedWish, said: Mapping[str, str]
) -> Choice:
    return Choice(
        name=name,
        label=label,
        options=tuple(options),
        value=typed.typed[name],
        error=said.get(name, ""),
    )


def _target(typed: TypedWish) -> str:
    if typed.target is None:
        return ""
    (ahead, up), (back, high) = typed.target.grip, typed.target.saddle
    return tr(
        "Wanted: grips {ahead:.0f} mm ahead of the crank axle and {up:.0f} mm above it, saddle "
        "{behind:.0f} mm behind and {high:.0f} mm above.",
        ahead=ahead,
        up=up,
        behind=-back,
        high=high,
    )


def _missing(typed: TypedWish, taken: Taken) -> str:
    """What is missing before a search can start."""
    if typed.source == "fit":
        return tr("The page Fit does not know your measurements yet: give your height there first.")
    if typed.source == "typed":
        return tr("All four numbers of the position are needed.")
    if taken.bike.text:
        return tr(
            "What you told us about your bike is not enough yet to know where grips and saddle are."
        )
    return tr("Tell us first about the bike you ride now, or where you want to sit.")
