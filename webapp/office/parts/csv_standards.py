"""Fitting standards in a file of parts: read by code or name; unknown ones are asked about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from webapp.catalogue.schema.fields import Data
from webapp.catalogue.standards import JOINTS
from webapp.common.errors import Gathering
from webapp.common.text.language import tr, trn
from webapp.office.forms.alike import alike
from webapp.office.forms.standards import StandardLists
from webapp.office.forms.standards_typed import found_in, joint_at, new_code

ADD = "add:"
"""What stands before joint and name of a standard that the file may add."""

_MOST_LINES = 12

Stranger = tuple[str, str]
"""Joint and text of a standard that no list holds."""


@dataclass(frozen=True, kw_only=True)
class FileStandards:
    """The lists a file is read against, and the codes of what it may add, by joint and name."""

    lists: StandardLists
    planned: Mapping[Stranger, str]

    def code(self, joint: str, text: str) -> str:
        """The code of a standard given by code or name; empty for one that no list holds."""
        return found_in(self.lists.known(joint), text) or self.planned.get((joint, text), "")


def file_standards(lists: StandardLists, accepted: Iterable[Stranger]) -> FileStandards:
    """The lists, with what was said to be added to them."""
    planned: dict[Stranger, str] = {}
    for joint, text in accepted:
        if joint in JOINTS and text:
            taken = frozenset(planned.values())
            planned[joint, text] = new_code(lists, joint, text, taken=taken)
    return FileStandards(lists=lists, planned=planned)


def accepted_in(texts: Mapping[str, str]) -> tuple[Stranger, ...]:
    """What a form says is to be added.

    >>> accepted_in({"add:steerer:threaded 1 inch": "yes", "kind": "fork"})
    (('steerer', 'threaded 1 inch'),)
    """
    named = (name.removeprefix(ADD).partition(":") for name in texts if name.startswith(ADD))
    return tuple((joint, text) for joint, _, text in named)


def with_codes(
    model: type[Data], cells: Mapping[str, str], standards: FileStandards
) -> tuple[dict[str, str], tuple[Stranger, ...]]:
    """Cells with codes in place of names, and the standards that no list holds.

    Parameters
    ----------
    model : type
        Class of the part's data.
    cells : mapping of path to text
    standards : FileStandards
    """
    found, strangers = dict(cells), list[Stranger]()
    for path, text in cells.items():
        joint = joint_at(model, path) if text else ""
        if not joint:
            continue
        named = [each.strip() for each in text.replace(";", "\n").split("\n") if each.strip()]
        codes = [standards.code(joint, each) for each in named]
        strangers += [(joint, each) for each, code in zip(named, codes, strict=True) if not code]
        found[path] = "\n".join(code or each for each, code in zip(named, codes, strict=True))
    return found, tuple(strangers)


def refuse(gathering: Gathering, strangers: Iterable[Stranger]) -> None:
    """Say of every standard that no list holds what would be right."""
    for joint, text in strangers:
        remedy = tr("one of the list of {standards}, or added to it", standards=JOINTS[joint])
        gathering.add(joint, text[:60], remedy)


@dataclass(frozen=True, kw_only=True)
class AskedStandard:
    """One standard of the file that no list holds, as the page asks about it."""

    name: str
    label: str
    note: str


def asked(
    found: Iterable[tuple[int, Stranger]], standards: FileStandards
) -> tuple[AskedStandard, ...]:
    """Every standard that no list holds, once, with the lines that name it.

    Parameters
    ----------
    found : iterable of (line number, standard)
    standards : FileStandards
    """
    lines: dict[Stranger, list[int]] = {}
    for number, stranger in found:
        lines.setdefault(stranger, []).append(number)
    return tuple(
        AskedStandard(
            name=f"{ADD}{joint}:{text}",
            label=tr("add “{name}” to the list of {standards}", name=text, standards=JOINTS[joint]),
            note=_where(numbers) + _like(standards.lists.known(joint), text),
        )
        for (joint, text), numbers in lines.items()
    )


def _where(numbers: list[int]) -> str:
    shown = ", ".join(map(str, numbers[:_MOST_LINES]))
    more = "…" if len(numbers) > _MOST_LINES else ""
    return trn("row {rows}", "rows {rows}", len(numbers), rows=shown + more)


def _like(known: Mapping[str, str], text: str) -> str:
    """What it reads like, of what the list holds."""
    names = ", ".join(known[code] for code in alike(text, known))
    if not names:
        return ""
    return "; " + tr("it reads like {names}: if it is that, write so in the file", names=names)
