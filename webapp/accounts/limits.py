"""How often somebody may try to sign in, and what a known browser is.

Wrong tries make whoever sends them wait, and make everybody wait who tries the same
account; only a browser that has signed in to that account before is counted by
itself. So nobody can keep the shop's people out by trying their passwords.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from webapp.accounts.people import LONGEST_MAIL, tidy_mail
from webapp.common.security.tokens import new_key, read_signed, signed
from webapp.common.text.language import tr
from webapp.rate_limits.counting import Ask
from webapp.rate_limits.rules import Share, Tries

_KNOWN_WAY = tr("use a browser that has signed in to it before")

SENDER = Tries(
    kind="sign-in by sender", what=tr("signing in from your network"), free=30, forgotten=3600,
    cleared=False, otherwise=_KNOWN_WAY,
)  # fmt: skip
ACCOUNT = Tries(
    kind="sign-in by account", what=tr("signing in to this account"), free=8, otherwise=_KNOWN_WAY
)
BROWSER = Tries(kind="sign-in by browser", what=tr("signing in from this browser"), free=8)
CODE = Tries(kind="code by account", what=tr("codes of this account"), free=6)
LINK = Share(kind="link", what=tr("a link"), times=30, seconds=600)

KNOWN_FOR = timedelta(days=365)
_PURPOSE = "known browser"


def asks_of_sign_in(mail: str, sender: Ask, browser: str | None) -> tuple[Ask, ...]:
    """What a try to sign in is counted under.

    Parameters
    ----------
    mail : str
        As typed. An address without an account is counted like one with, so that
        the refusal tells nothing.
    sender : Ask
        The try under `SENDER`.
    browser : str or None
        The browser's number when this account knows it (`known_browser`).
    """
    account = account_ask(mail)
    if browser is None:
        return (sender, account)
    return (Ask(BROWSER, f"{account.who} {browser}"),)


def account_ask(mail: str) -> Ask:
    """A try under `ACCOUNT`."""
    return Ask(ACCOUNT, tidy_mail(mail)[:LONGEST_MAIL])


def browser_mark(key: bytes, account: int, *, at: datetime) -> str:
    """What a browser keeps to be known for an account, signed; new at every sign-in."""
    return signed(key, _PURPOSE, f"{account}.{new_key()}.{int(at.timestamp())}")


def known_browser(key: bytes, account: int | None, mark: str, *, at: datetime) -> str | None:
    """The number of a browser that an account knows; None for any other.

    Examples
    --------
    >>> from webapp.common.timestamps import now
    >>> mark = browser_mark(b"k" * 32, 7, at=now())
    >>> len(known_browser(b"k" * 32, 7, mark, at=now()))
    24
    >>> known_browser(b"k" * 32, 8, mark, at=now()), known_browser(b"k" * 32, None, "", at=now())
    (None, None)
    """
    text = read_signed(key, _PURPOSE, mark)
    if text is None or account is None:
        return None
    number, browser, since = text.split(".")
    age = at.timestamp() - int(since)
    known = number == str(account) and age <= KNOWN_FOR.total_seconds()
    return browser if known else None
