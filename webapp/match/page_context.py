"""What the page *Match a position* shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from webapp.builds.choice.build_choice import address_of
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.checks import label_of
from webapp.catalogue.reading.views import Catalogue, ModelView
from webapp.common.errors import Problem
from webapp.common.text.language import tr, trn
from webapp.common.text.money import Money
from webapp.match.present_bike import LABEL_OF, TAPE, PresentBike
from webapp.match.stances import UNPRICED, WHEELS
from webapp.match.typed_wish import TypedWish
from webapp.match.wish import PRICE, Answer, Matched
from webapp.match.words import difference_words
from webapp.rider.rider_input import Rider

FIXABLE = ("fork", *WHEELS)
"""Places whose parts a rider may own already, or insist on."""

_KINDS: Mapping[str, str] = MappingProxyType(
    {
        "closest": tr("The closest"),
        "closest_as_sold": tr("The closest with the fewest parts changed"),
        "cheapest": tr("The cheapest that is near enough"),
    }
)


@dataclass(frozen=True, kw_only=True)
class Field:
    """A line to type in."""

    name: str
    label: str
    why: str
    value: str
    error: str


@dataclass(frozen=True, kw_only=True)
class Option:
    """One entry of a list."""

    value: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Choice:
    """A list to choose from."""

    name: str
    label: str
    options: tuple[Option, ...]
    value: str


@dataclass(frozen=True, kw_only=True)
class AnswerView:
    """One build that answers."""

    title: str
    distance: str
    differences: tuple[str, ...]
    what: str
    price: Money
    address: str


@dataclass(frozen=True, kw_only=True)
class MatchPage:
    """Everything the template needs."""

    model: str
    slug: str
    models: tuple[Option, ...]
    along: str
    tape: tuple[Field, ...]
    wishes: tuple[Field, ...]
    choices: tuple[Choice, ...]
    errors: tuple[tuple[str, str], ...]
    known: tuple[str, ...]
    contradictions: tuple[str, ...]
    measure_next: str
    looked_through: str
    failed: tuple[str, ...]
    loosen: tuple[str, ...]
    answers: tuple[AnswerView, ...]
    trades: tuple[AnswerView, ...]


def match_page(
    catalogue: Catalogue,
    models: Sequence[ModelView],
    bike: PresentBike,
    typed: TypedWish,
    *,
    found: Matched | None,
    problems: Sequence[Problem],
    along: str = "",
    rider: Rider | None = None,
) -> MatchPage:
    """The page of one present bike on one model.

    Parameters
    ----------
    catalogue : Catalogue
    models : sequence of ModelView
    bike : PresentBike
    typed : TypedWish
    found : Matched or None
        None where the position is not known yet.
    problems : sequence of Problem
        Of all fields.
    along : str
        The build that is taken along to the other pages, as the thread carries it.
    rider : Rider or None
        Of that build; a build found is opened for them.

    Returns
    -------
    MatchPage
    """
    known = rider if rider is not None and rider.has_values else None
    said = {problem.field: _error(problem) for problem in problems}
    return MatchPage(
        model=catalogue.model.name,
        slug=catalogue.model.slug,
        along=along,
        models=tuple(Option(value=m.slug, label=m.name) for m in models),
        tape=tuple(
            Field(
                name=field.kind, label=field.label, why=field.how,
                value=bike.typed[field.kind], error=said.get(field.kind, ""),
            )
            for field in TAPE
        ),
        wishes=tuple(
            Field(
                name=field.name, label=field.label, why=field.why,
                value=typed.typed[field.name], error=said.get(field.name, ""),
            )
            for field in typed.fields
        ),
        choices=tuple(_choices(catalogue, typed)),
        errors=tuple(said.items()),
        known=_known(bike),
        contradictions=tuple(_contradictions(bike)),
        measure_next=LABEL_OF[bike.measure_next] if bike.measure_next else "",
        looked_through=_looked_through(found) if found else "",
        failed=tuple(_failed(found)) if found else (),
        loosen=tuple(_loosen(catalogue, found)) if found else (),
        answers=tuple(_answer(a, typed, known) for a in found.answers) if found else (),
        trades=tuple(_answer(a, typed, known) for a in found.trades) if found else (),
    )  # fmt: skip


def _error(problem: Problem) -> str:
    return tr("“{value}” cannot be used: {remedy}", value=problem.value, remedy=problem.remedy)


def _choices(catalogue: Catalogue, typed: TypedWish) -> list[Choice]:
    any_one = Option(value="", label=tr("any"))
    sizes = [Option(value=size.slug, label=size.name) for size in catalogue.sizes]
    found = [
        Choice(name="size", label=tr("Size"), options=(any_one, *sizes), value=typed.typed["size"])
    ]
    for place in FIXABLE:
        offered = catalogue.offered(PLACE_OF[place].kind)
        options = (Option(value=part.slug, label=part.name) for part in offered)
        label, value = PLACE_OF[place].label, typed.typed[place]
        found.append(Choice(name=place, label=label, options=(any_one, *options), value=value))
    return found


def _known(bike: PresentBike) -> tuple[str, ...]:
    target = bike.target
    if target is None:
        return ()
    return (
        tr(
            "Your grips are {ahead:.0f} mm ahead of the crank axle and {up:.0f} mm above it, "
            "±{spread:.0f} mm.",
            ahead=target.grip[0],
            up=target.grip[1],
            spread=bike.spread("grip"),
        ),
        tr(
            "Your saddle is {behind:.0f} mm behind it and {up:.0f} mm above it, ±{spread:.0f} mm.",
            behind=-target.saddle[0],
            up=target.saddle[1],
            spread=bike.spread("saddle"),
        ),
    )


def _contradictions(bike: PresentBike) -> list[str]:
    return [
        tr(
            "“{label}” does not agree with the others: they say {expected:.0f} mm.",
            label=LABEL_OF[suspect.kind],
            expected=suspect.expected,
        )
        for suspect in bike.suspects
    ]


def _looked_through(found: Matched) -> str:
    return trn(
        "{ways} way to build it was looked through.",
        "{ways} ways to build it were looked through.",
        found.combinations,
        ways=f"{found.combinations:,}",
    )


def _failed(found: Matched) -> list[str]:
    return [
        tr(
            "{count} of them do not go together: {check}.",
            count=f"{count:,}",
            check=tr("a part without a price") if code == UNPRICED else label_of(code),
        )
        for code, count in found.failed.items()
    ]


def _loosen(catalogue: Catalogue, found: Matched) -> list[str]:
    return [
        tr(
            "With a price up to {to:.0f} {currency} the nearest is {distance:.0f} mm away.",
            to=each.to,
            currency=catalogue.currency,
            distance=each.distance,
        )
        for each in found.loosen
        if each.name == PRICE
    ]


def _answer(answer: Answer, typed: TypedWish, rider: Rider | None) -> AnswerView:
    wished, result = typed.target, answer.result
    grip = answer.grip[0] - wished.grip[0], answer.grip[1] - wished.grip[1]
    saddle = answer.saddle[0] - wished.saddle[0], answer.saddle[1] - wished.saddle[1]
    parts = result.assembly.parts
    return AnswerView(
        title=_KINDS.get(answer.kind, ""),
        distance=tr("{distance:.0f} mm", distance=answer.distance),
        differences=difference_words(grip, saddle),
        what=tr(
            "Size {size}, {fork}, {stem}, {handlebar}, {spacers:.0f} mm of spacers.",
            size=result.assembly.size.name,
            fork=parts["fork"].name,
            stem=parts["stem"].name,
            handlebar=parts["handlebar"].name,
            spacers=result.choice.spacers,
        ),
        price=result.price.gross,
        address=address_of(replace(result.choice, rider=rider)),
    )
