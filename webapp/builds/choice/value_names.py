"""What the values of a build's lists are called, for messages that repeat a value."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.builds.choice.places import NONE, PLACE_OF, SCOPES, scope_words
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.language import tr


def named(catalogue: Catalogue, field: str, values: Sequence[str]) -> str:
    """Values as the page names them; what is in no list stays as it came.

    Parameters
    ----------
    catalogue : Catalogue
    field : str
        As the address has it.
    values : sequence of str

    Returns
    -------
    str
    """
    names = _names(catalogue, field)
    return ", ".join(names.get(value.strip(), value) for value in values)


def _names(catalogue: Catalogue, field: str) -> dict[str, str]:
    if field == "size":
        return {size.slug: size.name for size in catalogue.sizes}
    if field == "scope":
        return {each: scope_words(catalogue, each) for each in SCOPES}
    if field not in PLACE_OF:
        return {}
    parts = catalogue.parts.get(PLACE_OF[field].kind, ())
    return {part.slug: part.name for part in parts} | {NONE: tr("none")}


_MOST_NAMED = 12


def one_of(names: Sequence[str]) -> str:
    """Parts to choose from, as the builder calls them; a name may hold commas."""
    told, more = "; ".join(names[:_MOST_NAMED]), len(names) - _MOST_NAMED
    if more > 0:
        return tr("one of these: {names}; and {more} more", names=told, more=more)
    return tr("one of these: {names}", names=told)
