"""Answers about builds, each remembered under exactly what was read to give it.

A question is asked of a build that notes what is read of it (`Watched`). Another build in
which all of that is the same has the same answer. Nobody lists what a question depends on,
so nothing can be forgotten in such a list::

    @remembered
    def ring_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]: ...

What is kept belongs to one catalogue and goes with it. An answer that rests on the rider
is never kept.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, wraps
from operator import attrgetter
from types import MappingProxyType
from typing import Any, Protocol, TypeVar, cast

from geometry.bike import Build, Cockpit, Seat, Standing
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.seat_range import SeatRange
from webapp.builds.solving.solver_inputs import Assembly
from webapp.catalogue.reading.views import AnyPart, PartView, SizeView
from webapp.catalogue.schema.part_kinds import ExtraData, PartData

D = TypeVar("D", bound=PartData)
Read = tuple[str, str]  # of what of the build, and which of it
Answer = tuple[WordedCheck, ...]

_PLAIN = frozenset({str, int, float, bool, type(None)})
# Made once for each catalogue and shared by its builds, so comparing identity is enough.
_SHARED = frozenset({PartView, SizeView, Build, Cockpit, SeatRange, MappingProxyType})


@cache
def _reader(of: str, which: str) -> Callable[[Setup], Any]:
    """What reads one value of a build."""
    if of == "part":
        return lambda setup: setup.assembly.parts.get(which)
    if of == "places":
        return lambda setup: tuple(setup.assembly.parts)
    if of == "extras":
        return lambda setup: setup.extras(which)
    return attrgetter(f"{of}.{which}")  # of its choice or its assembly


class NotToBeKept(Exception):
    """A value under which no answer may be stored, such as a rider."""


def _key_of(value: object) -> Hashable:
    """What tells one value that was read from another, as long as both are held."""
    kind = type(value)
    if kind in _SHARED:
        return id(value)
    if kind in _PLAIN:
        return value
    if isinstance(value, tuple):
        return tuple(map(_key_of, value))
    if isinstance(value, Seat):
        return (value.height, value.post_offset, value.rail_position, value.saddle_stack)
    raise NotToBeKept


def _sits_as_the_rider(choice: BuildChoice) -> bool:
    """Whether the saddle may be at the rider's own height, which follows from a body."""
    rider = choice.rider
    return rider is not None and rider.known and not choice.saddle_height


@dataclass(frozen=True, kw_only=True, eq=False)
class Watched(Setup):
    """A build that notes what is read of it, in the order in which it is read."""

    real: Setup
    reads: dict[Read, tuple[Hashable, object]] = field(default_factory=dict)
    tainted: list[Read] = field(default_factory=list)

    @classmethod
    def watching(cls, setup: Setup) -> Watched:
        """The same build, watched from now on."""
        made = cls(
            catalogue=setup.catalogue, choice=setup.choice, assembly=setup.assembly, real=setup
        )
        # Stand-ins for the build's own choice and assembly, read in the same way.
        object.__setattr__(made, "choice", cast("BuildChoice", _Attributes(made, "choice")))
        object.__setattr__(made, "assembly", cast("Assembly", _WatchedAssembly(made, "assembly")))
        return made

    def let_go(self) -> None:
        """Hold the build no longer: it and its stand-ins would hold each other until garbage is
        looked for.
        """
        self.__dict__.clear()

    def read(self, of: str, which: str) -> Any:
        """A value of the build, noted."""
        value = _reader(of, which)(self.real)
        if (of, which) not in self.reads:
            try:
                self.reads[of, which] = _key_of(value), value
            except NotToBeKept:
                self.tainted.append((of, which))
            if which == "seat" and _sits_as_the_rider(self.real.choice):
                self.tainted.append((of, which))
        return value

    def part(self, place: str) -> AnyPart | None:
        """The part at a place; that it was read is noted."""
        found: AnyPart | None = self.read("part", place)
        return found

    def data(self, place: str, kind: type[D]) -> D | None:
        """A part's data; that they were read is noted."""
        part = self.part(place)
        return None if part is None else part.of(kind).data

    def extras(self, use: str) -> tuple[PartView[ExtraData], ...]:
        """The extras of one use; that they were read is noted."""
        return cast("tuple[PartView[ExtraData], ...]", self.read("extras", use))


class _Attributes:
    """A choice or an assembly whose attributes are noted when they are read."""

    def __init__(self, watched: Watched, of: str) -> None:
        self._watched = watched
        self._of = of

    def __getattr__(self, name: str) -> Any:
        return self._watched.read(self._of, name)


