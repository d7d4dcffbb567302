"""The glossary of ``geometry`` in the language of the service.

Names, definitions and sources stand once, beside the numbers they speak of;
here they are said in the language of the service. A translator finds them in
the catalogue file like every other sentence.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from geometry.glossary import GLOSSARY, Entry
from geometry.glossary import entry as plain_entry
from geometry.verify import RELATIONS
from webapp.common.text.language import in_service_language

__all__ = ["GLOSSARY", "Entry", "entry", "glossary_sentences", "spoken"]

SPOKEN = ("name", "definition", "source")
"""Fields of an entry that people read as words; formulas and symbols are everybody's."""


@cache
def entry(key: str) -> Entry:
    """The glossary's entry of a key, in the language of the service.

    Raises
    ------
    InvalidInput
        A key that is in no entry.

    Examples
    --------
    >>> entry("trail").name
    'Trail'
    """
    found = plain_entry(key)
    return replace(
        found,
        name=in_service_language(found.name),
        definition=in_service_language(found.definition),
        source=in_service_language(found.source),
    )


def spoken(key: str) -> str:
    """A value's name within a sentence: ``Wheelbase`` to ``wheelbase``, ``BB drop`` as it is.

    Examples
    --------
    >>> spoken("wheelbase"), spoken("bb_drop")
    ('wheelbase', 'BB drop')
    """
    name = entry(key).name
    return name if name[:2].isupper() else name[0].lower() + name[1:]


def glossary_sentences() -> Iterator[tuple[str, str]]:
    """Key and text of everything in the glossary that is translated."""
    for found in GLOSSARY.values():
        for field in SPOKEN:
            if text := getattr(found, field):
                yield found.key, str(text)
    for relation in RELATIONS:
        yield "relation", relation.name
