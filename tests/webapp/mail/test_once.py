"""A mail is given to a server once, however slow, silent or rude the server is."""

from __future__ import annotations

import smtplib
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from tests.webapp.mail.test_mail import START, Box, Clock, box, put, server, states, working
from webapp.common.settings import Settings
from webapp.common.storage.database import reading
from webapp.mail.outbox import CLAIM, UNKNOWN, WAITS, Taken, hand_over, mails_about, take
from webapp.mail.sending import Postman

__all__ = ["box", "server"]

Handing = Callable[[], None]


def error_of(engine: Engine) -> str:
    with reading(engine) as session:
        return mails_about(session, "2026-0001")[0].error


def test_of_two_processes_with_a_slow_server_one_hands_the_mail_over(engine: Engine) -> None:
    """One is still connecting when its claim is over and the other takes the mail."""
    put(engine)
    clock, given = Clock(), list[str]()

    def quick(_mail: Taken, _at: datetime, handing: Handing) -> None:
        handing()
        given.append("the other")

    def slow(_mail: Taken, _at: datetime, handing: Handing) -> None:
        clock.now += CLAIM
        assert Postman(engine, quick, clock=clock).round() == 1
        handing()
        given.append("the slow one")

    Postman(engine, slow, clock=clock).round()
    assert given == ["the other"]
    assert states(engine) == ["sent"]


def test_nobody_takes_a_mail_that_a_slow_server_is_being_given(engine: Engine) -> None:
    put(engine)
    clock = Clock()
    others: list[int] = []

    def slow(_mail: Taken, _at: datetime, handing: Handing) -> None:
        handing()
        for _ in range(3):
            clock.now += max(CLAIM, *WAITS)
            others.append(Postman(engine, slow, clock=clock).round())

    Postman(engine, slow, clock=clock).round()
    assert others == [0, 0, 0]
    assert states(engine) == ["sent"]  # it was, whatever was thought of it meanwhile


@pytest.mark.parametrize("silence", [TimeoutError(), smtplib.SMTPServerDisconnected("gone")])
def test_a_server_without_a_last_word_is_not_given_the_mail_again(
    engine: Engine, silence: Exception
) -> None:
    """It may have taken it; whoever looks after the shop is told."""
    put(engine)
    clock, told = Clock(), list[tuple[str, datetime]]()

    def silent(_mail: Taken, _at: datetime, handing: Handing) -> None:
        handing()
        raise silence

    def given_up(_session: Session, about: str, at: datetime) -> None:
        told.append((about, at))

    assert Postman(engine, silent, clock=clock, given_up=given_up).round() == 1
    clock.now += timedelta(days=9)
    assert Postman(engine, silent, clock=clock, given_up=given_up).round() == 0
    assert (states(engine), error_of(engine)) == (["failed"], UNKNOWN)
    assert told == [("2026-0001", START)]


def test_killed_while_the_server_was_given_it(engine: Engine, server: Settings, box: Box) -> None:
    put(engine)
    taken = take(engine, at=START)
    assert taken
    assert hand_over(engine, taken, at=START)
    assert not hand_over(engine, taken, at=START)
    clock = Clock()
    assert working(engine, server, clock).round() == 0
    assert states(engine) == ["waiting"]
    clock.now += CLAIM
    assert working(engine, server, clock).round() == 0
    assert (states(engine), error_of(engine), box.mails) == (["failed"], UNKNOWN, [])


def test_refused_when_it_was_given_it_is_tried_again(
    engine: Engine, server: Settings, box: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(engine)
    takes = box.handle_DATA

    async def full(*_words: object) -> str:
        return "452 no room just now"

    monkeypatch.setattr(box, "handle_DATA", full)
    clock = Clock()
    working(engine, server, clock).round()
    assert states(engine) == ["waiting"]
    assert error_of(engine) == "the mail server refused the mail: 452 no room just now"
    monkeypatch.setattr(box, "handle_DATA", takes)
    clock.now += WAITS[0]
    working(engine, server, clock).round()
    assert (states(engine), len(box.mails)) == (["sent"], 1)


def test_a_server_that_takes_a_mail_and_no_leave_has_taken_it(
    engine: Engine, server: Settings, box: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is answered to QUIT says nothing about the mail."""

    async def rude(*_words: object) -> str:
        return "421 too busy to say goodbye"

    monkeypatch.setattr(box, "handle_QUIT", rude, raising=False)
    put(engine)
    clock = Clock()
    working(engine, server, clock).round()
    clock.now += timedelta(days=9)
    working(engine, server, clock).round()
    assert (states(engine), len(box.mails)) == (["sent"], 1)
