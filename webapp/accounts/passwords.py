"""Passwords: argon2 hashes, and the same work for a wrong address as for a wrong password."""

from __future__ import annotations

import threading
from functools import cache

from pwdlib import PasswordHash

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

# NIST SP 800-63B rev. 4, section 3.1.1.2: length is what counts, at least 15 characters
# for a password used alone; no rules of composition, and room for a whole sentence.
SHORTEST = 15
LONGEST = 200

# One hash takes some 60 MB and a tenth of a second; a crowd of them waits in line.
_at_once = threading.BoundedSemaphore(2)


@cache
def _hasher() -> PasswordHash:
    return PasswordHash.recommended()


@cache
def _nobodys() -> str:
    """A hash that no password opens, checked when there is no account to check."""
    return hash_password(tr("nobody has this password"))


def hash_password(password: str) -> str:
    """The argon2 hash of a password, with a salt of its own; takes about 0.1 s."""
    with _at_once:
        return _hasher().hash(password)


def is_right(password: str, kept: str | None) -> bool:
    """Whether a password belongs to a hash; as long in coming when there is none.

    Parameters
    ----------
    password : str
        As typed.
    kept : str or None
        The account's hash; None when there is no such account or it has no password.

    Returns
    -------
    bool
    """
    if len(password) > LONGEST:
        password = ""  # cannot be right; the work is done all the same
    against = kept or _nobodys()
    with _at_once:
        matches = _hasher().verify(password, against)
    return matches and kept is not None


def check_new(password: str, again: str, *, mail: str) -> None:
    """Refuse a password that is too short, too long, mistyped, or the account's own address.

    Raises
    ------
    Invalid
        Field ``password`` or ``again``; the value is not repeated.

    Examples
    --------
    >>> check_new("short", "short", mail="edda@shop.example")
    Traceback (most recent call last):
    ...
    webapp.common.errors.Invalid: password is None: at least 15 characters; ...
    """
    if len(password) < SHORTEST:
        remedy = tr(
            "at least {shortest} characters; three or four unrelated words do well",
            shortest=SHORTEST,
        )
        raise Invalid("password", None, remedy)
    if len(password) > LONGEST:
        raise Invalid("password", None, tr("at most {longest} characters", longest=LONGEST))
    if mail in password.casefold() or len(set(password)) < 5:  # noqa: PLR2004
        raise Invalid("password", None, tr("something others would not try first"))
    if password != again:
        raise Invalid("again", None, tr("the same password as above"))
