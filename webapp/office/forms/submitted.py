"""What the office's forms send: every field as text, the last of each name."""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated

from fastapi import Depends, HTTPException, Request
from starlette.datastructures import FormData, UploadFile
from starlette.requests import ClientDisconnect

from webapp.common.errors import DomainError, Invalid, Problem
from webapp.common.text.language import tr
from webapp.common.two_edits import Merged, field_in_words
from webapp.office.forms.field import NEW

_NONE: Mapping[str, str] = MappingProxyType({})
PRIVATE = {"Cache-Control": "no-store"}
_LONGEST = 900_000  # characters of one field; the largest is a file of parts


async def whole_form(request: Request) -> AsyncIterator[FormData]:
    """The form, its files closed behind the answer.

    A page that sends while somebody types cancels its previous request.
    """
    try:
        form = await request.form()
    except ClientDisconnect:
        raise HTTPException(400, tr("the form was not sent to its end")) from None
    yield form
    await form.close()


WholeForm = Annotated[FormData, Depends(whole_form)]


def form_texts(form: WholeForm) -> dict[str, str]:
    """The fields of a form as texts, their lines ending as they are kept; files are left out.

    The character 0, which nobody types and PostgreSQL cannot keep, is left out too.
    """
    texts = ((name, value) for name, value in form.multi_items() if isinstance(value, str))
    found = {_kept(name): _kept(value).replace("\r\n", "\n") for name, value in texts}
    for name, value in found.items():
        if len(value) > _LONGEST:
            raise Invalid(
                name[:60],
                tr("{length} characters", length=len(value)),
                tr("at most {longest} characters", longest=_LONGEST),
            )
    return found


def _kept(text: str) -> str:
    return text.replace("\0", "")


async def form_file(form: WholeForm) -> tuple[str, bytes]:
    """Name and content of the file of a form, field ``file``; empty when none was chosen."""
    given = form.get("file")
    if not isinstance(given, UploadFile):
        return "", b""
    return given.filename or "", await given.read()


Texts = Annotated[dict[str, str], Depends(form_texts)]
GivenFile = Annotated[tuple[str, bytes], Depends(form_file)]


def with_unticked(now: Mapping[str, str], texts: Mapping[str, str]) -> dict[str, str]:
    """The form with its unticked boxes, which browsers leave out; other missing fields are empty.

    >>> with_unticked({"usual": "yes", "name": "Post"}, {"name": "Post 2", "do": "keep"})
    {'usual': 'no', 'name': 'Post 2', 'do': 'keep'}
    """
    sent = {
        name: texts.get(name, "no" if text in {"yes", "no"} else "") for name, text in now.items()
    }
    return sent | {name: text for name, text in texts.items() if name not in now}


def field_errors(problems: tuple[Problem, ...], prefix: str = "") -> dict[str, str]:
    """Problems by field, without the prefix of the field names."""
    cut = f"{prefix}." if prefix else ""
    return {p.field.removeprefix(cut): p.remedy for p in problems}


def summary(
    error: DomainError | None, prefix: str = "", *, labels: Mapping[str, str] = _NONE
) -> tuple[tuple[str, str], ...]:
    """Problems for the summary above a form: field, and what is wrong with it."""
    if error is None:
        return ()
    cut = f"{prefix}." if prefix else ""

    def called(name: str) -> str:
        return labels.get(name) or field_in_words(name.removeprefix(NEW))

    named = ((problem.field.removeprefix(cut), problem.remedy) for problem in error.problems)
    return tuple(
        (name, tr("{field}: {remedy}", field=called(name), remedy=remedy)) for name, remedy in named
    )


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """What a page says of a form: its status, what is wrong at which field, and all of it above.

    ``status`` is 200 where nothing was refused.
    """

    status: int
    at_field: dict[str, str]
    errors: tuple[tuple[str, str], ...]


def refusal(
    error: DomainError | None,
    prefix: str = "",
    *,
    merged: Merged | None = None,
    labels: Mapping[str, str] = _NONE,
) -> Refusal:
    """Why a form was not kept: an error, or the meeting with somebody else's change.

    Parameters
    ----------
    error : DomainError, optional
    prefix : str
        A name that stands before every field of the error, and of no field of the form.
    merged : Merged, optional
    labels : mapping of field to text
        What fields are called on the form, where their names do not say it.
    """
    met = 409 if merged else 200
    return Refusal(
        status=error.status if error else met,
        at_field=field_errors(error.problems, prefix) if error else {},
        errors=summary(error, prefix, labels=labels),
    )
