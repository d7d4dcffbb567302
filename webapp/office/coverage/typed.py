"""What is typed on the pages of coverage: shares of men and women, and a batch to be split."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.population import MOST_FRAMES
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.office.forms.typed_numbers import read_number

_ROUNDED = 0.05
_DEAREST = 1e9


@dataclass(frozen=True, kw_only=True)
class Batch:
    """A batch to be split.

    Parameters
    ----------
    frames : int
    expected : float
        Riders expected while it lasts.
    unsold, turned_away : float
        Cost of an unsold frame and of a rider turned away, in the shop's currency.
    counts_as : float
        Riders that the coverage counts as.
    quote_counts : float
        What a quote without a sale counts, beside a sale's 1.
    """

    frames: int
    expected: float
    unsold: float
    turned_away: float
    counts_as: float
    quote_counts: float


USUAL: Mapping[str, str] = {
    "frames": "60", "expected": "", "unsold": "150", "turned_away": "400", "counts_as": "40",
    "quote_counts": "0.5",
}  # fmt: skip
"""First values of the form; the builder replaces the costs by real ones, [CP]."""


def read_share_of_men(men: str, women: str) -> float:
    """Share of men from both shares as typed, in 100; empty ones follow from the other.

    Raises
    ------
    Invalid
        For what is no share, and for two shares that do not add up to 100.

    Examples
    --------
    >>> read_share_of_men("30", "")
    0.3
    >>> read_share_of_men("60", "60")
    Traceback (most recent call last):
    ...
    webapp.common.errors.Invalid: women is '60': 40, so that both add up to 100
    """
    gathering = Gathering()
    first = gathering.take(lambda: _number("men", men, 0.0, 100.0)) if men else None
    second = gathering.take(lambda: _number("women", women, 0.0, 100.0)) if women else None
    gathering.finish()
    if first is None:
        return 0.5 if second is None else 1.0 - second / 100.0
    if second is not None and abs(first + second - 100.0) > _ROUNDED:
        remedy = tr("{left:g}, so that both add up to 100", left=100.0 - first)
        raise Invalid("women", women, remedy)
    return first / 100.0


def read_batch(texts: Mapping[str, str]) -> Batch:
    """The batch as typed; as many riders as frames where none are given.

    Raises
    ------
    Invalid
        With everything that cannot be used.

    Examples
    --------
    >>> read_batch({**USUAL, "frames": "12"}).expected
    12.0
    """
    gathering = Gathering()
    frames = gathering.take(lambda: _number("frames", texts["frames"], 1, MOST_FRAMES, whole=True))
    typed = texts["expected"].strip()
    found = {
        name: gathering.take(lambda n=name, limits=limits: _number(n, texts[n], *limits))  # type: ignore[misc]
        for name, limits in (
            ("unsold", (0.01, _DEAREST)),
            ("turned_away", (0.01, _DEAREST)),
            ("counts_as", (1.0, 10_000.0)),
            ("quote_counts", (0.0, 1.0)),
        )
    }
    expected = (
        gathering.take(lambda: _number("expected", typed, 1, MOST_FRAMES)) if typed else frames
    )
    gathering.finish()
    return Batch(
        frames=int(frames or 0),
        expected=float(expected or 0),
        **{name: float(value or 0.0) for name, value in found.items()},
    )


def _number(name: str, text: str, low: float, high: float, *, whole: bool = False) -> float:
    value = read_number(text)
    good = isinstance(value, int) or (isinstance(value, float) and not whole)
    if not good or not low <= float(value) <= high:
        if whole:
            remedy = tr("a whole number from {low:g} to {high:g}", low=low, high=high)
        else:
            remedy = tr("a number from {low:g} to {high:g}", low=low, high=high)
        raise Invalid(name, text[:60], remedy)
    return float(value)
