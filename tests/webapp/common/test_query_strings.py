"""What a query may name as a revision."""

from __future__ import annotations

import pytest

from webapp.common.errors import Invalid
from webapp.common.query_strings import revision_in


@pytest.mark.parametrize(("values", "number"), [((), None), (("",), None), (("12",), 12)])
def test_a_revision_or_none(values: tuple[str, ...], number: int | None) -> None:
    assert revision_in({"rev": values}) == number


@pytest.mark.parametrize(
    "values", [("0",), ("-1",), ("1", "2"), ("9" * 5000,), ("²",), ("٣",), ("10000",), ("1.5",)]
)
def test_anything_else_is_refused_in_words(values: tuple[str, ...]) -> None:
    with pytest.raises(Invalid, match="the number of a published revision"):
        revision_in({"rev": values})
