"""Mail against a real SMTP server on this machine, and an outbox that loses nothing."""

from __future__ import annotations

import email
import socket
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from email.policy import default
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from pydantic import ValidationError
from sqlalchemy import Engine
from sqlmodel import select

from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.mail.outbox import CLAIM, WAITS, Message, Taken, mails_about, not_sent, post, take
from webapp.mail.sending import Postman, compose, postman, send
from webapp.mail.tables import Mail

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
MESSAGE = Message(
    to_name="Ada Märl", to_mail="ada@marl.example", subject="Your quote 2026-0001",
    body="Good day,\n.\nyour quote: https://shop.example/q/x\n\nGrüße",
)  # fmt: skip


Handing = Callable[[], None]


class Box:
    """Keeps what a server was given; refuses addresses of ``refused``."""

    def __init__(self) -> None:
        self.mails: list[Any] = []
        self.refused: dict[str, str] = {}

    async def handle_RCPT(
        self, _server: Any, _session: Any, envelope: Any, address: str, _options: Any
    ) -> str:
        if address in self.refused:
            return self.refused[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:
        self.mails.append((envelope, email.message_from_bytes(envelope.content, policy=default)))
        return "250 Taken"


@pytest.fixture
def box() -> Box:
    """A letter box."""
    return Box()


@pytest.fixture
def server(box: Box) -> Iterator[Settings]:
    """Settings of a real SMTP server on a free port."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    controller = Controller(box, hostname="127.0.0.1", port=port)
    controller.start()
    yield Settings(
        smtp_host="127.0.0.1", smtp_port=port, smtp_security="none", mail_from="shop@shop.example",
        base_url="https://shop.example",
    )  # fmt: skip
    controller.stop()


class Clock:
    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now


def put(
    engine: Engine, key: str = "sent-1", message: Message = MESSAGE, at: datetime = START
) -> bool:
    with writing(engine) as session:
        return post(session, message, key=key, about="2026-0001", at=at)


def states(engine: Engine) -> list[str]:
    with reading(engine) as session:
        return [mail.state for mail in mails_about(session, "2026-0001")]


def working(engine: Engine, settings: Settings, clock: Clock | None = None) -> Postman:
    clock = clock or Clock()
    return Postman(
        engine, lambda mail, at, handing: send(mail, settings, at=at, handing=handing), clock=clock
    )


def test_a_mail_arrives_whole(engine: Engine, server: Settings, box: Box) -> None:
    assert put(engine)
    assert working(engine, server).round() == 1
    [(envelope, mail)] = box.mails
    assert (envelope.mail_from, envelope.rcpt_tos) == ("shop@shop.example", ["ada@marl.example"])
    assert mail["Subject"] == MESSAGE.subject
    assert mail["To"] == "Ada Märl <ada@marl.example>"
    assert mail["Message-ID"] == "<sent-1@shop.example>"
    assert mail.get_content().splitlines() == MESSAGE.body.splitlines()
    assert states(engine) == ["sent"]
    assert working(engine, server).round() == 0


def test_an_occasion_has_one_mail(engine: Engine) -> None:
    assert [put(engine), put(engine), put(engine, "sent-2")] == [True, False, True]
    assert states(engine) == ["waiting", "waiting"]


def test_a_mail_is_written_with_what_it_tells_of_or_not_at_all(engine: Engine) -> None:
    with pytest.raises(RuntimeError), writing(engine) as session:
        post(session, MESSAGE, key="k", about="2026-0001", at=START)
        raise RuntimeError
    assert states(engine) == []


def test_a_server_that_is_away_is_asked_again(engine: Engine, server: Settings, box: Box) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        nobody = server.model_copy(update={"smtp_port": free.getsockname()[1]})
    clock = Clock()
    put(engine)
    assert working(engine, nobody, clock).round() == 1
    assert states(engine) == ["waiting"]
    assert working(engine, server, clock).round() == 0  # not due yet
    clock.now += WAITS[0]
    assert working(engine, server, clock).round() == 1
    assert states(engine) == ["sent"]


def test_a_mail_is_given_up_after_the_last_try(engine: Engine) -> None:
    def fail(_taken: Taken, _at: datetime, _handing: Handing) -> None:
        raise OSError("nobody there")

    clock = Clock()
    put(engine)
    tries = 0
    while tries <= len(WAITS) and states(engine) == ["waiting"]:
        tries += Postman(engine, fail, clock=clock).round()
        clock.now += max(WAITS)
    assert tries == len(WAITS)
    assert states(engine) == ["failed"]
    with reading(engine) as session:
        error = mails_about(session, "2026-0001")[0].error
    assert error == "the mail server could not be reached: nobody there"


@pytest.mark.parametrize(
    ("reply", "state"), [("550 no such user", "failed"), ("450 try later", "waiting")]
)
def test_refused_for_good_and_refused_for_now(
    engine: Engine, server: Settings, box: Box, reply: str, state: str
) -> None:
    box.refused[MESSAGE.to_mail] = reply
    put(engine)
    working(engine, server).round()
    assert states(engine) == [state]


def test_a_try_that_died_is_made_again_under_the_same_id(engine: Engine) -> None:
    """Killed before the server was given it."""
    put(engine)
    first = take(engine, at=START)
    assert first
    assert take(engine, at=START + CLAIM / 2) is None  # nobody else takes it meanwhile
    second = take(engine, at=START + CLAIM)
    assert second
    ids = [compose(taken, "s@shop.example", at=START)["Message-ID"] for taken in (first, second)]
    assert ids[0] == ids[1]


def test_a_clock_set_wrong_and_back_leaves_no_mail_waiting(engine: Engine) -> None:
    """Written, and tried once, while the clock was years ahead; due at once when it is right."""
    ahead = START + timedelta(days=900)
    put(engine, at=ahead)
    assert take(engine, at=ahead)
    assert take(engine, at=ahead) is None
    assert take(engine, at=START)
    assert take(engine, at=START) is None


def test_several_postmen_send_each_mail_once(engine: Engine) -> None:
    for n in range(12):
        put(engine, f"k{n}")
    carried: list[str] = []

    def carry(taken: Taken, _at: datetime, _handing: Handing) -> None:
        carried.append(taken.key)

    with ThreadPoolExecutor(4) as pool:
        rounds = [pool.submit(Postman(engine, carry, clock=Clock()).round) for _ in range(4)]
        for each in rounds:
            each.result()
    # One that finds the others' mails locked goes away; the next round takes what is left.
    Postman(engine, carry, clock=Clock()).round()
    assert sorted(carried) == sorted(f"k{n}" for n in range(12))
    assert set(states(engine)) == {"sent"}


@pytest.mark.parametrize(
    "message",
    [
        Message(to_name="A\r\nBcc: all@x.example", to_mail="a@b.example", subject="s", body="b"),
        Message(to_name="A", to_mail="a@b.example\r\nBcc: c@d.example", subject="s", body="b"),
        Message(to_name="A", to_mail="a@b.example", subject="s\r\nBcc: c@d.example", body="b"),
    ],
)
def test_no_text_becomes_a_header(message: Message) -> None:
    taken = Taken(id=1, key="k", attempts=1, message=message)
    try:
        made = compose(taken, "s@shop.example", at=START)
    except ValueError:
        return
    again = email.message_from_bytes(bytes(made), policy=default)
    assert again["Bcc"] is None
    assert len(again["To"].addresses) == 1


def test_no_security_is_not_taken_for_security(engine: Engine, server: Settings, box: Box) -> None:
    """A server without STARTTLS gets nothing when STARTTLS is asked for."""
    put(engine)
    working(engine, server.model_copy(update={"smtp_security": "starttls"})).round()
    assert box.mails == []
    assert states(engine) != ["sent"]


def test_the_background_thread_sends_and_stops(
    engine: Engine, server: Settings, box: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    import threading

    arrived = threading.Event()

    original = box.handle_DATA

    async def told(*words: Any) -> str:
        answer = await original(*words)
        arrived.set()
        return answer

    monkeypatch.setattr(box, "handle_DATA", told)
    put(engine)
    with postman(engine, server) as at_work:
        assert at_work
        assert arrived.wait(10)
    assert not at_work.thread.is_alive()
    assert states(engine) == ["sent"]


def test_without_a_server_there_is_no_postman(engine: Engine) -> None:
    with postman(engine, Settings(smtp_host=None)) as nobody:
        assert nobody is None


def test_without_a_public_address_nothing_is_sent_and_the_start_says_so(
    engine: Engine, server: Settings, box: Box, caplog: pytest.LogCaptureFixture
) -> None:
    """A mail made from somebody's request would name whatever address they forged."""
    put(engine)
    lacking = server.model_copy(update={"base_url": None})
    with postman(engine, lacking) as nobody:
        assert nobody is None
    assert not lacking.sends_mail
    assert "No mail is sent: SMTP_HOST is set and BASE_URL is not." in caplog.text
    caplog.clear()
    for silent in (Settings(smtp_host=None, base_url=None), server):
        with postman(engine, silent):
            pass
    assert caplog.text == ""


def test_a_server_needs_a_sender() -> None:
    with pytest.raises(ValidationError, match="MAIL_FROM must be a mail address"):
        Settings(smtp_host="mail.example")


def test_waits_grow() -> None:
    assert list(WAITS) == sorted(WAITS)
    assert sum(WAITS, timedelta()) > timedelta(days=3)


def test_what_went_wrong_is_kept_short(engine: Engine) -> None:
    put(engine)
    taken = take(engine, at=START)
    assert taken
    not_sent(engine, taken, at=START, error="x" * 5000, for_good=True)
    with reading(engine) as session:
        assert len(session.exec(select(Mail)).one().error) == 300
