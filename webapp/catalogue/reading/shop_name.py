"""What the shop is called, as the head of every page says it."""

from __future__ import annotations

from sqlmodel import Session, col, select

from webapp.catalogue.tables import ShopSetting

PROGRAM = "Stancewright"  # stands where a shop has not named itself yet


def shop_name(session: Session) -> str:
    """The name on the shop's letterhead; the program's own before there is one.

    One small query: it is asked before every page, so that a new name is on all
    pages at once, in every process.
    """
    name = col(ShopSetting.data)[("letterhead", "name")].as_string()
    return session.exec(select(name).where(ShopSetting.id == 1)).first() or PROGRAM
