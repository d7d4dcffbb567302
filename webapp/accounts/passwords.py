"""Passwords: argon2 hashes, and the same work for a wrong address as for a wrong password."""

from __future__ import annotations

import re
import threading
from functools import cache

from pwdlib import PasswordHash
from zxcvbn import zxcvbn

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

# NIST SP 800-63B rev. 4, section 3.1.1.2: length is what counts, at least 15 characters
# for a password used alone; no rules of composition, and room for a whole sentence.
SHORTEST = 15
LONGEST = 200

# Its lists hold what people choose most: passwords, words, names, runs of keys and dates.
# So many guesses by whoever knows the lists are more than a thief of our hashes makes in years.
FEWEST_GUESSES = 10**10
_READ = 72  # characters that are held against the lists; a beginning that long is good by itself
_OURS = ("correct horse battery staple", "correcthorsebatterystaple", "workshop", "bicycle")

# One hash takes some 60 MB and a tenth of a second; a crowd of them waits in line.
_at_once = threading.BoundedSemaphore(2)


@cache
def _hasher() -> PasswordHash:
    return PasswordHash.recommended()


@cache
def _nobodys() -> str:
    """A hash that no password opens, checked when there is no account to check."""
    return hash_password("nobody has this password")


def hash_password(password: str) -> str:
    """The argon2 hash of a password, with a salt of its own; takes about 0.1 s."""
    with _at_once:
        return _hasher().hash(password)


def is_right(password: str, kept: str | None) -> bool:
    """Whether a password belongs to a hash; takes as long when there is no hash.

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


def is_common(password: str, *, about: tuple[str, ...] = ()) -> bool:
    """Whether a password would be guessed soon: it is on the lists, or made of words on them.

    Parameters
    ----------
    password : str
        As typed.
    about : tuple of str
        What is known of its owner and is no secret, such as a name.

    Examples
    --------
    >>> is_common("Password12345678"), is_common("qwertyuiopasdfgh"), is_common("a" * 40)
    (True, True, True)
    >>> is_common("edda marl edda 1", about=("Edda Marl",)), is_common("kiln heather axle")
    (True, False)
    """
    known = [word for text in (*about, *_OURS) for word in (text, *re.split(r"[\W_]+", text))]
    found = zxcvbn(password[:_READ], user_inputs=[word for word in known if word])
    return bool(found["guesses"] < FEWEST_GUESSES)


_COMMON = tr(
    "a password that is harder to guess: this one is among the most used, or made of them; three "
    "or four unrelated words work well"
)


def check_new(password: str, again: str, *, mail: str, name: str = "") -> None:
    """Refuse a password that is too short, too long, mistyped, common, or tells of its owner.

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
            "at least {shortest} characters; three or four unrelated words work well",
            shortest=SHORTEST,
        )
        raise Invalid("password", None, remedy)
    if len(password) > LONGEST:
        raise Invalid("password", None, tr("at most {longest} characters", longest=LONGEST))
    if mail in password.casefold() or is_common(password, about=(mail, name)):
        raise Invalid("password", None, _COMMON)
    if password != again:
        raise Invalid("again", None, tr("the same password as above"))
