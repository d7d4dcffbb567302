"""The list of riding styles: adding, moving, removing and bringing back."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import one
from webapp.catalogue.tables import ACTIVE, RETIRED, RidingStyle
from webapp.catalogue.writing.change_log import keep
from webapp.catalogue.writing.shop import put_style
from webapp.common.errors import Conflict, Invalid, NotFound
from webapp.common.text.language import tr
from webapp.common.text.slugs import slug_of
from webapp.office.save import one_save


def all_styles(session: Session) -> Sequence[RidingStyle]:
    """Every style in its order, the removed ones too."""
    query = select(RidingStyle).order_by(col(RidingStyle.position), col(RidingStyle.slug))
    return session.exec(query).all()


def style_row(session: Session, slug: str) -> RidingStyle:
    """One style.

    Raises
    ------
    NotFound
        For one there is not; the remedy names those there are.
    """
    row = one(session, RidingStyle, slug=slug)
    if row is None:
        names = ", ".join(each.slug for each in all_styles(session))
        raise NotFound("style", slug, tr("one of {choices}", choices=names))
    return row


def own_name(session: Session, name: str, *, slug: str = "") -> str:
    """A style's name as typed, refused if another style has it.

    Raises
    ------
    Invalid
        For no name, or one that another style has.
    """
    wanted = name.strip()
    others = {each.name.casefold() for each in all_styles(session) if each.slug != slug}
    if not wanted:
        raise Invalid("style_name", "", tr("the style’s name"))
    if wanted.casefold() in others:
        raise Invalid("style_name", wanted[:120], tr("a name that no other style has"))
    return wanted


def add_style(session: Session, *, who: str, name: str, like: str) -> str:
    """Add a style after the others, with the windows of another one; returns its slug.

    Raises
    ------
    Invalid
        For a name that cannot be had.
    NotFound
        Where there is no style to begin like.
    """
    called, pattern = own_name(session, name), style_row(session, like)
    rows = all_styles(session)
    slug = slug_of(called, taken={each.slug for each in rows}, otherwise="style")
    last = max(each.position for each in rows)
    put_style(session, who=who, slug=slug, name=called, position=last + 1, windows=pattern.data)
    return slug


def move_style(session: Session, *, who: str, slug: str, up: bool) -> None:
    """Move a style one place up or down among those offered; at its end it stays."""
    rows = [each for each in all_styles(session) if each.state == ACTIVE]
    if (row := style_row(session, slug)) not in rows:
        return
    at = rows.index(row)
    to = at - 1 if up else at + 1
    if not 0 <= to < len(rows):
        return
    rows[at], rows[to] = rows[to], rows[at]
    removed = [each for each in all_styles(session) if each.state != ACTIVE]
    with one_save(session):
        for position, each in enumerate((*rows, *removed)):
            keep(session, each, who=who, key=each.slug, position=position)


def remove_style(session: Session, *, who: str, slug: str) -> None:
    """Stop offering a style; what was computed with it stays readable.

    Raises
    ------
    Conflict
        For the last one offered: a rider needs one.
    """
    row = style_row(session, slug)
    if not any(each.state == ACTIVE for each in all_styles(session) if each.slug != slug):
        raise Conflict("style", row.name, tr("another style; at least one must remain"))
    keep(session, row, who=who, key=slug, state=RETIRED)


def bring_back_style(session: Session, *, who: str, slug: str) -> None:
    """Offer a removed style again."""
    keep(session, style_row(session, slug), who=who, key=slug, state=ACTIVE)
