"""Every topic that is computed, with the places whose parts can change its answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from webapp.builds.fitting.calculations.drive import (
    loop_checks,
    loops_surely_close,
    ring_checks,
    rings_surely_fit,
)
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.hub import hub_checks
from webapp.builds.fitting.calculations.loads import load_checks, usage_checks
from webapp.builds.fitting.calculations.post import bottle_checks, post_checks, posts_surely_reach
from webapp.builds.fitting.calculations.questions import QUESTIONS
from webapp.builds.fitting.calculations.remembered import Judge, remembered
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.tyres import (
    front_tyre_checks,
    mudguard_checks,
    rear_tyre_checks,
    rear_tyres_surely_fit,
    tyre_checks,
)
from webapp.builds.fitting.sentences import WordedCheck


def _places_of(prefixes: tuple[str, ...]) -> frozenset[str]:
    return frozenset(
        place
        for code, question in QUESTIONS.items()
        if code.startswith(prefixes)
        for place in question.places
    )


def _none_is_sure(_setup: Setup, others: Sequence[Setup]) -> list[bool]:
    return [False] * len(others)


@dataclass(frozen=True, eq=False)
class Topic:
    """One topic.

    Parameters
    ----------
    judge : callable
        How it is judged.
    prefixes : tuple of str
        The first parts of its checks' codes.
    sure : callable
        Of a build and the same with other parts: which of these surely fail none of its
        checks in which a part takes part. It costs much less than judging each, and what
        it leaves open is judged.
    """

    judge: Judge
    prefixes: tuple[str, ...]
    sure: Callable[[Setup, Sequence[Setup]], list[bool]] = _none_is_sure

    @cached_property
    def places(self) -> frozenset[str]:
        """Places that take part in any of its questions."""
        return _places_of(self.prefixes)


@remembered
def _loop_anywhere(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Chain or belt, wherever in the slot the axle would have to be."""
    return loop_checks(setup, where_it_is=False, failing=failing)


def _usage_wished(setup: Setup, *, failing: bool = False) -> Iterable[WordedCheck]:
    """The riding wished; without a wish no part fails it."""
    return () if setup.choice.usage is None else usage_checks(setup, failing=failing)


PARTS_TOPICS: tuple[Topic, ...] = (
    Topic(rear_tyre_checks, ("tyre.rear", "tyre.mudguard"), rear_tyres_surely_fit),
    Topic(front_tyre_checks, ("tyre.front",)),
    Topic(_loop_anywhere, ("drive.slot", "drive.chain_length"), loops_surely_close),
    Topic(ring_checks, ("drive.ring_room",), rings_surely_fit),
    Topic(hub_checks, ("drive.hub_ratio", "drive.reaction_arm")),
    Topic(post_checks, ("post.",), posts_surely_reach),
    Topic(_usage_wished, ("load.usage",)),
)
"""Topics that another part can change, and that are judged build by build."""


def topics_of(code: str) -> tuple[Topic, ...]:
    """Of these topics the one that a check belongs to; none for one that is not computed.

    >>> [topic.prefixes for topic in topics_of("post.range")]
    [('post.',)]
    """
    return tuple(topic for topic in PARTS_TOPICS if code.startswith(topic.prefixes))


FEET_PLACES = _places_of(("feet.",))
"""Places that take part in what is judged for many builds at once."""


def judged(setup: Setup) -> Iterator[WordedCheck]:
    """Every computed answer about one build.

    Parameters
    ----------
    setup : Setup

    Yields
    ------
    WordedCheck
        Tyres, drive, post and bottles, feet, loads.
    """
    yield from tyre_checks(setup)
    yield from loop_checks(setup)
    yield from ring_checks(setup)
    yield from hub_checks(setup)
    yield from post_checks(setup)
    yield from feet_checks([setup])[0]
    yield from load_checks(setup)


def failing_extras(setup: Setup) -> Iterator[WordedCheck]:
    """What fails of mudguards and bottles alone."""
    if setup.extras("mudguard"):
        yield from mudguard_checks(setup, failing=True)
    if setup.extras("bottle"):
        yield from bottle_checks(setup, failing=True)


def of_parts(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Answers that other parts can change, wherever the axle would have to be; but for the feet."""
    for topic in PARTS_TOPICS:
        yield from topic.judge(setup, failing=failing)
