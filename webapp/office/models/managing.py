"""Managing a model after it was added: its name, its place in lists, who sees it."""

from __future__ import annotations

from sqlmodel import Session

from webapp.catalogue.lookup import model_row
from webapp.catalogue.tables import HIDDEN, RETIRED, SHOWN
from webapp.catalogue.writing.change_log import keep
from webapp.catalogue.writing.models import put_model
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.office.revisions.drafts import list_all_models
from webapp.office.save import one_save

STATES = (SHOWN, HIDDEN, RETIRED)


def rename(session: Session, *, who: str, slug: str, name: str, summary: str) -> None:
    """Give a model another name or sentence; addresses and quotes keep what they have.

    Raises
    ------
    NotFound
        For an unknown model.
    Invalid
        For no name, or one that another model has.
    """
    row, called = model_row(session, slug), name.strip().casefold()
    if not called:
        raise Invalid("name", "", tr("the model’s name"))
    others = {m.name.casefold() for m in list_all_models(session) if m.slug != slug}
    if called in others:
        raise Invalid("name", name[:120], tr("a name that no other model has"))
    put_model(
        session,
        who=who,
        slug=slug,
        name=name.strip(),
        summary=summary.strip(),
        position=row.position,
    )


def move(session: Session, *, who: str, slug: str, up: bool) -> None:
    """Move a model one place up or down in every list; at its end it stays.

    Raises
    ------
    NotFound
        For an unknown model.
    """
    rows = list(list_all_models(session))
    at = rows.index(model_row(session, slug))
    to = at - 1 if up else at + 1
    if not 0 <= to < len(rows):
        return
    rows[at], rows[to] = rows[to], rows[at]
    with one_save(session):
        for position, row in enumerate(rows):
            keep(session, row, who=who, key=row.slug, position=position)


def set_state(session: Session, *, who: str, slug: str, state: str) -> None:
    """Show a model, hide it from lists, or retire it, so that it can no longer be ordered.

    Raises
    ------
    NotFound
        For an unknown model.
    Invalid
        For no such state.
    """
    if state not in STATES:
        raise Invalid("state", state[:20], tr("one of {choices}", choices=", ".join(STATES)))
    keep(session, model_row(session, slug), who=who, key=slug, state=state)
