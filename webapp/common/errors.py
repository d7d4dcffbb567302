"""Errors a service may raise, one tree, without knowing anything of the web framework.

    DomainError              status, problems (each: field, value, remedy)
    ├── Invalid       422    one or several fields hold something that cannot be used
    ├── NotFound      404    what was asked for is not there
    ├── Forbidden     403    it is there, but not for this person
    ├── Conflict      409    it was possible once and is not any more
    ├── TooMany       429    asked too often; carries when to come back
    └── Unavailable   503    right, and not to be had now; carries when to come back

`webapp.common.web.error_answers` turns them into pages and JSON answers, in one place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import ClassVar, Self, TypeVar

from geometry.core import GeometryError
from webapp.common.remedies import REMEDIES
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized

Value = TypeVar("Value")


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: where, what was found there, and what would be right."""

    field: str
    value: object
    remedy: str

    @classmethod
    def of(cls, error: GeometryError, field: str = "") -> Problem:
        """What the geometry refused, in words; at another field, where it is called otherwise."""
        return cls(field or error.field, error.value, REMEDIES.say(error.remedy))

    def __str__(self) -> str:
        return tr(
            "{field} is {value!r}: {remedy}", field=self.field, value=self.value, remedy=self.remedy
        )


class DomainError(Exception):
    """Something asked of the service cannot be done.

    Parameters
    ----------
    field : str
        Name of the input at fault, as the form or the JSON body names it.
    value : object
        What was found there.
    remedy : str
        What would be right, as a sentence without its full stop.
    """

    status: ClassVar[int] = 400

    def __init__(self, field: str, value: object, remedy: str) -> None:
        self.problems: tuple[Problem, ...] = (Problem(field, value, remedy),)
        super().__init__(field, value, remedy)

    @classmethod
    def of(cls, problems: Iterable[Problem]) -> Self:
        """One error that carries several problems; at least one is needed."""
        several = tuple(problems)
        error = cls(several[0].field, several[0].value, several[0].remedy)
        error.problems = several
        return error

    @property
    def field(self) -> str:
        """Field of the first problem."""
        return self.problems[0].field

    @property
    def value(self) -> object:
        """Value of the first problem."""
        return self.problems[0].value

    @property
    def remedy(self) -> str:
        """Remedy of the first problem."""
        return self.problems[0].remedy

    def __str__(self) -> str:
        return "; ".join(map(str, self.problems))


class Invalid(DomainError):
    """One or several fields hold something that cannot be used."""

    status = 422


class NotFound(DomainError):
    """What was asked for does not exist."""

    status = 404


class Forbidden(DomainError):
    """It exists, but this person may not have it or do it."""

    status = 403


class Conflict(DomainError):
    """What was asked for contradicts what has happened in the meantime."""

    status = 409


class TooMany(DomainError):
    """Asked too often; ``retry_after`` [s] says when to come back."""

    status = 429

    def __init__(self, field: str, value: object, remedy: str, *, retry_after: int = 60) -> None:
        super().__init__(field, value, remedy)
        self.retry_after = retry_after


class Unavailable(DomainError):
    """Right, and not to be had at this moment; ``retry_after`` [s] says when to come back."""

    status = 503

    def __init__(self, field: str, value: object, remedy: str, *, retry_after: int = 5) -> None:
        super().__init__(field, value, remedy)
        self.retry_after = retry_after


class Gathering:
    """Collects the problems of several fields, so that a form reports them all at once.

    Examples
    --------
    >>> from webapp.common.text.units import length_mm
    >>> gathering = Gathering()
    >>> gathering.take(lambda: length_mm("170", field="stature", low=1200, high=2200))
    1700.0
    >>> gathering.take(lambda: length_mm("tall", field="inseam", low=550, high=1100)) is None
    True
    >>> gathering.finish()
    Traceback (most recent call last):
    ...
    webapp.common.errors.Invalid: inseam is 'tall': ...
    """

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def take(self, attempt: Callable[[], Value]) -> Value | None:
        """The result of ``attempt``, or None when it raised and its problems were noted."""
        try:
            return attempt()
        except Invalid as error:
            self.problems.extend(error.problems)
        except GeometryError as error:
            self.problems.append(Problem.of(error))
        return None

    def add(self, field: str, value: object, remedy: str) -> None:
        """Note one problem."""
        self.problems.append(Problem(field, value, remedy))

    def finish(self) -> None:
        """Raise `Invalid` with everything that was noted, if anything was."""
        if self.problems:
            raise Invalid.of(self.problems)


def remedy_in_words(error: DomainError | GeometryError) -> str:
    """What would be right, as a sentence without its full stop."""
    return error.remedy if isinstance(error, DomainError) else REMEDIES.say(error.remedy)


def form_errors(error: DomainError | None) -> tuple[tuple[tuple[str, str], ...], dict[str, str]]:
    """What was wrong with a form, as its summary and each of its fields say it.

    Returns
    -------
    (pairs, by_field)
        Field and sentence each, in order; and the sentence of each field.

    Examples
    --------
    >>> form_errors(Invalid("mail", "ada", "write a mail address"))
    ((('mail', 'Write a mail address'),), {'mail': 'Write a mail address'})
    >>> form_errors(None)
    ((), {})
    """
    problems = error.problems if error else ()
    pairs = tuple((p.field, capitalized(p.remedy)) for p in problems)
    return pairs, dict(pairs)
