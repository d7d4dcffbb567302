"""Text as people type it, tidied: names, mail addresses, lines that can be printed."""

from __future__ import annotations

import re
import unicodedata

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

LONGEST_NAME = 120
LONGEST_MAIL = 254  # octets of a mail address, RFC 5321 section 4.5.3.1.3

# Something, one @, and a domain with a dot in it. Whether it reaches anybody only a mail can tell.
_MAIL = re.compile(r"[^@\s,;<>()\[\]\\\"]+@[^@\s,;<>()\[\]\\\".]+(\.[^@\s,;<>()\[\]\\\".]+)+")

# Marks that change the writing direction, also of the sheet's own text after them.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def check_name(typed: str, name: str) -> None:
    """Refuse a name that is missing or too long."""
    if not name:
        raise Invalid("name", typed, tr("write your name, so that we know whom the quote is for"))
    if len(name) > LONGEST_NAME:
        remedy = tr(
            "at most {longest_name} characters; this has {name}",
            longest_name=LONGEST_NAME,
            name=len(name),
        )
        raise Invalid("name", typed, remedy)


def check_mail(typed: str, mail: str) -> None:
    """Refuse what cannot be a mail address."""
    if len(mail.encode()) > LONGEST_MAIL or not _MAIL.fullmatch(mail):
        raise Invalid("mail", typed, tr("write a mail address, such as name@example.org"))


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
