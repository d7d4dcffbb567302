"""The error tree, and gathering several problems into one."""

from __future__ import annotations

import pytest

from geometry.core.errors import InvalidInput
from geometry.core.remedies import MoreThan
from webapp.common.errors import (
    Conflict,
    DomainError,
    Forbidden,
    Gathering,
    Invalid,
    NotFound,
    Problem,
    TooMany,
)


@pytest.mark.parametrize(
    ("kind", "status"),
    [(Invalid, 422), (NotFound, 404), (Forbidden, 403), (Conflict, 409), (TooMany, 429)],
)
def test_each_error_knows_its_status_and_problem(kind: type[DomainError], status: int) -> None:
    error = kind("fork", "f-9", "choose one of the five forks")
    assert error.status == status
    assert error.problems == (Problem("fork", "f-9", "choose one of the five forks"),)
    assert (error.field, error.value, error.remedy) == ("fork", "f-9", error.problems[0].remedy)


def test_gathering_reports_every_field_at_once() -> None:
    def refuse() -> float:
        raise InvalidInput("reach", -1, MoreThan(bound=0, unit="mm"))

    gathering = Gathering()
    gathering.add("name", "", "write a name")
    assert gathering.take(refuse) is None
    assert gathering.take(lambda: 3.0) == 3.0
    with pytest.raises(Invalid) as caught:
        gathering.finish()
    assert [problem.field for problem in caught.value.problems] == ["name", "reach"]
    assert str(caught.value) == "name is '': write a name; reach is -1: must be more than 0 mm"


def test_gathering_nothing_raises_nothing() -> None:
    Gathering().finish()


def test_gathering_does_not_swallow_other_errors() -> None:
    def fault() -> None:
        raise NotFound("quote", "7", "check the number")

    with pytest.raises(NotFound):
        Gathering().take(fault)
