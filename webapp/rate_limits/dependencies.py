"""The dependency of pages that count and limit their requests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import Depends, Request
from sqlalchemy import Engine

from webapp.common.security.senders import sender_of
from webapp.common.web.dependencies import CurrentEngine, Now
from webapp.rate_limits.counting import Ask, count, forgive
from webapp.rate_limits.rules import Rule


@dataclass(frozen=True, kw_only=True)
class Counting:
    """The limits as one request meets them; holds no connection between its calls."""

    engine: Engine
    sender: str
    at: datetime

    def of_sender(self, rule: Rule) -> Ask:
        """Whoever sends this request, under a rule."""
        return Ask(rule, self.sender, self.sender)

    def count(self, *asks: Ask) -> None:
        """Count something asked, or raise `TooMany`; see `webapp.rate_limits.counting.count`."""
        count(self.engine, asks, at=self.at)

    def forgive(self, *asks: Ask) -> None:
        """Take back tries that were right."""
        forgive(self.engine, asks, at=self.at)


def _counting(request: Request, engine: CurrentEngine, at: Now) -> Counting:
    host = request.client.host if request.client else ""
    return Counting(engine=engine, sender=sender_of(host), at=at)


Limits = Annotated[Counting, Depends(_counting)]
