"""What every JSON request is read by: nothing unknown in it, every number a finite number."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

Number = Annotated[float, Field(allow_inf_nan=False)]


def _holds_truth(value: object) -> bool:
    """Whether ``true`` or ``false`` stands in a value, or in a list or an object of it."""
    if isinstance(value, dict):
        return any(map(_holds_truth, value.values()))
    if isinstance(value, list):
        return any(map(_holds_truth, value))
    return isinstance(value, bool)


class Body(BaseModel):
    """A request, or a part of one.

    JSON's ``true`` is no 1: where a number or a text is asked for, it is refused, while
    Python would count with it.
    """

    model_config = ConfigDict(extra="forbid")

    @field_validator("*", mode="before")
    @classmethod
    def _no_truth_values(cls, value: Any, info: ValidationInfo) -> Any:
        wanted = cls.model_fields[info.field_name].annotation if info.field_name else None
        if wanted is not bool and not _is_body(wanted) and _holds_truth(value):
            raise ValueError("a number or a text, not true or false")
        return value


def _is_body(wanted: object) -> bool:
    """Whether a field holds requests of its own, which look at their fields themselves."""
    inside = getattr(wanted, "__args__", ())
    own = isinstance(wanted, type) and issubclass(wanted, BaseModel)
    return own or any(map(_is_body, inside))
