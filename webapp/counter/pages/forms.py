"""Reading the counter's forms, whose fields depend on the quote."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Query, Request

from webapp.accounts.pages.forms import PRIVATE
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.quote.freezing.bikes import MOST_BIKES

__all__ = ["PRIVATE", "Bike", "Fields", "bike_in", "number_in"]

MOST_FIELDS = 200


async def fields_of_form(request: Request) -> dict[str, str]:
    """Every text field of a form; of a field given twice, the last."""
    async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
        return {name: value for name, value in form.multi_items() if isinstance(value, str)}


Fields = Annotated[dict[str, str], Depends(fields_of_form)]
Bike = Annotated[int, Query(ge=1, le=MOST_BIKES)]
"""Which bike of a quote an address is about, the first being 1."""


def number_in(fields: dict[str, str], name: str) -> int:
    """A whole number in a hidden field.

    Raises
    ------
    Invalid
        For anything else: the form was tampered with.
    """
    given = fields.get(name, "")
    if given.isascii() and given.isdigit() and len(given) < 9:  # noqa: PLR2004
        return int(given)
    raise Invalid(name, given[:40], tr("a whole number; open the page again"))


def bike_in(fields: dict[str, str]) -> int:
    """Which bike of the quote a form is about; the first where it does not say.

    Raises
    ------
    Invalid
        For a number that no bike of a quote has.
    """
    bike = number_in(fields, "bike") if "bike" in fields else 1
    if not 1 <= bike <= MOST_BIKES:
        raise Invalid("bike", bike, tr("at most {most} bikes in a quote", most=MOST_BIKES))
    return bike
