"""Forms made from the data classes themselves: one field for every number, text and list.

A field's name is its path in the data (``tyres.0.widest``); label, unit, range and
reason come from the class's JSON schema, so a new part kind has its form at once.
What comes back is plain text; `raw_of` turns it into data for `checking.checked`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any

from webapp.catalogue.reading.trade_names import (
    NO_NAMES,
    TradeNames,
    holds_codes,
    joint_of,
)
from webapp.catalogue.schema.fields import Data
from webapp.catalogue.schema.validation import data_schema
from webapp.common.text.language import in_own_signs, in_service_language, tr
from webapp.office.forms.field import DataField, DataGroup
from webapp.office.forms.field_words import (
    FieldKind,
    hint_of,
    label_of,
    options_of,
    value_in_words,
)
from webapp.office.forms.standards import StandardLists, with_choices
from webapp.office.forms.typed_numbers import read_number

NO_ERRORS: Mapping[str, str] = MappingProxyType({})
_MOST_ROWS = 40
_LONG_TEXT = 400  # characters from which a text gets several lines
_TRUE = frozenset({"yes", "true", "1", "on"})
_FALSE = frozenset({"no", "false", "0", "off"})


def text_of(value: object, write: Callable[[str], str] = in_own_signs) -> str:
    """A value of the data as the text of a field; numbers in the signs they take here.

    Parameters
    ----------
    value : object
    write : callable
        How a number printed by Python is written: `str` leaves it as machines read it.

    Examples
    --------
    >>> text_of(12.0), text_of(None), text_of(True), text_of([9, 11])
    ('12', '', 'yes', '9\\n11')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return write(format(value, ".10g"))
    if isinstance(value, list | tuple):
        return "\n".join(text_of(each, write) for each in value)
    return str(value)


def resolved(whole: Mapping[str, Any], schema: Mapping[str, Any]) -> dict[str, Any]:
    """A schema with references followed; "or none" is noted under ``nullable``.

    >>> resolved({}, {"anyOf": [{"type": "number"}, {"type": "null"}], "title": "Mass"})
    {'title': 'Mass', 'type': 'number', 'nullable': True}
    """
    found = dict(schema)
    choices = found.pop("anyOf", None)
    if choices:
        real = [choice for choice in choices if choice.get("type") != "null"]
        extra = {"nullable": True} if len(real) < len(choices) else {}
        return resolved(whole, found | dict(real[0]) | extra)
    if "$ref" in found:
        inner = whole["$defs"][found.pop("$ref").rsplit("/", 1)[1]]
        return resolved(whole, {**inner, **found})
    return found


def form_of(
    model: type[Data],
    values: Mapping[str, Any],
    *,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    leave_out: Iterable[str] = (),
    called: TradeNames = NO_NAMES,
    standards: StandardLists | None = None,
) -> DataGroup:
    """The form for one piece of data.

    Parameters
    ----------
    model : type
        Its class.
    values : mapping
        The data as JSON; empty for a new one.
    typed : mapping of path to text, optional
        What somebody typed; shown in place of the values.
    errors : mapping of path to message, optional
    leave_out : iterable of str
        Paths of fields that are shown elsewhere.
    called : TradeNames
        Names of codes; shown beside each field that holds some.
    standards : StandardLists, optional
        What fitting standards are chosen from; without them they are texts.

    Returns
    -------
    DataGroup
        Without a heading of its own.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import SaddleData
    >>> form = form_of(SaddleData, {"stack": 45.0})
    >>> [(f.label, f.value, f.unit) for f in form.fields if f.name == "stack"]
    [('Rail axis to top', '45', 'mm')]
    """
    maker = _Maker(data_schema(model), typed, errors or NO_ERRORS, frozenset(leave_out),
                   called=called, standards=standards)  # fmt: skip
    return maker.group(resolved(maker.whole, maker.whole), "", "", values)


