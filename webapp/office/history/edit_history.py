"""The log of every edit: who changed what, when, and the former values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.reading.load import trade_names
from webapp.catalogue.tables import Edit, TradeName
from webapp.common.text.language import tr
from webapp.common.two_edits import shown
from webapp.office.forms.data_form import text_of

PAGE = 100

TABLES: Mapping[str, str] = MappingProxyType(
    {
        "frame_model": tr("model"),
        "frame_revision": tr("revision"),
        "frame_size": tr("size"),
        "part": tr("part"),
        "offer": tr("offer"),
        "price_list": tr("price list"),
        "price_scope": tr("price group"),
        "price": tr("price"),
        "cost": tr("cost"),
        "riding_style": tr("riding style"),
        "shop_setting": tr("settings"),
        "trade_name": tr("trade name"),
    }
)
"""What an edit was made to, by its table."""


FOLDED_FROM = 4  # changes shown at once


@dataclass(frozen=True, kw_only=True)
class EditView:
    """One edit: ``changes`` are (what, before, after); ``verb`` is added, changed or removed."""

    id: int
    at: datetime
    who: str
    what: str
    key: str
    verb: str
    changes: tuple[tuple[str, str, str], ...]

    @property
    def is_long(self) -> bool:
        """Whether its changes are folded away in a list of edits."""
        return len(self.changes) > FOLDED_FROM


def history(
    session: Session, *, table: str = "", key: str = "", who: str = "", before: int = 0
) -> tuple[EditView, ...]:
    """Edits, the newest first, one page of them.

    Parameters
    ----------
    table : str
        Of one table; all if empty.
    key : str
        Only of rows whose key begins so: ``knapweed/3``.
    who : str
        Only by this person.
    before : int
        Only those before this one; 0 for the newest.
    """
    query = select(Edit).order_by(col(Edit.id).desc()).limit(PAGE)
    if table:
        query = query.where(Edit.row_table == table)
    if key:
        query = query.where(col(Edit.row_key).startswith(key, autoescape=True))
    if who:
        query = query.where(Edit.who == who)
    if before:
        query = query.where(col(Edit.id) < before)
    given = trade_names(session).given
    return tuple(_view(row, given) for row in session.exec(query).all())


def everybody(session: Session) -> tuple[str, ...]:
    """Everybody who has ever changed anything."""
    return tuple(sorted(session.exec(select(Edit.who).distinct()).all()))


_VERBS = {
    (False, False): tr("changed"),
    (True, False): tr("added"),
    (False, True): tr("removed"),
    (True, True): tr("changed"),
}
"""By whether there was nothing before, and whether there is nothing after."""


def _view(row: Edit, given: Mapping[str, str]) -> EditView:
    verb = _VERBS[row.before is None, row.after is None]
    at = row.at.replace(tzinfo=UTC) if row.at.tzinfo is None else row.at.astimezone(UTC)
    both = row.before is not None and row.after is not None
    found = changes_between(row.before or {}, row.after or {}) if both else ()
    # the code of a trade name is what was named, so it stays
    names = {} if row.row_table == TradeName.__tablename__ else given
    changes = tuple(
        (what, names.get(was, was), shown(names.get(now, now))) for what, was, now in found
    )
    return EditView(
        id=int(row.id or 0),
        at=at,
        who=row.who,
        what=TABLES.get(row.row_table, row.row_table),
        key=row.row_key,
        verb=verb,
        changes=changes,
    )


def changes_between(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[tuple[str, str, str]]:
    """Everything that differs between two rows, by its path within the data."""
    old, new = dict(_leaves(before)), dict(_leaves(after))
    for path in dict.fromkeys([*new, *old]):
        was, now = old.get(path, ""), new.get(path, "")
        if was != now:
            yield path.removeprefix("data.").replace(".", ", ").replace("_", " "), was, now


def _leaves(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every plain value within nested data, by its path.

    >>> list(_leaves({"data": {"post": {"depth": 283.0}, "mounts": []}}))
    [('data.post.depth', '283')]
    """
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _leaves(inner, f"{path}.{name}".lstrip("."))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from _leaves(inner, f"{path}.{place + 1}")
    else:
        yield path, text_of(value)
