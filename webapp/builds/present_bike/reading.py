"""The present bike of an address: its own page's, or one that other pages carry."""

from __future__ import annotations

from types import MappingProxyType
from urllib.parse import parse_qs

from sqlmodel import Session

from webapp.builds.choice.carried_build import OtherBikes, beside_in, present_in
from webapp.builds.present_bike.bike import Measured, PresentBike
from webapp.builds.present_bike.by_build import by_build
from webapp.builds.present_bike.by_numbers import by_numbers
from webapp.builds.present_bike.by_tape import by_tape
from webapp.builds.present_bike.fields import FEELS, WAYS, WISHES, Way
from webapp.builds.present_bike.typed import Query, read_number, typed_in
from webapp.common.errors import Invalid, Problem
from webapp.common.memory import Memory
from webapp.common.text.language import language_and_numbers
from webapp.common.text.reader import reads_imperial

MOST_FIELDS = 100

_NOTHING_TYPED = Memory(most=16)
"""The bike of most addresses, of which nothing is told, in every language and units."""


def carried_present(query: Query, session: Session) -> PresentBike:
    """The present bike that an address carries in its one field.

    Parameters
    ----------
    query : mapping of str to sequence of str
    session : Session

    Returns
    -------
    PresentBike
        Of nothing typed where it carries none.
    """
    text = present_in(query)
    if not text:
        read = reads_imperial(), language_and_numbers()
        return _NOTHING_TYPED.of(read, lambda: read_present({}, session))
    try:
        own = parse_qs(text, max_num_fields=MOST_FIELDS)
    except ValueError:
        own = {}
    return read_present(own, session)


def other_bikes(query: Query, session: Session) -> OtherBikes:
    """The bikes that an address carries beside its build: the one ridden now, and others chosen."""
    present = carried_present(query, session).text
    return OtherBikes(present=present, beside=beside_in(query))


def read_present(query: Query, session: Session) -> PresentBike:
    """The present bike of its own page's address; nothing typed is lost.

    Parameters
    ----------
    query : mapping of str to sequence of str
    session : Session
        For a build of ours.

    Returns
    -------
    PresentBike
    """
    typed = typed_in(query)
    way = _way(typed["way"])
    typed |= {"way": way, "feel": typed["feel"] if typed["feel"] in FEELS else ""}
    measured = _measured(way, typed, session)
    problems = list(measured.problems)
    moves = dict.fromkeys((field.name for field in WISHES[:-1]), 0.0)
    for field in WISHES:
        if typed[field.name]:
            try:
                moves[field.name] = read_number(field, typed[field.name])
            except Invalid as error:
                problems += error.problems
    return PresentBike(
        way=way,
        typed=MappingProxyType(typed),
        measured=measured,
        problems=_each_once(problems),
        moves=MappingProxyType(moves),
    )


def _way(text: str) -> Way:
    return next((way for way in WAYS if way == text), next(iter(WAYS)))


def _measured(way: Way, typed: dict[str, str], session: Session) -> Measured:
    if way == "tape":
        return by_tape(typed)
    return by_numbers(typed) if way == "numbers" else by_build(typed, session)


def _each_once(problems: list[Problem]) -> tuple[Problem, ...]:
    return tuple({problem.field: problem for problem in problems}.values())
