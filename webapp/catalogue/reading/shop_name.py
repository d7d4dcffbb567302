"""What the head of every page says of the shop, and how its pages write numbers and times."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.catalogue.tables import ShopSetting
from webapp.common.text.language import use_number_style
from webapp.common.text.reader import use_units
from webapp.common.timestamps import use_zone

PROGRAM = "Stancewright"  # shown while a shop has no name yet


@dataclass(frozen=True, kw_only=True)
class ShopFace:
    """Name, fingerprint of the mark and accent colour; the last two empty where none is set."""

    name: str = PROGRAM
    mark: str = ""
    accent: str = ""


_PLACES = (("letterhead", "name"), ("look", "mark"), ("look", "accent"))
_WAYS = ("number_style", "time_zone", "units")
# Made once: put together anew it took longer than the database to answer.
_FACE = select(*[col(ShopSetting.data)[at].as_string() for at in (*_PLACES, *_WAYS)]).where(
    ShopSetting.id == 1
)


def shop_face(session: Session) -> ShopFace:
    """What every page says of the shop; also sets how numbers and times are printed.

    One small query: it is asked before every page, so that a new name is on all
    pages at once, in every process.
    """
    found = session.connection().execute(_FACE).first()
    name, mark, accent, style, zone, units = found or ("",) * 6
    use_number_style(style or "")
    use_zone(zone or "UTC")
    use_units("imperial" if units == "imperial" else "metric")
    return ShopFace(name=name or PROGRAM, mark=mark or "", accent=accent or "")