class _Maker:
    """Walks a schema and the data together."""

    def __init__(
        self,
        whole: dict[str, Any],
        typed: Mapping[str, str] | None = None,
        errors: Mapping[str, str] = NO_ERRORS,
        leave_out: frozenset[str] = frozenset(),
        *,
        called: TradeNames = NO_NAMES,
        standards: StandardLists | None = None,
        write: Callable[[str], str] = in_own_signs,
    ) -> None:
        self.whole, self.typed, self.errors, self.leave_out = whole, typed, errors, leave_out
        self.called, self.standards, self.write = called, standards, write

    def group(
        self,
        schema: Mapping[str, Any],
        path: str,
        label: str,
        values: Any,
        *,
        blank: bool = False,
    ) -> DataGroup:
        """One object; a blank one shows no defaults, so that it can be left empty."""
        given = values if isinstance(values, Mapping) else {}
        fields: list[DataField] = []
        groups: list[DataGroup] = []
        needed = frozenset(schema.get("required", ()))
        for name, raw in schema.get("properties", {}).items():
            inner, at = resolved(self.whole, raw), f"{path}.{name}".lstrip(".")
            if at in self.leave_out:
                continue
            value = given.get(name, None if blank else inner.get("default"))
            if inner.get("type") == "object":
                none = blank or (bool(inner.get("nullable")) and value is None)
                groups.append(self.group(inner, at, label_of(name, raw), value, blank=none))
            elif _of_objects(self.whole, inner):
                groups.append(self.rows(inner, at, label_of(name, inner), value))
            else:
                must = name in needed and not blank
                fields.append(self.field(inner, at, name, value, needed=must))
        note = tr("Leave every field empty for none.") if schema.get("nullable") else ""
        return DataGroup(
            name=path,
            label=label,
            fields=tuple(fields),
            groups=tuple(group for group in groups if group.fields or group.groups),
            note=note,
        )

    def rows(self, schema: Mapping[str, Any], path: str, label: str, values: Any) -> DataGroup:
        item = resolved(self.whole, schema["items"])
        given = list(values or ())
        count = max(len(given), _rows_typed(self.typed, path)) + 1
        groups = tuple(
            self.group(
                item,
                f"{path}.{i}",
                tr("{label} {number}", label=label, number=i + 1)
                if i < len(given)
                else tr("{label}: another", label=label),
                given[i] if i < len(given) else {},
                blank=i >= len(given),
            )
            for i in range(min(count, _MOST_ROWS))
        )
        note = tr("An entry whose fields are all empty is left out.")
        return DataGroup(name=path, label=label, fields=(), groups=groups, note=note)

    def field(
        self, schema: Mapping[str, Any], path: str, name: str, value: object, *, needed: bool
    ) -> DataField:
        kind = _kind(schema)
        shown = text_of(value, self.write if kind in {"number", "lines"} else str)
        if kind == "number" and isinstance(value, str):  # a decimal number, kept as text
            shown = self.write(value)
        if self.typed is not None:
            shown = self.typed.get(path, "no" if kind == "tick" else "")
        words, hint = shown, hint_of(schema, kind)
        if holds_codes(schema):
            words, names = self.called.display(shown)
            hint = "; ".join(filter(None, (hint, names)))
        found = DataField(
            name=path,
            label=label_of(name, schema),
            kind=kind,
            value=shown,
            words=value_in_words(kind, shown, words),
            unit=in_service_language(str(schema.get("unit", ""))),
            hint=hint,
            required=needed and kind != "lines",
            error=self.errors.get(path, ""),
            options=options_of(schema, needed=needed) if kind == "choice" else (),
        )
        joint = joint_of(schema)
        if not joint or self.standards is None:
            return found
        return with_choices(found, joint, self.standards, self.typed or {}, self.errors)


def _of_objects(whole: Mapping[str, Any], schema: Mapping[str, Any]) -> bool:
    if schema.get("type") != "array":
        return False
    return resolved(whole, schema["items"]).get("type") == "object"


def _rows_typed(typed: Mapping[str, str] | None, path: str) -> int:
    """How many entries of a list somebody filled in."""
    places = [
        int(step)
        for key, text in (typed or {}).items()
        if key.startswith(f"{path}.") and text.strip()
        for step in [key[len(path) + 1 :].split(".")[0]]
        if step.isascii() and step.isdigit() and len(step) <= len(str(_MOST_ROWS))
    ]
    return max(places, default=-1) + 1


