"""The answer to one question a mechanic would ask of a build.

A check is *clear*, *tight* or *no*. When a number that it needs is not known it
is none of the three: its outcome is ``None`` and its reason says what is
missing, so that nothing unknown is ever shown as fitting.

Reasons and remedies are statements (codes with values) here; whoever shows checks to
people has the same checks with sentences in their place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from geometry.checks.remedies import KnownNumber
from geometry.core import (
    AtLeast,
    InvalidInput,
    Num,
    Statement,
)

Outcome = Literal["clear", "tight", "no"]
Sense = Literal["at least", "at most"]

CODES: tuple[Outcome, ...] = ("no", "tight", "clear")
"""Outcomes from worst to best; their positions are the codes of `outcome_codes`."""


Words = TypeVar("Words")
Words_co = TypeVar("Words_co", covariant=True)
"""The type of a check's reason and remedy: statements in this package, sentences where people
read them.
"""


class Source(StrEnum):
    """Whose limit it is, where geometry itself knows it or the caller names no other."""

    BUILDER = "builder"
    HUB_MAKER = "hub_maker"
    FORK_MAKER = "fork_maker"
    CLOSED_LOOP = "closed_loop"
    EN_17406 = "en_17406"
    ISO_4210_GAP = "iso_4210_gap"
    ISO_4210_FRONT_SHARE = "iso_4210_front_share"
    CFR_PEDAL = "cfr_pedal"
    CFR_TOE = "cfr_toe"
    FEET_HELD = "feet_held"


@dataclass(frozen=True, kw_only=True)
class Ask(Statement):
    """Ask the one who knows: the builder, a maker."""

    whom: str


@dataclass(frozen=True, kw_only=True)
class AskMaker(Statement):
    """Ask the part's maker."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Check(Generic[Words_co]):
    """One question, its answer and everything needed to explain it.

    Parameters
    ----------
    code : str
        Which question, dotted (``"tyre.rear.stays"``).
    outcome : {"clear", "tight", "no"} or None
        ``None`` when it is not known.
    figure, limit : float, optional [unit]
        What was found and what it is held against.
    margin : float, optional [unit]
        How far on the good side of the limit the figure is; negative when it fails.
    unit : str
        Of figure, limit and margin; empty for counts and ratios.
    reason : Statement, or words
        Why; what is missing where the outcome is not known.
    source : str
        Whose limit it is, one of `Source` or as given: a standard, a part's maker.
    remedy : Statement, or words
        What would make it clear; ``""`` when it is.
    safety : bool
        True when a failure must block an order.
    """

    code: str
    outcome: Outcome | None
    figure: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    reason: Words_co
    source: str
    remedy: Words_co | Literal[""] = ""
    safety: bool = False

    @property
    def known(self) -> bool:
        """Whether the question could be answered at all."""
        return self.outcome is not None


def unknown(
    code: str, *, missing: Words, source: str, remedy: Words, safety: bool = False
) -> Check[Words]:
    """A check that cannot be answered, and what is missing.

    Parameters
    ----------
    code : str
        Which question.
    missing : Statement, or words
        What is not known.
    source : str
        Whose limit it would be held against.
    remedy : Statement, or words
        What would let it be answered.
    safety : bool
        True when the question is one of safety.

    Returns
    -------
    Check
        With outcome ``None``.

    Examples
    --------
    >>> check = unknown("post.depth", missing="where the seat tube bends", source="builder",
    ...                 remedy="measure the straight bore")
    >>> check.reason, check.known
    ('where the seat tube bends', False)
    """
    return Check(
        code=code,
        outcome=None,
        unit="",
        reason=missing,
        source=source,
        remedy=remedy,
        safety=safety,
    )


def margin_of(figure: Num, *, limit: Num, sense: Sense = "at least") -> Num:
    """How far a figure is on the good side of its limit.

    Parameters
    ----------
    figure, limit : float or array
        Same unit, any broadcastable shapes.
    sense : {"at least", "at most"}
        Which side is good.

    Returns
    -------
    float or array
        Positive when the limit is kept, 0 at the limit.

    Examples
    --------
    >>> margin_of(7.5, limit=6.0)
    1.5
    >>> margin_of(130.0, limit=120.0, sense="at most")
    -10.0
    """
    return figure - limit if sense == "at least" else limit - figure


def outcome_codes(margin: Num, *, band: Num = 0.0) -> NDArray[np.intp]:
    """Outcomes of many margins at once, as positions in `CODES`.

    Parameters
    ----------
    margin : float or array [unit]
        As from `margin_of`.
    band : float or array [unit]
        Margins of at least this are clear; smaller ones are tight.

    Returns
    -------
    array of int8
        0 no, 1 tight, 2 clear, −1 where the margin is NaN: not known.

    Examples
    --------
    >>> outcome_codes(np.array([-0.1, 0.0, 3.0, np.nan]), band=2.0).tolist()
    [0, 1, 2, -1]
    """
    if isinstance(margin, float) and isinstance(band, float):  # one, as most are; sooner told
        code = -1 if math.isnan(margin) else (margin >= 0) + (margin >= max(band, 0.0))
        return np.asarray(code, dtype=np.int8)
    margin = np.asarray(margin, dtype=np.float64)
    codes = (margin >= 0).astype(np.int8) + (margin >= np.maximum(band, 0.0)).astype(np.int8)
    return np.where(np.isnan(margin), -1, codes).astype(np.int8)


def judge(
    code: str,
    *,
    figure: float,
    limit: float,
    unit: str,
    reason: Words,
    source: str,
    remedy: Words | Literal[""] = "",
    sense: Sense = "at least",
    band: float = 0.0,
    safety: bool = False,
) -> Check[Words]:
    """Hold one figure against one limit.

    Parameters
    ----------
    code : str
        Which question.
    figure, limit : float [unit]
        Infinite figures are allowed (a tyre that never reaches the toe).
    unit : str
        Of all four numbers.
    reason, source, remedy : str
        As in `Check`; the remedy is dropped when the outcome is clear.
    sense : {"at least", "at most"}
        Which side of the limit is good.
    band : float [unit]
        Margins smaller than this are tight.
    safety : bool
        True when a failure must block an order.

    Returns
    -------
    Check

    Raises
    ------
    InvalidInput
        A NaN figure or limit: say `unknown` instead; or a negative band.

    Examples
    --------
    >>> judge("toe", figure=95.0, limit=89.0, unit="mm", reason="", source="16 CFR 1512.17(d)",
    ...       band=11.0).outcome
    'tight'
    """
    for name, value in (("figure", figure), ("limit", limit)):
        if math.isnan(value):
            raise InvalidInput(name, value, KnownNumber())
    if not band >= 0:
        raise InvalidInput("band", band, AtLeast(bound=0.0, unit=unit))
    margin = float(margin_of(figure, limit=limit, sense=sense))
    outcome = CODES[int(outcome_codes(margin, band=band))]
    return Check(
        code=code,
        outcome=outcome,
        figure=float(figure),
        limit=float(limit),
        margin=margin,
        unit=unit,
        reason=reason,
        source=source,
        remedy="" if outcome == "clear" else remedy,
        safety=safety,
    )
