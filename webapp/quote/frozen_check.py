"""A check as a quote keeps it: of the build in its content, of the rider with the customer."""

from __future__ import annotations

import math
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, model_validator

FINEST = 4  # decimals kept of a number: a ten-thousandth of mm, degree or kg
_PRINTED = re.compile(r"(?P<number>[−-]?[0-9]+(?:\.[0-9]+)?)(?P<unit>°| [^ 0-9]+)?")


def kept(value: float | None) -> float | None:
    """A number as it is frozen; None for what is not known or has no end.

    >>> kept(383.472938471), kept(float("inf")), kept(-0.00001)
    (383.4729, None, 0.0)
    """
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), FINEST) + 0.0


Number = Annotated[float | None, BeforeValidator(kept)]
"""A number beside its print."""


def read_printed(printed: str) -> tuple[float | None, str]:
    """The number and unit that were printed, for quotes that kept nothing else.

    >>> read_printed("−12.5 mm"), read_printed("66.40"), read_printed("through axle 12 × 142")
    ((-12.5, 'mm'), (66.4, ''), (None, ''))
    """
    found = _PRINTED.fullmatch(printed)
    if found is None:
        return None, ""
    return float(found["number"].replace("−", "-")), (found["unit"] or "").strip()


class Frozen(BaseModel):
    """A piece of frozen content."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class FrozenCheck(Frozen):
    """One check as printed; ``outcome`` is clear, tight, no or unknown.

    ``figure_number``, ``limit_number`` and ``margin_number`` are the same in ``unit``, None
    where nothing was printed. For quotes that kept the print alone they are read from it.
    """

    key: str
    outcome: Literal["clear", "tight", "no", "unknown"]
    name: str
    figure: str
    limit: str
    margin: str
    reason: str
    remedy: str
    source: str
    unit: str
    figure_number: Number
    limit_number: Number
    margin_number: Number

    @model_validator(mode="before")
    @classmethod
    def _with_numbers(cls, given: Any) -> Any:
        if not isinstance(given, dict) or "unit" in given:
            return given
        read = {name: read_printed(given[name]) for name in ("figure", "limit", "margin")}
        numbers = {f"{name}_number": number for name, (number, _) in read.items()}
        return given | numbers | {"unit": next((unit for _, unit in read.values() if unit), "")}
