"""The log: it names the number of the request, and nothing about a person.

A line names the request by its number and its route, never by its address: an
address may hold a secret link or body measures. The words of an error are left
out, since they often repeat what somebody typed; its kind and the places in the
code stay.
"""

from __future__ import annotations

import logging
import time
import traceback
from types import TracebackType
from typing import Any

from webapp.common.current_request import number_of_request

LINE = "%(asctime)s %(levelname)s %(request)s %(name)s: %(message)s"
REQUESTS = "webapp.requests"

_Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class Numbering(logging.Filter):
    """Gives every line the number of the request it was written for."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every line pass, with its number."""
        record.request = number_of_request()
        return True


class WithoutWords(logging.Formatter):
    """Writes moments in UTC, and errors by kind and place alone.

    >>> import sys
    >>> try:
    ...     int("172 cm, Ada")
    ... except ValueError:
    ...     print(WithoutWords().formatException(sys.exc_info()))
    Traceback: ValueError
      File "<doctest ...>", line 2, in <module>
    """

    converter = staticmethod(time.gmtime)
    default_time_format = "%Y-%m-%dT%H:%M:%S"
    default_msec_format = "%s.%03dZ"

    def formatException(self, ei: _Raised) -> str:  # noqa: N802  # the library's name
        """The error and what led to it, newest first, without their words."""
        lines, error = [], ei[1]
        seen: set[int] = set()
        while error is not None and id(error) not in seen:
            seen.add(id(error))
            lines.append(f"Traceback: {type(error).__name__}")
            lines += [
                f'  File "{step.filename}", line {step.lineno}, in {step.name}'
                for step in traceback.extract_tb(error.__traceback__)
            ]
            error = error.__cause__ or error.__context__
        return "\n".join(lines)


def log_config(level: str) -> dict[str, Any]:
    """Configuration of all logging of a process, for ``logging.config.dictConfig``.

    Parameters
    ----------
    level : str
        ``"info"`` for a line about every request, ``"warning"`` for what went wrong alone.
    """
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"numbering": {"()": f"{__name__}.Numbering"}},
        "formatters": {"plain": {"()": f"{__name__}.WithoutWords", "format": LINE}},
        "handlers": {
            "stderr": {
                "class": "logging.StreamHandler",
                "formatter": "plain",
                "filters": ["numbering"],
                "stream": "ext://sys.stderr",
            }
        },
        "root": {"level": "WARNING", "handlers": ["stderr"]},
        "loggers": {"webapp": {"level": level.upper()}, "uvicorn": {"level": "WARNING"}},
    }


def log_request(*, method: str, route: str, status: int, seconds: float) -> None:
    """Write the line about one request that was answered."""
    log = logging.getLogger(REQUESTS)
    log.info("%s %s %d %.0f ms", method, route, status, 1000 * seconds)
