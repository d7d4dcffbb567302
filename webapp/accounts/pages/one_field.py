"""What pages with a single field to correct have in common."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class OneFieldPage:
    """A form of which only one field can be wrong."""

    errors: tuple[tuple[str, str], ...]

    @property
    def error(self) -> str:
        """The message at the field; empty where nothing is wrong."""
        return next((words for _, words in self.errors), "")
