"""Adding a model: named first, then drawn; blank, or as a copy of another."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.prices import price_list_on
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, GivenFile, Texts, refusal
from webapp.office.imported_tables.lines import rows_of_file, rows_of_text
from webapp.office.models.from_table import TableReading, begun_from, checked_texts
from webapp.office.models.new_form import (
    BLANK,
    STARTING_TEXTS,
    Group,
    Table,
    groups,
    labels_of,
    table_of,
)
from webapp.office.models.new_model import NewSize, copy_model, make_model, sizes_named
from webapp.office.models.refused_fields import on_the_form
from webapp.office.revisions.drafts import list_all_models
from webapp.office.save import one_save

router = APIRouter(prefix="/office/models", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class NewModelPage:
    """The form for a new model; ``table`` is None until the sizes are named."""

    person: Person
    texts: dict[str, str]
    likes: tuple[Option, ...]
    currency: str
    groups: tuple[Group, ...]
    table: Table | None
    from_table: TableReading | None
    at_field: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("/new")
def new(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """The form for the model's name and what it is copied from."""
    return _answer(request, person, session, at, {})


@router.post("/new")
def add(
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
    file: GivenFile,
) -> Response:
    """Go on to the table, check it, or keep the model."""
    drawn = texts.get("do") == "keep"
    try:
        read = _from_table(texts, file[1])
        if read is not None:
            filled, from_table = read
            with reading(engine) as session:
                sizes = sizes_named(filled)
                return _answer(
                    request, person, session, at, filled, sizes=sizes, from_table=from_table
                )
        if texts.get("like", BLANK) == BLANK and not drawn:
            sizes = sizes_named(texts)
            with reading(engine) as session:
                begun = STARTING_TEXTS | texts
                return _answer(request, person, session, at, begun, sizes=sizes)
        with writing(engine) as session, one_save(session):
            make = make_model if drawn else copy_model
            made = make(session, who=person.name, texts=texts, on=day_of(at)).slug
    except Invalid as error:
        sizes = _sizes_or_none(texts) if texts.get("do") in {"keep", "check"} else ()
        with reading(engine) as session:
            return _answer(request, person, session, at, texts, sizes=sizes, error=error)
    return RedirectResponse(f"/office/models/{made}/1", 303)


def _from_table(texts: dict[str, str], file: bytes) -> tuple[dict[str, str], TableReading] | None:
    """The form filled from a table that was given, or its cells checked; none for neither."""
    if texts.get("do") == "check":
        return checked_texts(texts)
    given = texts.get("table", "")
    if (
        texts.get("do") != "table"
        or texts.get("like", BLANK) != BLANK
        or not (file or given.strip())
    ):
        return None
    rows = rows_of_file(file) if file else rows_of_text(given)
    return begun_from(rows, STARTING_TEXTS | texts)


def _sizes_or_none(texts: dict[str, str]) -> tuple[NewSize, ...]:
    try:
        return sizes_named(texts)
    except Invalid:
        return ()


def _answer(
    request: Request,
    person: Person,
    session: Session,
    at: Now,
    texts: dict[str, str],
    *,
    sizes: tuple[NewSize, ...] = (),
    from_table: TableReading | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    if error and sizes:
        error = on_the_form(error, sizes, texts)
    told = refusal(error, labels=labels_of(sizes, texts))
    listed = price_list_on(session, day_of(at))
    models = list_all_models(session)
    likes = [Option(value=model.slug, label=model.name) for model in models]
    context = NewModelPage(
        person=person,
        texts=texts,
        likes=(Option(value=BLANK, label=tr("nothing: I draw it here")), *likes),
        currency=listed.currency if listed else "",
        groups=groups(session, texts, told.at_field) if sizes else (),
        table=table_of(sizes, texts, told.at_field) if sizes else None,
        from_table=from_table,
        at_field=told.at_field,
        errors=told.errors,
    )
    template = "pages/office/models/new.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)
