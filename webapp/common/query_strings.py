"""Queries as the services read them: every key with all its values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

HIGHEST_REVISION = 9999


def revision_in(query: Mapping[str, Sequence[str]]) -> int | None:
    """The revision's number in a query; None for the published one.

    Raises
    ------
    Invalid
        For anything but one whole number above 0.
    """
    values = query.get("rev", ())
    if not values or values[0] == "":
        return None
    text = values[0]
    # The length comes first: Python refuses to read a number of some thousand digits.
    number = len(text) <= len(str(HIGHEST_REVISION)) and text.isascii() and text.isdigit()
    if len(values) == 1 and number and int(text) > 0:
        return int(text)
    raise Invalid("rev", ", ".join(values)[:200], tr("the number of a published revision"))
