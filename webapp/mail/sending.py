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

from sqlalchemy import Engine

from webapp.common.settings import Settings
from webapp.common.text.language import tr
from webapp.common.timestamps import now
from webapp.mail.outbox import Taken, not_sent, sent, take

log = logging.getLogger(__name__)

PATIENCE = 20.0  # how long a server may take to answer [s]
PAUSE = 3.0  # between looks into the outbox [s]
NO_ADDRESS = tr(
    "No mail is sent: SMTP_HOST is set and BASE_URL is not. Set BASE_URL to the public address of "
    "this service, such as https://bikes.example.org, for the links in mails."
)
PERMANENT = 500  # reply codes from here on are refusals for good, RFC 5321 section 4.2.1


def compose(taken: Taken, sender: str, *, at: datetime) -> EmailMessage:
    """The mail as it goes out.

    Its Message-ID is made from the mail's key: should a try be repeated after
    the server took it, mail programs can see that both are the same.

    Raises
    ------
    ValueError
        For an address that cannot stand in a header.
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
    return made


def send(taken: Taken, settings: Settings, *, at: datetime) -> None:
    """Hand one mail to the configured server.

    Raises
    ------
    OSError, smtplib.SMTPException
        When the server cannot be reached or refuses.
    """
    made = compose(taken, settings.mail_from, at=at)
    with _connected(settings) as server:
        if settings.smtp_user:
            password = settings.smtp_password.get_secret_value() if settings.smtp_password else ""
            server.login(settings.smtp_user, password)
        server.send_message(made)


@contextmanager
def _connected(settings: Settings) -> Iterator[smtplib.SMTP]:
    host, port, context = settings.smtp_host or "", settings.smtp_port, ssl.create_default_context()
    if settings.smtp_security == "tls":
        with smtplib.SMTP_SSL(host, port, timeout=PATIENCE, context=context) as secured:
            yield secured
        return
    with smtplib.SMTP(host, port, timeout=PATIENCE) as server:
        if settings.smtp_security == "starttls":
            server.starttls(context=context)
        yield server


def refused_for_good(error: Exception) -> bool:
    """Whether trying again could not help: the address is refused, or cannot be written."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= PERMANENT for code, _ in error.recipients.values())
    return isinstance(error, ValueError | UnicodeError | smtplib.SMTPNotSupportedError)


class Postman:
    """Sends what is due, until stopped.

    Parameters
    ----------
    engine : Engine
    send : callable
        Hands one mail over at a moment, or raises.
    clock : callable
        This moment.
    """

    def __init__(
        self,
        engine: Engine,
        send: Callable[[Taken, datetime], None],
        *,
        clock: Callable[[], datetime] = now,
    ) -> None:
        self.engine = engine
        self.send = send
        self.clock = clock
        self.stopping = threading.Event()
        self.thread = threading.Thread(target=self._work, name="postman", daemon=True)

    def round(self) -> int:
        """Try everything that is due; gives how many mails were tried."""
        tried = 0
        while not self.stopping.is_set() and (taken := take(self.engine, at=self.clock())):
            tried += 1
            self._try(taken)
        return tried

    def _try(self, taken: Taken) -> None:
        try:
            self.send(taken, self.clock())
        except (OSError, smtplib.SMTPException, ValueError) as error:
            log.warning("mail %s not sent: %s", taken.key, type(error).__name__)
            for_good = refused_for_good(error)
            not_sent(
                self.engine, taken, error=str(error) or type(error).__name__, for_good=for_good
            )
        else:
            sent(self.engine, taken, at=self.clock())

    def _work(self) -> None:
        while not self.stopping.is_set():
            try:
                self.round()
            except Exception:
                # Whatever it was, a postman that has died delivers nothing ever after.
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
def postman(engine: Engine, settings: Settings) -> Iterator[Postman | None]:
    """A postman at work while the service runs; None when no mail can be sent."""
    if settings.mail_lacks_address:
        log.warning(NO_ADDRESS)
    if not settings.sends_mail:
        yield None
        return
    working = Postman(engine, lambda taken, at: send(taken, settings, at=at))
    working.start()
    try:
        yield working
    finally:
        working.stop()
