"""What is wished beside the present position: read from an address."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.search import Bounds, Target
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.match.present_bike import PresentBike, Query, text_of
from webapp.match.wish import PRICE, Wish

_NOWHERE = Target(grip=(0.0, 0.0), saddle=(0.0, 0.0))


@dataclass(frozen=True, kw_only=True)
class WishField:
    """One number that may be wished, with its limits and what an empty field means."""

    name: str
    label: str
    why: str
    low: float
    high: float
    unset: float


FIELDS: tuple[WishField, ...] = (
    WishField(
        name="closer", label=tr("Hands closer by"), why=tr("In mm; −15 for 15 mm further away."),
        low=-150, high=150, unset=0,
    ),
    WishField(
        name="higher", label=tr("Hands higher by"), why=tr("In mm; −15 for 15 mm lower."),
        low=-150, high=150, unset=0,
    ),
    WishField(
        name="tolerance", label=tr("Near enough"),
        why=tr("From how many mm on the price may decide; 10 if you leave it."),
        low=0, high=200, unset=10,
    ),
    WishField(
        name="most_price", label=tr("Price at most"), why=tr("In the currency of the prices."),
        low=0, high=1e6, unset=math.inf,
    ),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class TypedWish:
    """What was typed, what is wrong with it, and the wish that follows.

    Parameters
    ----------
    fields : tuple of WishField
    typed : mapping of field to str
    problems : tuple of Problem
    target : Target
        The present position with what is wished of the hands.
    wish : Wish
    """

    fields: tuple[WishField, ...]
    typed: Mapping[str, str]
    problems: tuple[Problem, ...]
    target: Target
    wish: Wish


def read_wish(query: Query, bike: PresentBike, places: tuple[str, ...]) -> TypedWish:
    """The wish of an address; nothing typed is lost.

    Parameters
    ----------
    query : mapping of str to sequence of str
    bike : PresentBike
    places : tuple of str
        Places that may be fixed.

    Returns
    -------
    TypedWish
    """
    typed = {name: text_of(query, name) for name in (*(f.name for f in FIELDS), *places)}
    problems: list[Problem] = []
    values = {field.name: _value(field, typed[field.name], problems) for field in FIELDS}
    now = bike.target or _NOWHERE
    grip = now.grip[0] - values["closer"], now.grip[1] + values["higher"]
    target = Target(grip=grip, saddle=now.saddle)
    bounds: Bounds = {PRICE: (0.0, values["most_price"])} if typed["most_price"] else {}
    fixed = {place: typed[place] for place in places if typed[place]}
    return TypedWish(
        fields=FIELDS,
        typed=MappingProxyType(typed),
        problems=tuple(problems),
        target=target,
        wish=Wish(
            target=target,
            bounds=bounds,
            fixed=fixed,
            tolerance=values["tolerance"],
            handling={},
        ),
    )


def _value(field: WishField, text: str, problems: list[Problem]) -> float:
    plain = text.lower().removesuffix("mm").strip()
    plain = plain.replace("\N{MINUS SIGN}", "-").replace(",", ".")
    if not plain:
        return field.unset
    try:
        value = float(plain)
    except ValueError:
        value = math.nan
    if not field.low <= value <= field.high:
        remedy = tr("a number from {low:g} to {high:g}", low=field.low, high=field.high)
        problems.append(Problem(field.name, text, remedy))
        return field.unset
    return value
