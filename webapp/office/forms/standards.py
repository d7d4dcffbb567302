"""Lists of fitting standards: what parts and frames carry, what was added, what the trade knows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from sqlmodel import Session, select

from webapp.catalogue.reading.load import trade_names
from webapp.catalogue.reading.trade_names import TradeNames, standards_in
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.standards import JOINTS, STANDARDS
from webapp.catalogue.tables import FrameRevision, FrameSize, Part, TradeName
from webapp.common.text.language import tr
from webapp.common.web.choices import Option
from webapp.office.forms.field import NEW, Another, DataField, Tick

SURE, HAS, LIST = "sure:", "has:", "list:"
"""What stands before a field's path: that another standard is none of those it reads like, one
that is ticked, and that they are ticked and not chosen."""


@dataclass(frozen=True)
class StandardLists:
    """Standards by their joints: code and name, those of the shop before those of the trade."""

    called: TradeNames
    own: Mapping[str, tuple[str, ...]]

    def known(self, joint: str) -> dict[str, str]:
        """Every standard of a joint: its name by its code."""
        trade = dict(STANDARDS.get(joint, ()))
        own = {code: self.called.given.get(code) or trade.get(code) or self.called(code)
               for code in self.own.get(joint, ())}  # fmt: skip
        first = dict(sorted(own.items(), key=lambda item: item[1]))
        return first | {code: name for code, name in trade.items() if code not in own}

    def options(self, joint: str, without: str = "") -> tuple[Option, ...]:
        """What can be chosen; ``without`` is what choosing none is called, where it can be."""
        none = (Option(value="", label=without),) if without else ()
        known = self.known(joint).items()
        return (*none, *(Option(value=code, label=name) for code, name in known))


def standard_lists(session: Session) -> StandardLists:
    """The lists as they are now."""
    found: dict[str, set[str]] = {joint: set() for joint in JOINTS}
    for joint, code in standards_used(session):
        found[joint].add(code)
    for row in session.exec(select(TradeName).where(TradeName.joint != "")).all():
        found[row.joint].add(row.code)
    own = {joint: tuple(sorted(codes)) for joint, codes in found.items()}
    return StandardLists(trade_names(session), own)


def standards_used(session: Session) -> Iterator[tuple[str, str]]:
    """Joint and code of every standard, once for each part, revision and size that carries it."""
    for part in session.exec(select(Part)).all():
        yield from set(standards_in(PART_KINDS[part.kind], part.data))
    for revision in session.exec(select(FrameRevision)).all():
        yield from set(standards_in(RevisionData, revision.data))
    for size in session.exec(select(FrameSize)).all():
        yield from set(standards_in(SizeData, size.data))


def with_choices(
    field: DataField,
    joint: str,
    lists: StandardLists,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
) -> DataField:
    """A field that chooses from the list of its joint, with a place to name another."""
    another = another_of(field.name, field.label, joint, typed, errors)
    if field.kind != "lines":
        without = tr("choose one") if field.required else tr("none")
        options = lists.options(joint, without)
        return replace(field, kind="choice", hint="", options=options, another=another)
    taken = set(field.value.split("\n"))
    ticks = tuple(
        Tick(name=f"{HAS}{field.name}:{code}", label=name, ticked=code in taken)
        for code, name in lists.known(joint).items()
    )
    return replace(field, hint="", ticks=ticks, another=another)


def another_of(
    path: str, label: str, joint: str, typed: Mapping[str, str], errors: Mapping[str, str]
) -> Another:
    """Where a standard is named that the list of a joint does not hold."""
    error = errors.get(NEW + path, "")
    sure = Tick(
        name=SURE + path, label=tr("It is another one: add it"), ticked=SURE + path in typed
    )
    return Another(
        name=NEW + path,
        label=label,
        hint=tr(
            "Its name in the trade, in small letters. It is added to the list of {standards}.",
            standards=JOINTS[joint],
        ),
        value=typed.get(NEW + path, ""),
        error=error,
        sure=sure if error or sure.ticked else None,
    )
