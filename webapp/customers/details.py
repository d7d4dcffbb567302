"""Reads a customer's details as typed, with an error at each field that cannot be used."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from webapp.common.errors import Gathering, Invalid
from webapp.common.text.countries import countries
from webapp.common.text.language import tr
from webapp.customers.phone import read_phone
from webapp.customers.typed import check_mail, check_name, one_line, several_lines

LONGEST = {"company": 120, "tax_number": 40, "address": 500, "what": 200, "how": 200}


def read_details(fields: Mapping[str, str], *, groups: tuple[str, ...]) -> dict[str, str]:
    """Read everything an entry says of a person.

    Parameters
    ----------
    fields : mapping of str to str
        As typed; fields of other forms are passed by.
    groups : tuple of str
        The groups of customers with prices of their own.

    Returns
    -------
    dict of str to str
        The fields of an entry, tidied.

    Raises
    ------
    Invalid
        With every field that cannot be used.

    Examples
    --------
    >>> read_details({"name": " Bo  Loam ", "phone": "+47 22 33 44 55"}, groups=())["name"]
    'Bo Loam'
    """
    gathering = Gathering()
    said = {
        name: one_line(fields.get(name, ""))
        for name in ("name", "mail", "country", "company", "tax_number", "price_group")
    }
    said["address"] = several_lines(fields.get("address", ""))
    gathering.take(lambda: check_name(fields.get("name", ""), said["name"]))
    if said["mail"]:
        gathering.take(lambda: check_mail(fields.get("mail", ""), said["mail"]))
    said["phone"] = gathering.take(lambda: read_phone(fields.get("phone", ""))) or ""
    for name in ("company", "tax_number", "address"):
        _check_length(gathering, name, said[name])
    if said["country"] not in ("", *(code for code, _ in countries())):
        gathering.add("country", said["country"], tr("one of the countries listed"))
    if said["price_group"] not in ("", *groups):
        choices = ", ".join(groups) or tr("none")
        gathering.add("price_group", said["price_group"], tr("one of {choices}", choices=choices))
    gathering.finish()
    return said


def _check_length(gathering: Gathering, name: str, text: str) -> None:
    if len(text) > LONGEST[name]:
        remedy = tr(
            "at most {longest} characters; this has {length}",
            longest=LONGEST[name],
            length=len(text),
        )
        gathering.add(name, text, remedy)


def read_consent(fields: Mapping[str, str], *, today: date) -> tuple[str, str, date]:
    """Read what a customer agrees to, how they said so, and on which day.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    gathering = Gathering()
    what, how = one_line(fields.get("what", "")), one_line(fields.get("how", ""))
    for name, text, remedy in (
        ("what", what, tr("what is agreed to, such as news by mail")),
        ("how", how, tr("how it was said, such as on a signed form or by mail")),
    ):
        if not text:
            gathering.add(name, text, remedy)
        _check_length(gathering, name, text)
    day = gathering.take(lambda: _past_day(one_line(fields.get("given_on", "")), today))
    gathering.finish()
    return what, how, day or today


def _past_day(typed: str, today: date) -> date:
    """A day as a form sends it; today when nothing is typed."""
    try:
        day = date.fromisoformat(typed) if typed else today
    except ValueError:
        day = date.max
    if day > today:
        remedy = tr("a day until today, such as {isoformat}", isoformat=today.isoformat())
        raise Invalid("given_on", typed, remedy)
    return day
