"""Who asks for a quote: name, mail and note, cleaned and checked."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from pydantic import TypeAdapter

from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.quote.frozen_check import FrozenCheck

LONGEST_NAME = 120
LONGEST_MAIL = 254  # octets of a mail address, RFC 5321 section 4.5.3.1.3
LONGEST_NOTE = 2000

# Something, one @, and a domain with a dot in it. Whether it reaches anybody only a mail can tell.
_MAIL = re.compile(r"[^@\s,;<>()\[\]\\\"]+@[^@\s,;<>()\[\]\\\".]+(\.[^@\s,;<>()\[\]\\\".]+)+")

# Marks that turn the direction of the text after them, and could turn a sheet's own words.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@dataclass(frozen=True, kw_only=True)
class Customer:
    """A customer as kept: nothing in it that cannot be printed.

    All that is known of a person is here and nothing of it in the content of a
    quote: ``rider`` are the fields of the build's address that tell of the body,
    ``fit`` is what follows from them in sentences, ``checks`` what the builder's
    limits say to their weight, judged and frozen with the version.
    """

    name: str
    mail: str
    note: str = ""
    rider: tuple[tuple[str, str], ...] = ()
    fit: tuple[str, ...] = ()
    checks: tuple[FrozenCheck, ...] = ()


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
    gathering.take(lambda: _check_name(name, read.name))
    if read.mail or mail_needed:
        gathering.take(lambda: _check_mail(mail, read.mail))
    gathering.take(lambda: _check_note(note, read.note))
    gathering.finish()
    return read


def _check_name(typed: str, name: str) -> None:
    if not name:
        raise Invalid("name", typed, tr("write your name, so that we know whom the quote is for"))
    if len(name) > LONGEST_NAME:
        remedy = tr(
            "at most {longest_name} characters; this has {name}",
            longest_name=LONGEST_NAME,
            name=len(name),
        )
        raise Invalid("name", typed, remedy)


def _check_mail(typed: str, mail: str) -> None:
    if len(mail.encode()) > LONGEST_MAIL or not _MAIL.fullmatch(mail):
        raise Invalid("mail", typed, tr("write a mail address, such as name@example.org"))


def _check_note(typed: str, note: str) -> None:
    if len(note) > LONGEST_NOTE:
        remedy = tr(
            "at most {longest_note} characters; this has {note}",
            longest_note=LONGEST_NOTE,
            note=len(note),
        )
        raise Invalid("note", typed, remedy)


def one_line(text: str) -> str:
    """Text for one line: every run of white space one space, nothing unprintable.

    >>> one_line("  two\\n\\nlines\\x00 ")
    'two lines'
    """
    return " ".join(_printable(text).split())


def several_lines(text: str) -> str:
    """Text of several lines: line ends alike, at most one empty line in a row.

    >>> several_lines("one \\r\\n\\r\\n\\r\\n two\\x07")
    'one\\n\\ntwo'
    """
    lines = [line.strip() for line in _printable(text.expandtabs(1)).splitlines()]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()


def _printable(text: str) -> str:
    """Without control characters, lone surrogates and marks that turn the direction."""
    tidy = unicodedata.normalize("NFC", text)
    kept = (c for c in tidy if c in "\n\r\t " or unicodedata.category(c) not in {"Cc", "Cs"})
    return "".join(c for c in kept if c not in _TURNING)
