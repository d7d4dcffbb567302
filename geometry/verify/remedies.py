"""What would be right where a check of a bike or a table is refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class CausesToTellApart(Remedy):
    """Two causes or more, to tell apart."""


@dataclass(frozen=True, kw_only=True)
class FigureOfDrawing(Remedy):
    """A figure that the frame as drawn has."""


@dataclass(frozen=True, kw_only=True)
class PlaceOfStandover(Remedy):
    """With a published standover, where it is measured."""
