"""The table as schema.org JSON-LD: a product group whose variants are the sizes."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup

from webapp.builds.choice.build_choice import address_of
from webapp.builds.page.figure_rows import KEYS
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.glossary import entry
from webapp.geometry_table.geometry_table import TableColumn

_UNIT_CODES = {"mm": "MMT", "°": "DD"}  # UN/CEFACT Recommendation 20


def product_group(
    catalogue: Catalogue, columns: tuple[TableColumn, ...], *, base: str
) -> dict[str, Any]:
    """The sizes of one build as schema.org has them.

    Parameters
    ----------
    catalogue : Catalogue
    columns : tuple of TableColumn
        Unloaded figures are told, as printed on the page.
    base : str
        Public address of the service.

    Returns
    -------
    dict
        A ``ProductGroup`` that varies by size; lengths carry MMT (mm), angles DD.
    """
    maker = catalogue.settings.letterhead
    revision = catalogue.revision
    group = f"{catalogue.model.slug}-revision-{revision.number}"
    found: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "ProductGroup",
        "name": catalogue.model.name,
        "description": catalogue.model.summary,
        "productGroupID": group,
        "variesBy": "https://schema.org/size",
        "url": f"{base}/table/{catalogue.model.slug}?rev={revision.number}",
        "manufacturer": {"@type": "Organization", "name": maker.name, "url": maker.web},
        "hasVariant": [_variant(catalogue, column, group, base) for column in columns],
    }
    if revision.published_on is not None:
        found["releaseDate"] = revision.published_on.isoformat()
    return found


def _variant(catalogue: Catalogue, column: TableColumn, group: str, base: str) -> dict[str, Any]:
    figures = column.states[UNLOADED]
    return {
        "@type": "Product",
        "name": f"{catalogue.model.name}, {column.name}",
        "inProductGroupWithID": group,
        "size": column.name,
        "url": f"{base}{address_of(column.choice)}",
        "additionalProperty": [_property(key, figures[key]) for key in KEYS if key in figures],
    }


def _property(key: str, value: float) -> dict[str, Any]:
    known = entry(key)
    found = {
        "@type": "PropertyValue",
        "propertyID": key,
        "name": known.name,
        "value": round(value, known.decimals),
        "description": known.definition,
    }
    code = _UNIT_CODES.get(known.unit)
    return found | ({"unitCode": code, "unitText": known.unit} if code else {})


def in_page(data: dict[str, Any]) -> Markup:
    """JSON for a data block of a page: nothing in it can end the block.

    >>> print(in_page({"name": "</script>"}))
    {"name": "\\u003c/script>"}
    """
    text = json.dumps(data, ensure_ascii=True, separators=(", ", ": "))
    safe = text.replace("<", "\\u003c").replace("&", "\\u0026")
    return Markup(safe)  # noqa: S704  # no character of it can be markup
