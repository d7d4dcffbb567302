"""The second step of signing in: one-time codes by the clock (RFC 6238), and recovery codes.

The secret that codes come from is kept nowhere: it is made from the service's own key
and a random number of the account. Whoever reads the database alone makes no codes.
"""

from __future__ import annotations

import base64
import hmac
import secrets
import unicodedata
from datetime import datetime

import pyotp
from sqlalchemy import delete
from sqlmodel import Session, col, select

from webapp.accounts.people import account_id, note
from webapp.accounts.tables import Account, RecoveryCode, SecondStep
from webapp.common.errors import Conflict, Forbidden, Invalid
from webapp.common.security.tokens import token_hash
from webapp.common.text.language import tr

PERIOD = 30  # how long a code stands [s]; RFC 6238, section 5.2 [M]
CLOCKS_APART = 1  # codes before and after this one that pass too, for clocks that differ
RECOVERY_CODES = 10
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # without those that look alike
_PURPOSE = b"one-time codes\0"


def secret_of(key: bytes, salt: str) -> str:
    """The secret of an account's codes, in the letters that authenticator apps read.

    Parameters
    ----------
    key : bytes
        The service's own.
    salt : str
        The account's.

    Examples
    --------
    >>> len({secret_of(b"k" * 32, "salt"), secret_of(b"k" * 32, "pepper"), secret_of(b"", "salt")})
    3
    """
    return base64.b32encode(hmac.digest(key, _PURPOSE + salt.encode(), "sha256")[:20]).decode()


def step_of(secret: str, typed: str, *, at: datetime) -> int | None:
    """The time step that a typed code belongs to; None for a code that is not right now.

    Examples
    --------
    RFC 6238, appendix B, the first row: at 59 s the code ends in 287082.

    >>> from datetime import UTC
    >>> secret = base64.b32encode(b"12345678901234567890").decode()
    >>> step_of(secret, "287 082", at=datetime.fromtimestamp(59, UTC))
    1
    """
    code = _tidy(typed)
    now = int(at.timestamp()) // PERIOD
    totp = pyotp.TOTP(secret, interval=PERIOD)
    for step in range(max(0, now - CLOCKS_APART), now + CLOCKS_APART + 1):
        if hmac.compare_digest(totp.generate_otp(step).encode(), code.encode()):
            return step
    return None


def _tidy(typed: str) -> str:
    """The typed text without spaces and hyphens, in capitals, ASCII only."""
    plain = unicodedata.normalize("NFKC", typed[:100]).upper()
    return "".join(c for c in plain if c.isascii() and c.isalnum())


def address_for_app(secret: str, *, mail: str, firm: str) -> str:
    """What an authenticator app reads from the square code: whose codes, and the secret."""
    return pyotp.TOTP(secret, interval=PERIOD).provisioning_uri(name=mail, issuer_name=firm)


def second_step_of(session: Session, number: int) -> SecondStep | None:
    """The second step of an account, on or being set up; None without one."""
    return session.get(SecondStep, number, populate_existing=True)


def is_on(session: Session, number: int) -> bool:
    """Whether an account asks for codes."""
    found = second_step_of(session, number)
    return found is not None and found.confirmed_at is not None


def begin(session: Session, account: Account, *, at: datetime) -> None:
    """Make a new secret, which counts once a code of it was typed.

    Raises
    ------
    Conflict
        When the account asks for codes already.
    """
    number = account_id(account)
    found = second_step_of(session, number)
    if found is None:
        found = SecondStep(account_id=number, salt="", made_at=at)
    if found.confirmed_at is not None:
        raise Conflict("code", None, tr("the second step is on; turn it off to set it up anew"))
    found.salt, found.made_at, found.last_step = secrets.token_urlsafe(24), at, 0
    session.add(found)


