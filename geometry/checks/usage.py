"""Usage classes of EN 17406: what a bike is built to be ridden on."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from geometry.checks.outcomes import Check, unknown
from geometry.core import InvalidInput


@dataclass(frozen=True, kw_only=True, slots=True)
class UsageClass:
    """One class.

    Parameters
    ----------
    number : int
        1 to 6.
    ground : str
        What is ridden on.
    drop : float or None [mm]
        Drops up to this; ``None`` where the class names none.
    covers : frozenset of int
        Classes whose riding lies within this one.
    """

    number: int
    ground: str
    drop: float | None
    covers: frozenset[int]


USAGE_CLASSES = MappingProxyType(
    {
        row.number: row
        for row in (
            UsageClass(number=1, ground="paved", drop=None, covers=frozenset({1})),
            UsageClass(number=2, ground="gravel", drop=150.0, covers=frozenset({1, 2})),
            UsageClass(number=3, ground="rough trails", drop=600.0, covers=frozenset({1, 2, 3})),
            UsageClass(
                number=4,
                ground="descents below 40 km/h",
                drop=1200.0,
                covers=frozenset({1, 2, 3, 4}),
            ),
            UsageClass(
                number=5,
                ground="extreme downhill",
                drop=None,
                covers=frozenset({1, 2, 3, 4, 5}),
            ),
            UsageClass(number=6, ground="road sport", drop=None, covers=frozenset({1, 6})),
        )
    }
)
"""EN 17406, from an excerpt: drops of class 2 up to 150 mm, of class 3 below 600 mm,
of class 4 below 1200 mm. That 1 to 5 each cover those before, and that road sport
covers paved ground alone, is read from their wording."""


def usage_class(number: int) -> UsageClass:
    """A class by its number.

    Parameters
    ----------
    number : int
        1 to 6.

    Returns
    -------
    UsageClass

    Raises
    ------
    InvalidInput
        Any other number.

    Examples
    --------
    >>> usage_class(3).drop
    600.0
    """
    if number not in USAGE_CLASSES:
        raise InvalidInput("usage_class", number, "must be a class of EN 17406, 1 to 6")
    return USAGE_CLASSES[number]


def usage_check(*, wished: int, part: str, stated: int | None) -> Check:
    """Whether a frame or part is built for the riding wished.

    Parameters
    ----------
    wished : int
        Class of the riding.
    part : str
        Name of the frame or part.
    stated : int or None
        Its class; ``None`` when its maker states none.

    Returns
    -------
    Check
        Code ``load.usage``, of safety.

    Raises
    ------
    InvalidInput
        A number that is no class.

    Examples
    --------
    >>> usage_check(wished=4, part="touring rim", stated=2).remedy
    'a part of class 4 or 5, or gentler riding'
    """
    code, source = "load.usage", "EN 17406, class as stated by the maker"
    wanted = usage_class(wished)
    if stated is None:
        missing = f"the usage class of {part}"
        return unknown(code, missing=missing, source=source, remedy="ask its maker", safety=True)
    fits = wished in usage_class(stated).covers
    able = " or ".join(str(n) for n, row in USAGE_CLASSES.items() if wished in row.covers)
    return Check(
        code=code,
        outcome="clear" if fits else "no",
        figure=float(stated),
        limit=float(wished),
        reason=f"{part} is class {stated} ({usage_class(stated).ground}); "
        f"the riding is class {wished} ({wanted.ground})",
        source=source,
        remedy="" if fits else f"a part of class {able}, or gentler riding",
        safety=True,
    )
