"""Fitting standards as a form sends them: chosen from the lists, or named and added to them."""

from __future__ import annotations

from collections.abc import Mapping

from sqlmodel import Session

from webapp.catalogue.reading.trade_names import joint_of
from webapp.catalogue.schema.fields import Data
from webapp.catalogue.schema.validation import field_schema
from webapp.catalogue.standards import JOINTS, name_of
from webapp.catalogue.writing.shop import put_trade_name
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.slugs import slug_of
from webapp.office.forms.alike import alike
from webapp.office.forms.field import NEW
from webapp.office.forms.standards import HAS, LIST, SURE, StandardLists, standard_lists

_LONGEST = 36  # characters of a code, so that a number fits behind


def with_ticked(texts: Mapping[str, str]) -> dict[str, str]:
    """A form whose ticked standards stand in one field, one a line, as the data has them.

    >>> with_ticked({"list:mounts": "yes", "has:mounts:mudguard": "yes", "has:mounts:x": "yes"})
    {'mounts': 'mudguard\\nx'}
    """
    found = {name: text for name, text in texts.items() if not name.startswith((HAS, LIST))}
    for name in texts:
        path = name.removeprefix(LIST)
        if path != name:
            start = f"{HAS}{path}:"
            codes = (each.removeprefix(start) for each in texts if each.startswith(start))
            found[path] = "\n".join(codes)
    return found


def with_added(
    session: Session, who: str, model: type[Data], texts: Mapping[str, str]
) -> dict[str, str]:
    """A form whose standards are all in the lists; those it names anew are added to them.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    model : type
        Class of the form's data.
    texts : mapping of str to str
        As `with_ticked` gives them.

    Raises
    ------
    Invalid
        For a standard that is in no list, and for one that reads like another and is not
        said to be none of them.
    """
    paths = (name.removeprefix(NEW) for name in texts)
    joints = {path: joint for path in paths if (joint := joint_at(model, path))}
    several = frozenset(p for p in joints if "items" in field_schema(model, _steps(p)))
    return with_added_at(session, who, joints, texts, several)


def with_added_at(
    session: Session,
    who: str,
    joints: Mapping[str, str],
    texts: Mapping[str, str],
    several: frozenset[str] = frozenset(),
) -> dict[str, str]:
    """The same, for fields whose joints are told.

    Parameters
    ----------
    joints : mapping of str to str
        The joint of each field that takes a standard.
    several : frozenset of str
        Fields that take any number of them, one a line.
    """
    lists, gathering = standard_lists(session), Gathering()
    found = {name: text for name, text in texts.items() if not name.startswith((NEW, SURE))}
    for path, joint in joints.items():
        own = found.get(path, "").strip()
        gathering.take(lambda p=path, o=own, j=joint: _only_known(p, o, lists.known(j), j))  # type: ignore[misc]
        for code in own.split():
            if (name := name_of(joint, code)) and code not in lists.called.given:
                put_trade_name(session, who=who, code=code, name=name)
        text = texts.get(NEW + path, "").strip()
        if text:
            made = gathering.take(
                lambda p=path, t=text, j=joint: added(  # type: ignore[misc]
                    session, who, lists, joint=j, name=t, field=NEW + p, sure=SURE + p in texts
                )
            )
            before = own.split() if path in several else []
            found[path] = "\n".join([*before, made or ""])
    gathering.finish()
    return found


def added(
    session: Session,
    who: str,
    lists: StandardLists,
    *,
    joint: str,
    name: str,
    field: str,
    sure: bool,
) -> str:
    """The code of a standard by its name: one of the list, or a new one that is put into it.

    Raises
    ------
    Invalid
        For a name that reads like another, unless ``sure`` says that it is none of them.
    """
    known, words = lists.known(joint), " ".join(name.split())
    code = found_in(known, words)
    if code:
        return code
    like = alike(words, known)
    if like and not sure:
        raise Invalid(field, words[:120], close_words(known, like))
    made = new_code(lists, joint, words)
    put_trade_name(session, who=who, code=made, name=words, joint=joint)
    return made


def new_code(
    lists: StandardLists, joint: str, name: str, *, taken: frozenset[str] = frozenset()
) -> str:
    """The code that a new standard gets: one that no list holds, nor ``taken``."""
    known = (code for each in JOINTS for code in lists.known(each))
    own = {*lists.called.given, *known, *taken}
    return slug_of(name[:_LONGEST], taken=own, otherwise=joint.replace("_", "-"))


def found_in(known: Mapping[str, str], text: str) -> str:
    """The code of a standard that is given by its code or its name; empty for an unknown one."""
    plain = text.casefold()
    pairs = known.items()
    return next((code for code, name in pairs if plain in (code, name.casefold())), "")


def close_words(known: Mapping[str, str], like: tuple[str, ...]) -> str:
    """What is asked of a name that reads like others."""
    names = ", ".join(known[code] for code in like)
    return tr("is it one of the list: {names}? Choose it, or say that it is another", names=names)


def joint_at(model: type[Data], path: str) -> str:
    """The joint whose standards a field of the form takes; empty for any other field.

    >>> from webapp.catalogue.schema.part_kinds import ForkData
    >>> joint_at(ForkData, "steerer"), joint_at(ForkData, "mounts"), joint_at(ForkData, "offset")
    ('steerer', 'boss', '')
    """
    return joint_of(field_schema(model, _steps(path)))


def _steps(path: str) -> tuple[str | int, ...]:
    return tuple(
        int(step) if step.isascii() and step.isdecimal() and len(step) <= _LONGEST else step
        for step in path.split(".")
    )


def _only_known(path: str, text: str, known: Mapping[str, str], joint: str) -> None:
    strangers = [code for code in text.split("\n") if code and code not in known]
    if strangers:
        remedy = tr("one of the list of {standards}", standards=JOINTS[joint])
        raise Invalid(path, ", ".join(strangers)[:120], remedy)
