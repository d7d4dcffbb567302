"""Reading the counter's forms, whose fields depend on the quote."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from webapp.accounts.pages.forms import PRIVATE
from webapp.common.errors import Invalid
from webapp.common.text.language import tr

__all__ = ["PRIVATE", "Fields", "number_in"]

MOST_FIELDS = 200


async def fields_of_form(request: Request) -> dict[str, str]:
    """Every text field of a form; of a field given twice, the last."""
    async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
        return {name: value for name, value in form.multi_items() if isinstance(value, str)}


Fields = Annotated[dict[str, str], Depends(fields_of_form)]


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
