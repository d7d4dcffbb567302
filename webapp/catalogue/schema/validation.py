"""Validates raw catalogue data, and puts every refusal in words.

The words come from the data classes themselves: range, unit and reason of each
number are in their JSON schema, where forms find them too.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from webapp.catalogue.schema.fields import Data, Mismatch
from webapp.common.errors import Invalid, Problem
from webapp.common.text.language import in_service_language, tr

T = TypeVar("T", bound=Data)
Loc = tuple[int | str, ...]


def checked(model: type[T], raw: Mapping[str, Any] | Data, *, at: str = "") -> T:
    """Validate raw data against its class.

    Parameters
    ----------
    model : type
        Class of data expected.
    raw : mapping or Data
        What was written or sent.
    at : str
        Name put in front of every field in the refusal, such as a part's name.

    Returns
    -------
    Data
        An instance of ``model``.

    Raises
    ------
    Invalid
        With one problem for each field at fault: field, value, what would be right.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import SaddleData
    >>> checked(SaddleData, {"stack": 500, "rail_forward": 20, "rail_back": 20}, at="it")
    Traceback (most recent call last):
    ...
    webapp.common.errors.Invalid: it.stack is 500: from 20 to 100 mm (all saddles are in this range)
    """
    plain = raw.model_dump() if isinstance(raw, Data) else raw
    try:
        return model.model_validate(plain)
    except ValidationError as error:
        found = error.errors(include_url=False)
        raise Invalid.of(_problem(model, plain, one, at) for one in found) from None


def _problem(model: type[Data], raw: Any, error: ErrorDetails, at: str) -> Problem:
    loc = error["loc"]
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, Mismatch):
        loc = (*loc, cause.field)
    value = None if error["type"] == "missing" else _value_at(raw, loc)
    field = ".".join(map(str, (at, *loc) if at else loc)) or "data"
    return Problem(field, value, _remedy(model, error, loc))


def _value_at(raw: Any, loc: Loc) -> object:
    for step in loc:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _remedy(model: type[Data], error: ErrorDetails, loc: Loc) -> str:
    schema = field_schema(model, loc)
    match error["type"]:
        case "value_error":
            return str(error["ctx"]["error"])
        case "missing":
            return tr("needed: {description}", description=described(schema) or tr("give it"))
        case "extra_forbidden":
            known = field_schema(model, loc[:-1]).get("properties", {})
            return tr("not known here; leave it out or use one of {names}", names=", ".join(known))
        case "literal_error":
            return tr("one of {choices}", choices=error["ctx"]["expected"])
        case "too_short":
            return tr("at least one")
        case "string_pattern_mismatch" if "form" in schema:
            form = in_service_language(schema["form"])
            return tr("{what}: {form}", what=described(schema), form=form)
    if "why" in schema:
        return number_in_words(schema)
    return described(schema) or str(error["msg"])


def described(schema: Mapping[str, Any]) -> str:
    """What a field is, with its unit, in the language of the service.

    >>> described({"description": "stem length [mm]", "unit": "mm"})
    'stem length [mm]'
    """
    what, bracket, _ = str(schema.get("description", "")).partition(" [")
    unit = in_service_language(str(schema.get("unit", "")))
    said = in_service_language(what)
    return f"{said} [{unit}]" if bracket else said


def number_in_words(schema: Mapping[str, Any]) -> str:
    """Range, unit and reason of a number, as a remedy.

    >>> number_in_words({"minimum": 20, "maximum": 100, "unit": "mm", "why": "none is sold"})
    'from 20 to 100 mm (none is sold)'
    """
    span = tr(
        "from {lowest:g} to {highest:g} {unit}",
        lowest=schema["minimum"],
        highest=schema["maximum"],
        unit=in_service_language(schema["unit"]),
    ).rstrip()
    return tr("{range} ({why})", range=span, why=in_service_language(schema["why"]))


@cache
def data_schema(model: type[BaseModel]) -> dict[str, Any]:
    """JSON schema of a data class, made once.

    >>> from webapp.catalogue.schema.part_kinds import StemData
    >>> data_schema(StemData)["properties"]["length"]["unit"]
    'mm'
    """
    return model.model_json_schema()


def field_schema(model: type[BaseModel], loc: Loc) -> dict[str, Any]:
    """The part of a data class's JSON schema that describes one field.

    Parameters
    ----------
    model : type
        The data class.
    loc : tuple of str or int
        Path of the field: ``("tyres", 0, "widest")``.

    Returns
    -------
    dict
        Its schema with ``description``, ``minimum``, ``maximum``, ``unit``,
        ``why`` where it has them; empty for a field that does not exist.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import ForkData
    >>> field_schema(ForkData, ("tyres", 0, "widest"))["unit"]
    'mm'
    """
    whole = data_schema(model)
    schema: dict[str, Any] = _resolved(whole, whole)
    for step in loc:
        inner = (
            schema.get("items") if isinstance(step, int) else schema.get("properties", {}).get(step)
        )
        if inner is None:
            return {}
        schema = _resolved(whole, inner)
        if "properties" not in schema and "items" not in schema:
            break
    return schema


def _resolved(whole: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    """Follow references, and take the other side of "or none"."""
    for choice in schema.get("anyOf", ()):
        if choice.get("type") != "null":
            return _resolved(whole, {k: v for k, v in schema.items() if k != "anyOf"} | choice)
    if "$ref" in schema:
        return _resolved(whole, dict(whole["$defs"][schema["$ref"].rsplit("/", 1)[1]]))
    return schema
