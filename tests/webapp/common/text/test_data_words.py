"""Every word beside a field of the catalogue's data is found by who translates the service."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.catalogue.schema.validation import data_schema
from webapp.common.text.extraction import in_data_classes

CLASSES: tuple[type[BaseModel], ...] = (
    *PART_KINDS.values(),
    SizeData,
    RevisionData,
    ShopSettings,
    PostureWindows,
)


def words_of(model: type[BaseModel]) -> Iterator[str]:
    """Descriptions without their unit, units, reasons, forms, and names of fields as labels."""
    schema = data_schema(model)
    for part in (schema, *schema.get("$defs", {}).values()):
        for name, field in part.get("properties", {}).items():
            yield name.replace("_", " ")
            yield from _of_field(field)


def _of_field(field: dict[str, Any]) -> Iterator[str]:
    yield str(field.get("description", "")).partition(" [")[0]
    yield from (str(field.get(key, "")) for key in ("unit", "why", "form"))
    for inner in (*field.get("anyOf", ()), *filter(None, [field.get("items")])):
        if isinstance(inner, dict):
            yield from _of_field(inner)


def test_what_forms_and_refusals_say_of_data_can_be_translated() -> None:
    known = {message for _file, _line, message in in_data_classes()}
    missing = {word for model in CLASSES for word in words_of(model)} - known - {""}
    made = {word for word in missing if word.startswith("± ")}  # put together from a dimension
    assert missing - made == set()
