"""The words of a form's fields, from the JSON schema of their data, in the service's language."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from webapp.catalogue.reading.trade_names import readable
from webapp.catalogue.schema.validation import number_in_words
from webapp.common.text.language import in_service_language, tr
from webapp.common.text.sentences import capitalized
from webapp.common.web.choices import Option

FieldKind = Literal["number", "text", "area", "lines", "choice", "tick", "hidden"]


# Descriptions shared by many numbers, which do not distinguish their fields.
_PLAIN = frozenset({"plain text", "name as shown", "mass"})
_SHARED = frozenset(
    {"tyre width", "brake rotor diameter", "chainline, from the frame's middle plane"}
)
_STANDARD = "name of a fitting standard; two parts meet when the names are equal"


def kind_in_words(kind: str) -> str:
    """A kind of part within a sentence.

    >>> kind_in_words("front-hub")
    'front hub'
    """
    return in_service_language(kind.replace("-", " "))


def label_of(name: str, schema: Mapping[str, Any]) -> str:
    """What a field is called: by its description, else by its own name."""
    words = str(schema.get("description", "")) if schema.get("type") != "object" else ""
    words, own = words.partition(" [")[0].strip(), name.replace("_", " ")
    if not words or words in _PLAIN or words == _STANDARD:
        said = in_service_language(own)
    else:
        said = in_service_language(words)
        if words in _SHARED and words != own:
            said = tr("{part} ({kind})", part=in_service_language(own), kind=said)
    return capitalized(said)


def value_in_words(kind: FieldKind, value: str, words: str) -> str:
    """A value as readers see it."""
    if kind == "tick":
        return tr("yes") if value == "yes" else tr("no")
    return in_service_language(readable(value)) if kind == "choice" else words


def hint_of(schema: Mapping[str, Any], kind: FieldKind) -> str:
    """What a field takes."""
    if kind == "lines":
        return tr("one a line")
    if "why" in schema:
        return number_in_words(schema)
    return in_service_language(str(schema.get("form", "")))


def options_of(schema: Mapping[str, Any], *, needed: bool) -> tuple[Option, ...]:
    """What can be chosen; an empty choice too, where the field is optional."""
    values = schema.get("enum", [schema.get("const")])
    empty = () if needed else (Option(value="", label=tr("not chosen")),)
    named = ((str(value), in_service_language(readable(str(value)))) for value in values)
    return (*empty, *(Option(value=value, label=label) for value, label in named))