def turn_on(
    session: Session, account: Account, typed: str, *, key: bytes, at: datetime
) -> tuple[str, ...]:
    """Have an account ask for codes from now on.

    Returns
    -------
    tuple of str
        Recovery codes, told once.

    Raises
    ------
    Invalid
        When the typed code is not of the secret shown.
    Conflict
        When nothing was begun, or it is on already.
    """
    found = second_step_of(session, account_id(account))
    if found is None or found.confirmed_at is not None:
        raise Conflict("code", None, tr("start the set-up of the second step again"))
    step = step_of(secret_of(key, found.salt), typed, at=at)
    if step is None:
        raise Invalid("code", None, _NOT_RIGHT)
    found.confirmed_at, found.last_step = at, step
    session.add(found)
    note(session, account, who=account.name, what="second step on", at=at)
    return new_recovery_codes(session, account, at=at)


_NOT_RIGHT = tr(
    "this is not the current code; wait for the next one, and check that the phone's clock is right"
)


def new_recovery_codes(session: Session, account: Account, *, at: datetime) -> tuple[str, ...]:
    """New recovery codes of an account; those before no longer work."""
    number = account_id(account)
    session.exec(delete(RecoveryCode).where(col(RecoveryCode.account_id) == number))
    codes = tuple(_recovery_code() for _ in range(RECOVERY_CODES))
    session.add_all(RecoveryCode(account_id=number, code_hash=token_hash(_tidy(c))) for c in codes)
    note(session, account, who=account.name, what="recovery codes made", at=at)
    return codes


def _recovery_code() -> str:
    """Eighty bits in four groups."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(4))


def codes_left(session: Session, number: int) -> int:
    """How many recovery codes of an account were not used yet."""
    query = select(RecoveryCode.id).where(
        RecoveryCode.account_id == number, col(RecoveryCode.used_at).is_(None)
    )
    return len(session.exec(query).all())


def turn_off(session: Session, account: Account, *, who: str, at: datetime) -> bool:
    """Ask an account for no codes any more; gives whether it did."""
    number = account_id(account)
    was_on = is_on(session, number)
    session.exec(delete(RecoveryCode).where(col(RecoveryCode.account_id) == number))
    session.exec(delete(SecondStep).where(col(SecondStep.account_id) == number))
    if was_on:
        note(session, account, who=who, what="second step off", at=at)
    return was_on


def pass_second_step(
    session: Session, account: Account, typed: str, *, key: bytes, at: datetime
) -> None:
    """Use up a one-time code or a recovery code.

    Parameters
    ----------
    session : Session
        A writing session.
    account : Account
        One that asks for codes.
    typed : str
        Either kind of code, spaces and hyphens as one likes.
    key : bytes
        The service's own.
    at : datetime

    Raises
    ------
    Forbidden
        For a code that is not right, or was used before.
    """
    number = account_id(account)
    query = select(SecondStep).where(SecondStep.account_id == number).with_for_update()
    found = session.exec(query.execution_options(populate_existing=True)).one()
    step = step_of(secret_of(key, found.salt), typed, at=at)
    if step is not None:
        if _used_before(found.last_step, step):
            raise Forbidden("code", None, tr("this code was used already; wait for the next one"))
        found.last_step = step
        session.add(found)
    elif not _use_recovery_code(session, account, typed, at=at):
        raise Forbidden("code", None, _NOT_RIGHT)


def _used_before(last: int, step: int) -> bool:
    """Whether a step was used; one far ahead was noted by a clock that was wrong."""
    return step <= last <= step + 2 * CLOCKS_APART


def _use_recovery_code(session: Session, account: Account, typed: str, *, at: datetime) -> bool:
    query = select(RecoveryCode).where(
        RecoveryCode.account_id == account_id(account),
        RecoveryCode.code_hash == token_hash(_tidy(typed)),
        col(RecoveryCode.used_at).is_(None),
    )
    found = session.exec(query.with_for_update()).first()
    if found is None:
        return False
    found.used_at = at
    session.add(found)
    note(session, account, who=account.name, what="recovery code used", at=at)
    return True
