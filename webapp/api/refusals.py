"""How the interface says no, as its description tells it."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, Field


class FieldProblem(BaseModel):
    """One thing that is wrong with a request."""

    field: str = Field(description="The field at fault; body, query or request for all of it.")
    value: str | float | bool | None = Field(description="What was found there, cut short.")
    remedy: str = Field(description="What would be right, as a sentence without its full stop.")


class Refusal(BaseModel):
    """Why a request was not answered."""

    errors: list[FieldProblem] = Field(min_length=1)


_WHEN = {
    400: "The body cannot be read, or the request names no host of this service.",
    403: "A browser sent it on behalf of another site.",
    404: "There is no such model, revision or address.",
    405: "The address does not take this method.",
    413: "The body is too large.",
    414: "The address is too long.",
    422: "Some of the fields cannot be used; each is named.",
    429: "Asked too often; the header Retry-After says when to come back [s].",
    500: "A fault of the service, noted under the number in X-Request-Id.",
    503: "Busy, or the data cannot be reached; the header Retry-After says when to come back [s].",
}

REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": when} for status, when in _WHEN.items()
}
"""Every answer but the right ones, for ``FastAPI(responses=...)``."""
