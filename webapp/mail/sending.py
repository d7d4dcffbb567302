"""Handing mails to an SMTP server, from a thread of their own."""

from __future__ import annotations

import logging
import smtplib
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from typing import Any

from sqlalchemy import Engine

from webapp.common.settings import Settings
from webapp.common.text.language import tr
from webapp.common.timestamps import now
from webapp.mail.attaching import Attach, nothing
from webapp.mail.outbox import (
    UNKNOWN,
    GivenUp,
    Taken,
    give_up_unknown,
    hand_over,
    nobody,
    not_sent,
    sent,
    take,
)

log = logging.getLogger(__name__)

PATIENCE = 20.0  # how long a server may take to answer [s]
# ... and to confirm a mail: giving up sooner would send it twice, RFC 5321 4.5.3.2.6.
LAST_PATIENCE = 600.0
PAUSE = 3.0  # between looks into the outbox [s]
NO_ADDRESS = tr(
    "No mail is sent: SMTP_HOST is set and BASE_URL is not. Set BASE_URL to the public address of "
    "this service, such as https://bikes.example.org, for the links in mails."
)
PERMANENT = 500  # reply codes from here on are refusals for good, RFC 5321 section 4.2.1


def compose(taken: Taken, sender: str, *, at: datetime, attach: Attach = nothing) -> EmailMessage:
    """The mail as it goes out.

    Its Message-ID is made from the mail's key: should a try be repeated after
    the server took it, mail programs can see that both are the same.

    Raises
    ------
    ValueError
        For an address that cannot stand in a header, or a document that cannot be made.
    """
    message = taken.message
    made = EmailMessage(policy=SMTP)
    made["From"] = sender
    user, _, domain = message.to_mail.rpartition("@")
    made["To"] = Address(message.to_name, username=user, domain=domain)
    made["Subject"] = " ".join(message.subject.split())
    made["Date"] = format_datetime(at)
    made["Message-ID"] = f"<{taken.key}@{sender.rpartition('@')[2].strip('>')}>"
    made["Auto-Submitted"] = "auto-generated"
    made.set_content(message.body)
    if message.attached:
        document = attach(message.attached)
        made.add_attachment(
            document.content, maintype="application", subtype="pdf", filename=document.name
        )
    return made


class TakenByAnother(Exception):
    """Another try has this mail now."""


class _Server(smtplib.SMTP):
    """A mail server; a callback runs just before it is given a mail."""

    handing: Callable[[], None] | None = None

    def data(self, msg: Any) -> tuple[int, bytes]:
        """Give it the mail, and wait for its final reply."""
        if self.handing:
            self.handing()
        if self.sock:
            self.sock.settimeout(LAST_PATIENCE)
        return super().data(msg)


class _SecuredServer(_Server, smtplib.SMTP_SSL):
    """The same behind TLS from the first byte."""


def send(
    taken: Taken,
    settings: Settings,
    *,
    at: datetime,
    handing: Callable[[], None],
    attach: Attach = nothing,
) -> None:
    """Hand one mail to the configured server.

    Parameters
    ----------
    taken : Taken
    settings : Settings
    at : datetime
    handing : callable
        Called just before the server is given the mail; what it raises stops the try.
    attach : callable
        Makes the document that goes with it.

    Raises
    ------
    OSError, smtplib.SMTPException
        When the server cannot be reached or refuses.
    """
    made = compose(taken, settings.mail_from, at=at, attach=attach)
    with _connected(settings) as server:
        if settings.smtp_user:
            password = settings.smtp_password.get_secret_value() if settings.smtp_password else ""
            server.login(settings.smtp_user, password)
        server.handing = handing
        server.send_message(made)


@contextmanager
def _connected(settings: Settings) -> Iterator[_Server]:
    host, port, context = settings.smtp_host or "", settings.smtp_port, ssl.create_default_context()
    server: _Server
    if settings.smtp_security == "tls":
        server = _SecuredServer(host, port, timeout=PATIENCE, context=context)
    else:
        server = _Server(host, port, timeout=PATIENCE)
    try:
        if settings.smtp_security == "starttls":
            server.starttls(context=context)
        yield server
        _say_goodbye(server)
    finally:
        server.close()


def _say_goodbye(server: smtplib.SMTP) -> None:
    """Close the connection properly; the mail was accepted, whatever the server answers now."""
    try:
        if server.sock:
            server.sock.settimeout(PATIENCE)
        server.quit()
    except (OSError, smtplib.SMTPException) as error:
        log.info("the mail server took a mail and no leave: %s", type(error).__name__)


