"""Who asks for a quote: name, mail and note, cleaned and checked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pydantic import TypeAdapter

from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.customers.typed import check_mail, check_name, one_line, several_lines
from webapp.quote.frozen_check import FrozenCheck

LONGEST_NOTE = 2000


@dataclass(frozen=True, kw_only=True)
class FurtherRider:
    """Who rides a further bike of the quote: what is known of them, and what follows."""

    rider: tuple[tuple[str, str], ...] = ()
    fit: tuple[str, ...] = ()
    checks: tuple[FrozenCheck, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Customer:
    """A customer as kept: nothing in it that cannot be printed.

    All that is known of a person is here and nothing of it in the content of a
    quote: ``rider`` are the fields of the build's address that tell of the body,
    ``fit`` is what follows from them in sentences, ``checks`` what the builder's
    limits say to their weight, judged and frozen with the version. ``further`` are the
    riders of the quote's other bikes.
    """

    name: str
    mail: str
    note: str = ""
    rider: tuple[tuple[str, str], ...] = ()
    fit: tuple[str, ...] = ()
    checks: tuple[FrozenCheck, ...] = ()
    further: tuple[FurtherRider, ...] = ()

    def riding(self, bike: int) -> Customer:
        """The same customer as the rider of that bike; without one where no rider is known."""
        if bike == 1:
            return replace(self, further=())
        known = self.further[bike - 2] if bike - 2 < len(self.further) else FurtherRider()
        return replace(self, rider=known.rider, fit=known.fit, checks=known.checks, further=())


def with_riders(riding: Sequence[Customer]) -> Customer:
    """One customer of a quote's bikes, each as whoever rides it."""
    first, *others = riding
    further = (FurtherRider(rider=o.rider, fit=o.fit, checks=o.checks) for o in others)
    return replace(first, further=tuple(further))


CUSTOMER_DATA = TypeAdapter(Customer)
"""A customer to and from the plain JSON values of a version's row."""


def read_customer(*, name: str, mail: str, note: str, mail_needed: bool = True) -> Customer:
    """Check what was typed into the form.

    Parameters
    ----------
    name, mail, note : str
        As typed.
    mail_needed : bool
        Whether the mail address may be missing: somebody at the counter may have none.

    Returns
    -------
    Customer
        Spaces around and doubled within taken out; control characters, and marks
        that turn the direction of writing, left out.

    Raises
    ------
    Invalid
        With every field that cannot be used: ``name``, ``mail``, ``note``.

    Examples
    --------
    >>> read_customer(name=" Ada\\tMarl ", mail="ada@marl.example", note="").name
    'Ada Marl'
    >>> read_customer(name="", mail="ada", note="")
    Traceback (most recent call last):
    ...
    webapp.common.errors.Invalid: name is '': ...; mail is 'ada': ...
    """
    gathering = Gathering()
    read = Customer(name=one_line(name), mail=one_line(mail), note=several_lines(note))
    gathering.take(lambda: check_name(name, read.name))
    if read.mail or mail_needed:
        gathering.take(lambda: check_mail(mail, read.mail))
    gathering.take(lambda: _check_note(note, read.note))
    gathering.finish()
    return read


def _check_note(typed: str, note: str) -> None:
    if len(note) > LONGEST_NOTE:
        remedy = tr(
            "at most {longest_note} characters; this has {note}",
            longest_note=LONGEST_NOTE,
            note=len(note),
        )
        raise Invalid("note", typed, remedy)