class _WatchedAssembly(_Attributes):
    @property
    def parts(self) -> Mapping[str, AnyPart]:
        return _WatchedParts(self._watched)

    def data(self, place: str, kind: type[D]) -> D | None:
        return self._watched.data(place, kind)

    def standing(self, state: str) -> Standing:
        self._watched.read("assembly", "build")
        self._watched.read("assembly", "states")
        return self._watched.real.assembly.standing(state)


class _WatchedParts(Mapping[str, AnyPart]):
    def __init__(self, watched: Watched) -> None:
        self._watched = watched

    def __getitem__(self, place: str) -> AnyPart:
        part = self._watched.part(place)
        if part is None:
            raise KeyError(place)
        return part

    def __iter__(self) -> Iterator[str]:
        return iter(self._watched.read("places", ""))

    def __len__(self) -> int:
        return len(self._watched.read("places", ""))


MOST_STEPS = 2_000
"""How many are kept of one question; when there are more, it begins anew."""


class Step:
    """How far an answer is known: what has to be read next, or the answer.

    ``held`` is the value that led here: while the step is kept, no other has its identity.
    """

    __slots__ = ("after", "answer", "held", "of", "read")

    def __init__(self, of: Read | None, answer: Answer, held: object = None) -> None:
        self.of = of
        self.read = _reader(*of) if of else None
        self.answer = () if of else answer
        self.held = held
        self.after: dict[Hashable, Step] = {}


@dataclass(eq=False)
class Known:
    """What is known of one question in one catalogue."""

    first: Step
    many: int = 1

    def find(self, setup: Setup) -> Answer | None:
        """The answer for a build in which all that was read is the same."""
        step: Step | None = self.first
        while step is not None:
            if step.read is None:
                return step.answer
            try:
                value = step.read(setup)
                key = id(value) if type(value) in _SHARED else _key_of(value)
            except NotToBeKept:
                return None
            except AttributeError:  # of a build that does not stand, asked for its parts alone
                return None
            step = step.after.get(key)
        return None

    def add(self, reads: Mapping[Read, tuple[Hashable, object]], answer: Answer) -> None:
        """One answer more, under all that was read for it, in that order."""
        step = self.first
        following = (*list(reads)[1:], None)
        for (read, (key, value)), then in zip(reads.items(), following, strict=True):
            if step.of != read:
                return  # another thread has just given it
            after = step.after.get(key)
            if after is None:
                after = step.after.setdefault(key, Step(then, answer, value))
                self.many += 1
            step = after


class Question:
    """One question about builds, and the answers that were given to it.

    Parameters
    ----------
    name : hashable
        Distinguishes it from other questions.
    """

    def __init__(self, name: Hashable) -> None:
        self.name = name

    def recall(self, setup: Setup) -> Answer | None:
        """The answer that was given of a build in which all that counts was the same."""
        known = setup.assembly.memory.find(self.name)
        return known.find(setup) if isinstance(known, Known) else None

    def keep(self, watched: Watched, answer: Answer) -> Answer:
        """Remember an answer under what was read for it, and let go of the build."""
        if not watched.tainted:
            memory, reads = watched.catalogue.memory, watched.reads
            known = memory.find(self.name)
            if not isinstance(known, Known) or known.many >= MOST_STEPS:
                known = memory.put(self.name, Known(Step(next(iter(reads), None), answer)))
            known.add(reads, answer)
        watched.let_go()
        return answer


class Judge(Protocol):
    """Judges one build; where only what fails is wanted, words for the rest may be spared."""

    def __call__(self, setup: Setup, *, failing: bool = False) -> Iterable[WordedCheck]: ...


class RememberedJudge(Protocol):
    """The same, its answers remembered."""

    def __call__(self, setup: Setup, *, failing: bool = False) -> Answer: ...


def remembered(judge: Judge) -> RememberedJudge:
    """The same function, its answers remembered; all of them apart from those that fail.

    Parameters
    ----------
    judge : callable
        Its answer depends only on the build it is given.
    """
    name = f"{judge.__module__}.{getattr(judge, '__qualname__', '')}"
    every, fails = Question(name), Question(f"{name}, failing")

    @wraps(judge)
    def asked(setup: Setup, *, failing: bool = False) -> Answer:
        if isinstance(setup, Watched):  # what asks this, asks for all that it reads
            return answer(setup, failing)
        question = fails if failing else every
        known = question.recall(setup)
        if known is not None:
            return known
        whole = every.recall(setup) if failing else None
        if whole is not None:
            return tuple(check for check in whole if check.outcome == "no")
        watched = Watched.watching(setup)
        return question.keep(watched, answer(watched, failing))

    def answer(setup: Setup, failing: bool) -> Answer:
        found = judge(setup, failing=failing)
        return tuple(check for check in found if check.outcome == "no" or not failing)

    return asked
