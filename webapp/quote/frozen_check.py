"""A check as a quote keeps it: of the build in its content, of the rider with the customer."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """A piece of frozen content."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class FrozenCheck(Frozen):
    """One check as printed; ``outcome`` is clear, tight, no or unknown."""

    key: str
    outcome: Literal["clear", "tight", "no", "unknown"]
    name: str
    figure: str
    limit: str
    margin: str
    reason: str
    remedy: str
    source: str
