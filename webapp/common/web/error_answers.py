"""Answers to errors, made in one place: a page for people, JSON for programs.

JSON answers are ``{"errors": [{"field": ..., "value": ..., "remedy": ...}]}``
with the status of the error; pages are ``templates/pages/problem.html``.
"""

from __future__ import annotations

import logging
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import DataError, SQLAlchemyError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from geometry.core import GeometryError
from webapp.common.current_request import number_of_request
from webapp.common.errors import DomainError, Problem, TooMany, Unavailable
from webapp.common.security.layers import security_headers
from webapp.common.storage.fault_messages import Fault, fault_of
from webapp.common.text.language import tr
from webapp.common.web.templating import page

log = logging.getLogger(__name__)

API = "/api/"
LONGEST_ECHO = 200  # characters of a refused value that are repeated to its sender
LONGEST_REMEDY = 1000  # characters; one that names a dozen parts takes about 500

_TITLES = {
    400: tr("This request cannot be read"),
    403: tr("This is not allowed"),
    404: tr("There is nothing at this address"),
    405: tr("This address does not take such a request"),
    409: tr("This has changed in the meantime"),
    413: tr("That is more than this form takes"),
    414: tr("This address is too long"),
    422: tr("Something in this request cannot be used"),
    429: tr("Too many requests"),
    500: tr("Something went wrong on our side"),
    503: tr("This cannot be answered at the moment"),
}

_REMEDIES = {
    400: tr("send it in the form this address asks for, with fewer and shorter fields"),
    404: tr("check the address, or start again from the first page"),
    405: tr("use the form or the link on the page"),
    413: tr("send less at once"),
    414: tr("put fewer builds into it, or start again from the first page"),
    500: tr("try again in a moment; if it happens again, tell the shop what you were doing"),
}


@dataclass(frozen=True)
class ProblemPage:
    """What the problem page shows."""

    status: int
    title: str
    problems: tuple[Problem, ...]


def plain(value: object) -> Any:
    """A refused value as it may be repeated in JSON: short, and never NaN or infinite.

    Examples
    --------
    >>> plain(float("nan")), plain(12.5), plain({"reach": float("inf")})
    ('nan', 12.5, "{'reach': inf}")
    """
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if value is None or isinstance(value, bool | int | float):
        return value if not isinstance(value, int) or abs(value) < 2**53 else _short(str(value))
    if hasattr(value, "item") and getattr(value, "ndim", None) == 0:
        return plain(value.item())
    return _short(value if isinstance(value, str) else repr(value))


def _short(text: str, most: int = LONGEST_ECHO) -> str:
    tidy = text.encode("utf-8", "replace").decode("utf-8")  # a lone surrogate has no bytes
    return tidy if len(tidy) <= most else tidy[:most] + "…"


def answer(
    request: Request,
    status: int,
    problems: Iterable[Problem],
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Answer with ``problems``: as JSON under /api, as a page elsewhere."""
    several = tuple(
        Problem(p.field, plain(p.value), _short(p.remedy, LONGEST_REMEDY)) for p in problems
    )
    if request.url.path.startswith(API):
        errors = [{"field": p.field, "value": p.value, "remedy": p.remedy} for p in several]
        return JSONResponse({"errors": errors}, status, dict(headers or {}))
    title = _TITLES.get(status) or HTTPStatus(status).phrase
    context = ProblemPage(status, title, several)
    return page(request, "pages/problem.html", context, status=status, headers=headers)


def domain_error(request: Request, error: DomainError) -> Response:
    """Answer for what a service refused."""
    wait = None
    if isinstance(error, TooMany | Unavailable):
        wait = {"Retry-After": str(error.retry_after)}
    return answer(request, error.status, error.problems, wait)


def geometry_error(request: Request, error: GeometryError) -> Response:
    """Answer for numbers that the geometry cannot compute with."""
    return answer(request, 422, [Problem.of(error)])


def validation_error(request: Request, error: RequestValidationError) -> Response:
    """Answer for a request that does not have the shape its address asks for."""
    return answer(request, 422, map(_as_problem, error.errors()))


def _as_problem(found: Mapping[str, Any]) -> Problem:
    """One finding of pydantic's, in this service's words."""
    if found["type"] == "json_invalid":
        return Problem("body", None, tr("JSON that can be read, from its beginning to its end"))
    path = [str(step) for step in found["loc"]]
    field = ".".join(path[1:] or path)
    value = None if found["type"] == "missing" else found.get("input")
    return Problem(field, value, found["msg"][:1].lower() + found["msg"][1:])


def http_error(request: Request, error: HTTPException) -> Response:
    """Answer for what the framework itself refused: unknown address, wrong method, too long."""
    remedy = _REMEDIES.get(error.status_code, str(error.detail))
    problem = Problem("request", request.url.path, remedy)
    return answer(request, error.status_code, [problem], error.headers)


def out_of_reach(request: Request, error: Exception) -> Response:
    """Answer for a database or a disk that fails; other errors are faults of the program.

    A value that the database cannot hold is whoever's fault sent it: only PostgreSQL says so,
    of the character 0 and of numbers beyond its own.
    """
    if isinstance(error, DataError):
        remedy = tr("text that can be printed, and numbers of a usual size")
        return answer(request, 422, [Problem("request", None, remedy)])
    fault = fault_of(error)
    return unexpected(request, error) if fault is None else _fault_answer(request, fault)


def _fault_answer(request: Request, fault: Fault) -> Response:
    log.error("%s", fault.what)
    problem = Problem("request", None, fault.visitor)
    return answer(request, 503, [problem], {"Retry-After": str(fault.retry_after)})


def unexpected(request: Request, error: Exception) -> Response:
    """Answer for a fault of the program: logged in full, shown without internals."""
    log.error("unexpected error", exc_info=error)
    # Sent from outside the layers that add the security headers to other answers.
    headers = security_headers(behind_tls=request.app.state.settings.behind_tls)
    remedy = tr(
        "{remedy}, and the number {number}",
        remedy=_REMEDIES[500],
        number=number_of_request(),
    )
    return answer(request, 500, [Problem("request", request.url.path, remedy)], headers)


def add_failure_answers(app: FastAPI) -> None:
    """Register every answer of this module with the application."""
    app.add_exception_handler(DomainError, domain_error)  # type: ignore[arg-type]
    app.add_exception_handler(GeometryError, geometry_error)  # type: ignore[arg-type]
    app.add_exception_handler(RequestValidationError, validation_error)  # type: ignore[arg-type]
    app.add_exception_handler(HTTPException, http_error)  # type: ignore[arg-type]
    app.add_exception_handler(SQLAlchemyError, out_of_reach)
    app.add_exception_handler(OSError, out_of_reach)
    app.add_exception_handler(Exception, unexpected)
