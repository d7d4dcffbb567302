"""One number, one frame, one order: on both databases, and at the same moment."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine

from tests.webapp.counter.conftest import put
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import reading, writing
from webapp.quote.storage.read import quote_by_number
from webapp.serials.register import (
    FrameKind,
    frame_of_serial,
    frames_of_quote,
    free_serial,
    take_serial,
)

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
MEDIUM = FrameKind(model="knapweed", revision=2, size="m", finish="moss")


def orders(engine: Engine, count: int) -> list[int]:
    numbers = [put(engine, at=AT).number for _ in range(count)]
    with reading(engine) as session:
        return [int(quote_by_number(session, number).id or 0) for number in numbers]


def take(engine: Engine, serial: str, quote_id: int, kind: FrameKind = MEDIUM) -> None:
    with writing(engine) as session:
        take_serial(session, serial, kind, quote_id=quote_id, who="Edda", at=AT)


def test_a_number_belongs_to_one_frame_and_one_order(engine: Engine) -> None:
    one, two = orders(engine, 2)
    take(engine, " KN  26-014 ", one)
    take(engine, "kn 26-014", one)
    take(engine, "KN 26-015", one)
    with reading(engine) as session:
        assert [f.serial for f in frames_of_quote(session, one)] == ["KN 26-014", "KN 26-015"]
    for typed in ("KN 26-014", "kn 26-014"):
        with pytest.raises(Conflict, match="another order"):
            take(engine, typed, two)
    with writing(engine) as session:
        frame = frame_of_serial(session, "kn 26-014", locked=True)
        assert frame is not None
        free_serial(session, frame)
    large = FrameKind(model="knapweed", revision=2, size="l")
    with pytest.raises(Conflict, match="size m"):
        take(engine, "KN 26-014", two, large)
    take(engine, "KN 26-014", two, FrameKind(model="knapweed", revision=2, size="m"))
    for nothing in ("  ", "9" * 61):
        with pytest.raises(Invalid, match="stamped into the frame"):
            take(engine, nothing, two)


def test_two_orders_that_take_one_number_at_once(engine: Engine) -> None:
    start, refused = threading.Barrier(2), []

    def taking(quote_id: int) -> None:
        start.wait()
        try:
            take(engine, "KN 26-020", quote_id)
        except Conflict as error:
            refused.append(error)

    both = [threading.Thread(target=taking, args=(each,)) for each in orders(engine, 2)]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert len(refused) == 1
