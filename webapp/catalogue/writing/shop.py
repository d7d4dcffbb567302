"""Writes shop settings and riding styles, through this module only."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlmodel import Session

from webapp.catalogue.lookup import one
from webapp.catalogue.schema.fields import Data, Name, Slug, Standard
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.standards import JOINTS
from webapp.catalogue.tables import ACTIVE, RETIRED, RidingStyle, ShopSetting, TradeName
from webapp.catalogue.writing.change_log import forget, keep
from webapp.common.errors import Invalid
from webapp.common.text.language import tr


class _Style(Data):
    slug: Slug
    name: Name
    windows: PostureWindows


class _TradeName(Data):
    code: Standard
    name: Name


def put_settings(session: Session, *, who: str, data: Mapping[str, Any] | Data) -> ShopSettings:
    """Set the shop's settings as a whole.

    Raises
    ------
    Invalid
        For data that fails `ShopSettings`, and for a web address that names no site.
    """
    valid = checked(ShopSettings, data, at="settings")
    if valid.letterhead.web and not valid.letterhead.site():
        remedy = tr("a web address, as in https://shop.example")
        raise Invalid("letterhead.web", valid.letterhead.web, remedy)
    row = session.get(ShopSetting, 1) or ShopSetting(data={})
    keep(session, row, who=who, key="shop", data=valid.model_dump(mode="json"))
    return valid


def put_style(
    session: Session,
    *,
    who: str,
    slug: str,
    name: str,
    position: int,
    windows: Mapping[str, Any] | Data,
    removed: bool = False,
) -> RidingStyle:
    """Add a riding style, or change the one of that slug; a removed one is offered to nobody.

    Raises
    ------
    Invalid
        For windows that fail `PostureWindows`.
    """
    raw = windows.model_dump() if isinstance(windows, Data) else windows
    valid = checked(_Style, {"slug": slug, "name": name, "windows": raw}, at=slug)
    row = one(session, RidingStyle, slug=slug)
    row = row or RidingStyle(slug=slug, name=name, position=position, data={})
    data = valid.windows.model_dump(mode="json")
    values = {"name": valid.name, "position": position, "data": data}
    state = RETIRED if removed else ACTIVE
    keep(session, row, who=who, key=slug, state=state, **values)
    return row


def put_trade_name(session: Session, *, who: str, code: str, name: str, joint: str = "") -> None:
    """Say what a code is called in the trade; an empty name takes back what was said.

    Parameters
    ----------
    joint : str
        The list it is put into, of `JOINTS`; empty: it stays where it is.

    Raises
    ------
    Invalid
        For what is no code, a name that is too long, or a list that is not there.
    """
    if joint and joint not in JOINTS:
        raise Invalid(f"{code}.joint", joint, tr("one of {choices}", choices=", ".join(JOINTS)))
    row = one(session, TradeName, code=code)
    if not name.strip():
        if row is not None:
            forget(session, row, who=who, key=code)
        return
    valid = checked(_TradeName, {"code": code, "name": name}, at=code)
    row = row or TradeName(code=valid.code, name=valid.name)
    keep(session, row, who=who, key=code, name=valid.name, joint=joint or row.joint)
