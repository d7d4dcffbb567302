"""Links of a page to its like."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Link:
    """One model or style to look at instead; ``current`` marks the one that is shown."""

    words: str
    address: str
    current: bool
