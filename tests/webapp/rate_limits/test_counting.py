"""Shares and growing waits, kept in either database and counted right by many at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from webapp.common.errors import TooMany
from webapp.common.storage.database import reading
from webapp.rate_limits.counting import Ask, count, forgive, refusals
from webapp.rate_limits.rules import Share, Tries
from webapp.rate_limits.tables import Limited

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SHARE = Share(kind="test share", what="a thing", times=3, seconds=60)
TRIES = Tries(kind="test tries", what="a lock", free=2, first=5, longest=60, forgotten=3600)


def passes(engine: Engine, ask: Ask, at: datetime) -> bool:
    try:
        count(engine, [ask], at=at)
    except TooMany:
        return False
    return True


def wait(engine: Engine, ask: Ask, at: datetime) -> int:
    with pytest.raises(TooMany) as caught:
        count(engine, [ask], at=at)
    return caught.value.retry_after


def after(**by: float) -> datetime:
    return AT + timedelta(**by)


def test_a_share_is_used_up_and_comes_back_bit_by_bit(engine: Engine) -> None:
    ask = Ask(SHARE, "a")
    assert [passes(engine, ask, AT) for _ in range(4)] == [True] * 3 + [False]
    assert wait(engine, ask, AT) == 20
    assert passes(engine, Ask(SHARE, "b"), AT)
    assert [passes(engine, ask, after(seconds=20)) for _ in range(2)] == [True, False]
    assert [passes(engine, ask, after(seconds=80)) for _ in range(4)] == [True] * 3 + [False]


def test_waits_double_and_are_forgiven(engine: Engine) -> None:
    ask, at, waits = Ask(TRIES, "a"), AT, []
    assert [passes(engine, ask, at) for _ in range(2)] == [True, True]
    for _ in range(5):
        waits.append(wait(engine, ask, at))
        at += timedelta(seconds=waits[-1])
        count(engine, [ask], at=at)
    assert waits == [5, 10, 20, 40, 60]
    forgive(engine, [ask], at=at)
    assert passes(engine, ask, at)


@pytest.mark.parametrize("rule", [SHARE, TRIES])
@pytest.mark.parametrize("years", [-5, 5])
def test_a_clock_set_wrong_and_back_leaves_nobody_waiting(
    engine: Engine, rule: Share | Tries, years: int
) -> None:
    ask = Ask(rule, "a")
    for _ in range(9):
        passes(engine, ask, after(days=365 * years))
    assert passes(engine, ask, AT)
    assert passes(engine, ask, AT)


def test_what_is_refused_under_one_rule_is_counted_under_none(engine: Engine) -> None:
    full, free = Ask(SHARE, "full"), Ask(TRIES, "free")
    for _ in range(3):
        count(engine, [full], at=AT)
    for _ in range(5):
        with pytest.raises(TooMany):
            count(engine, [free, full], at=AT)
    assert [passes(engine, free, AT) for _ in range(3)] == [True, True, False]


def test_many_at_once_get_the_share_and_no_more(engine: Engine) -> None:
    """Two rules each, asked in both orders, by threads that each have a connection."""
    one, two = Ask(SHARE, "one"), Ask(Share(kind="o", what="o", times=90, seconds=90), "two")

    def asks(number: int) -> bool:
        try:
            count(engine, [one, two] if number % 2 else [two, one], at=AT)
        except TooMany:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(asks, range(24))) == 3


def test_refusals_are_shown_latest_first_and_forgotten_after_a_month(engine: Engine) -> None:
    for minute, who in enumerate(("a", "b")):
        for _ in range(5):
            passes(engine, Ask(SHARE, who, f"shown {who}"), after(minutes=minute))
    with reading(engine) as session:
        found = refusals(session, 10)
    assert [(each.who, each.refused) for each in found] == [("shown b", 2), ("shown a", 2)]
    count(engine, [Ask(SHARE, "c")], at=after(days=29))
    count(engine, [Ask(SHARE, "d")], at=after(days=31))
    with reading(engine) as session:
        assert refusals(session, 10) == ()
        assert len(session.exec(select(Limited)).all()) == 1


def test_nobody_can_be_read_from_what_is_kept(engine: Engine) -> None:
    count(engine, [Ask(SHARE, "ada@marl.example")], at=AT)
    with reading(engine) as session:
        (row,) = session.exec(select(Limited)).all()
    assert "ada" not in repr(row)