def _kind(schema: Mapping[str, Any]) -> FieldKind:
    kind = schema.get("type")
    if kind == "array":
        return "lines"
    if "enum" in schema or "const" in schema:
        return "choice"
    if kind == "boolean":
        return "tick"
    if kind in {"number", "integer"}:
        return "number"
    return "area" if schema.get("maxLength", 0) > _LONG_TEXT else "text"


# --- back into data --------------------------------------------------------------


def raw_of(
    model: type[Data], texts: Mapping[str, str], read: Callable[[str], Any] = read_number
) -> dict[str, Any]:
    """Data as typed, for `checked`: numbers read with point or comma, empty fields left out.

    What is no number stays text, so that the refusal repeats what was typed.

    Parameters
    ----------
    model : type
        Class of the data.
    texts : mapping of path to text
    read : callable
        How a number is read: `read_in_file` for a file.

    Returns
    -------
    dict

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import ForkData
    >>> raw_of(ForkData, {"offset": "46,5", "tyres.0.widest": "70", "tyres.1.widest": " "})
    {'offset': 46.5, 'tyres': [{'widest': 70}], 'tolerance': {}}
    """
    whole = data_schema(model)
    return _raw_object(whole, resolved(whole, whole), "", texts, read)


def _raw_object(
    whole: dict[str, Any],
    schema: Mapping[str, Any],
    path: str,
    texts: Mapping[str, str],
    read: Callable[[str], Any],
) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, raw in schema.get("properties", {}).items():
        inner, at = resolved(whole, raw), f"{path}.{name}".lstrip(".")
        if inner.get("type") == "object":
            if _filled(texts, at) or not inner.get("nullable"):
                found[name] = _raw_object(whole, inner, at, texts, read)
        elif _of_objects(whole, inner):
            rows = _raw_rows(whole, inner, at, texts, read)
            if rows:
                found[name] = rows
        elif texts.get(at, "").strip():
            found[name] = _raw_value(inner, texts[at].strip(), read)
    return found


def _raw_rows(
    whole: dict[str, Any],
    schema: Mapping[str, Any],
    path: str,
    texts: Mapping[str, str],
    read: Callable[[str], Any],
) -> list[dict[str, Any]]:
    item = resolved(whole, schema["items"])
    return [
        _raw_object(whole, item, f"{path}.{i}", texts, read)
        for i in range(min(_rows_typed(texts, path), _MOST_ROWS))
        if _filled(texts, f"{path}.{i}")
    ]


def _filled(texts: Mapping[str, str], path: str) -> bool:
    """Whether anything but an unticked box was typed under a path."""
    return any(
        text.strip() and text.strip() != "no"
        for key, text in texts.items()
        if key.startswith(f"{path}.")
    )


def _raw_value(schema: Mapping[str, Any], text: str, read: Callable[[str], Any]) -> Any:
    kind = schema.get("type")
    if kind == "array":
        parts = text.split("\n") if "\n" in text else text.replace(";", "\n").split("\n")
        return [_raw_value(schema["items"], part.strip(), read) for part in parts if part.strip()]
    if kind == "boolean":
        word = text.lower()
        return word in _TRUE if word in _TRUE | _FALSE else text
    if kind in {"number", "integer"}:
        return read(text)
    return text


def texts_of(
    model: type[Data], values: Mapping[str, Any], write: Callable[[str], str] = in_own_signs
) -> dict[str, str]:
    """Every field of a piece of data by its path, as text; the inverse of `raw_of`.

    Parameters
    ----------
    model : type
        Class of the data.
    values : mapping
    write : callable
        As for `text_of`; `str` for a file.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import SaddleData
    >>> texts_of(SaddleData, {"stack": 45.0})["stack"]
    '45'
    """
    maker = _Maker(data_schema(model), write=write)
    form = maker.group(resolved(maker.whole, maker.whole), "", "", values)
    return {field.name: field.value for field in _all_fields(form)}


def _all_fields(group: DataGroup) -> Iterable[DataField]:
    yield from group.fields
    for inner in group.groups:
        yield from _all_fields(inner)
