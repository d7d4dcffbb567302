"""The lists of fitting standards: names, how often each is used, adding and removing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.standards import JOINTS
from webapp.catalogue.writing.shop import put_trade_name
from webapp.common.errors import Conflict, Gathering, Invalid
from webapp.common.text.language import tr
from webapp.office.forms.standards import standard_lists, standards_used
from webapp.office.forms.standards_typed import added
from webapp.office.save import one_save

NAME, WAS, DROP = "name:", "was:", "drop:"


@dataclass(frozen=True, kw_only=True)
class NameLine:
    """One code: its name, how it is shown, and how many parts, revisions and sizes use it."""

    code: str
    name: str
    shown: str
    used: int


@dataclass(frozen=True, kw_only=True)
class NameList:
    """The standards of one joint, those without a name first."""

    joint: str
    label: str
    lines: tuple[NameLine, ...]


def names_in_use(session: Session) -> tuple[NameList, ...]:
    """Every code in use or named, by the joint it is for; last those that are in no list."""
    lists, used = standard_lists(session), Counter(code for _, code in standards_used(session))
    called = lists.called
    found = {joint: lists.own[joint] for joint in JOINTS if lists.own[joint]}
    listed = {code for codes in found.values() for code in codes}
    found[""] = tuple(sorted({*called.given} - listed))
    return tuple(
        NameList(
            joint=joint,
            label=JOINTS.get(joint) or tr("in no list"),
            lines=tuple(
                NameLine(
                    code=code, name=called.given.get(code, ""), shown=called(code), used=used[code]
                )
                for code in sorted(codes, key=lambda code: (code in called.given, code))
            ),
        )
        for joint, codes in found.items()
        if codes
    )


def keep_names(session: Session, *, who: str, texts: Mapping[str, str]) -> None:
    """Save the names changed in the form; the others stay as somebody else left them.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    texts : mapping of str to str
        ``name:<code>`` as typed and ``was:<code>`` as it was shown; ``drop:<code>`` takes a
        standard that nothing carries out of its list.

    Raises
    ------
    Invalid
        For names that cannot be kept, all at once; nothing is kept then.
    Conflict
        For a standard to be taken out that something carries.
    """
    gathering = Gathering()
    dropped = {field.removeprefix(DROP) for field in texts if field.startswith(DROP)}
    carried = dropped & {code for _, code in standards_used(session)} if dropped else set()
    if carried:
        raise Conflict(f"{DROP}{min(carried)}", None, tr("a standard that nothing uses"))
    with one_save(session):
        for field, text in texts.items():
            code = field.removeprefix(NAME)
            if code == field:
                continue
            if code in dropped:
                put_trade_name(session, who=who, code=code, name="")
            elif text.strip() != texts.get(WAS + code, "").strip():
                gathering.take(
                    lambda c=code, t=text: put_trade_name(session, who=who, code=c, name=t)  # type: ignore[misc]
                )
        gathering.finish()


def add_standard(session: Session, *, who: str, joint: str, name: str, sure: bool) -> None:
    """Put a standard into the list of a joint.

    Raises
    ------
    Invalid
        For no name, a list that is not there, or a name that reads like another.
    """
    if joint not in JOINTS:
        raise Invalid("joint", joint[:40], tr("one of the lists"))
    if not name.strip():
        raise Invalid("name", "", tr("its name in the trade"))
    lists = standard_lists(session)
    code = added(session, who, lists, joint=joint, name=name, field="name", sure=sure)
    called = lists.known(joint).get(code)
    if called is not None and code not in lists.own[joint]:  # the trade's own
        put_trade_name(session, who=who, code=code, name=called, joint=joint)