def refused_for_good(error: Exception) -> bool:
    """Whether trying again could not help: address or mail are refused, or cannot be written."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= PERMANENT for code, _ in error.recipients.values())
    if isinstance(error, smtplib.SMTPDataError):
        return error.smtp_code >= PERMANENT
    return isinstance(error, ValueError | UnicodeError | smtplib.SMTPNotSupportedError)


def why_not(error: Exception) -> str:
    """Why no server took a mail, in words.

    >>> why_not(smtplib.SMTPRecipientsRefused({"a@b.example": (550, b"no such user")}))
    'the mail server refused the address: 550 no such user'
    >>> why_not(ConnectionRefusedError(111, "Connection refused"))
    'the mail server could not be reached: Connection refused'
    """
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, said = next(iter(error.recipients.values()))
        return tr(
            "the mail server refused the address: {code} {answer}", code=code, answer=_text(said)
        )
    if isinstance(error, smtplib.SMTPResponseException):
        return tr(
            "the mail server refused the mail: {code} {answer}",
            code=error.smtp_code,
            answer=_text(error.smtp_error),
        )
    if isinstance(error, OSError) and not isinstance(error, smtplib.SMTPException):
        reason = error.strerror or str(error) or type(error).__name__
        return tr("the mail server could not be reached: {reason}", reason=reason)
    return tr("the mail could not be sent: {error}", error=str(error) or type(error).__name__)


def _text(said: bytes | str) -> str:
    return said.decode("utf-8", "replace") if isinstance(said, bytes) else said


class Postman:
    """Sends what is due, until stopped.

    Parameters
    ----------
    engine : Engine
    send : callable
        Hands one mail over at a moment, or raises; calls what it is given third just
        before the server is given the mail.
    clock : callable
        This moment.
    given_up : callable
        Told of every mail that is given up.
    """

    def __init__(
        self,
        engine: Engine,
        send: Callable[[Taken, datetime, Callable[[], None]], None],
        *,
        clock: Callable[[], datetime] = now,
        given_up: GivenUp = nobody,
    ) -> None:
        self.engine = engine
        self.send = send
        self.clock = clock
        self.given_up = given_up
        self.stopping = threading.Event()
        self.thread = threading.Thread(target=self._work, name="postman", daemon=True)

    def round(self) -> int:
        """Try everything that is due; gives how many mails were tried."""
        give_up_unknown(self.engine, at=self.clock(), given_up=self.given_up)
        tried = 0
        while not self.stopping.is_set() and (taken := take(self.engine, at=self.clock())):
            tried += 1
            self._try(taken)
        return tried

    def _try(self, taken: Taken) -> None:
        handed = False

        def handing() -> None:
            nonlocal handed
            if not hand_over(self.engine, taken, at=self.clock()):
                raise TakenByAnother
            handed = True

        try:
            self.send(taken, self.clock(), handing)
        except TakenByAnother:
            log.warning("mail %s was taken by a later try", taken.key)
        except (OSError, smtplib.SMTPException, ValueError) as error:
            log.warning("mail %s not sent: %s", taken.key, type(error).__name__)
            unknown = handed and not isinstance(error, smtplib.SMTPResponseException)
            self._failed(taken, error, unknown=unknown)
        else:
            sent(self.engine, taken, at=self.clock())

    def _failed(self, taken: Taken, error: Exception, *, unknown: bool) -> None:
        not_sent(
            self.engine,
            taken,
            at=self.clock(),
            error=UNKNOWN if unknown else why_not(error),
            for_good=unknown or refused_for_good(error),
            given_up=self.given_up,
        )

    def _work(self) -> None:
        while not self.stopping.is_set():
            try:
                self.round()
            except Exception:
                # Any error: if this thread ended, no mail would be sent any more.
                log.exception("the outbox could not be worked through")
            self.stopping.wait(PAUSE)

    def start(self) -> None:
        """Begin."""
        self.thread.start()

    def stop(self) -> None:
        """Finish the mail in hand and end."""
        self.stopping.set()
        if self.thread.is_alive():
            self.thread.join(PATIENCE)


@contextmanager
def postman(
    engine: Engine, settings: Settings, *, given_up: GivenUp = nobody, attach: Attach = nothing
) -> Iterator[Postman | None]:
    """A postman at work while the service runs; None when no mail can be sent."""
    if settings.mail_lacks_address:
        log.warning(NO_ADDRESS)
    if not settings.sends_mail:
        yield None
        return
    working = Postman(
        engine,
        lambda taken, at, handing: send(taken, settings, at=at, handing=handing, attach=attach),
        given_up=given_up,
    )
    working.start()
    try:
        yield working
    finally:
        working.stop()
