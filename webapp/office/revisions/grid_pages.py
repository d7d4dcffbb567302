"""One revision: its sizes in a grid, checked as they are typed, kept, undone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.writing.models import put_draft
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.two_edits import (
    EditForm,
    Merged,
    edit_form,
    field_in_words,
    merged_if_changed,
)
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, ReadingSession, RowNumber, WritingSession
from webapp.common.web.templating import page
from webapp.drawing.sizes import SizesPicture
from webapp.office.forms.submitted import (
    PRIVATE,
    GivenFile,
    Texts,
    field_errors,
    refusal,
)
from webapp.office.imported_tables.lines import rows_of_file, rows_of_text
from webapp.office.revisions.drafts import (
    RevisionContent,
    locked_revision,
    published_before,
    read_revision,
)
from webapp.office.revisions.pages import address_of_revision
from webapp.office.revisions.paste import Pasted, paste
from webapp.office.revisions.size_grid import (
    PATHS,
    GridRow,
    cells_of,
    grid_rows,
    label_of,
    save_cells,
    sizes_from,
)
from webapp.office.revisions.size_overlay import SizeFrame, sizes_picture
from webapp.office.revisions.table_check import TableReport, check_sizes
from webapp.office.revisions.undo import redo, saves_of, stacks, undo
from webapp.office.save import one_save

router = APIRouter(prefix="/office/models/{model}/{number}", include_in_schema=False)

NOTE = "draft_note"
"""The field of a draft’s note; the text for customers is written when publishing."""

_LONGEST_NOTE = 500  # characters


@dataclass(frozen=True, kw_only=True)
class CheckPart:
    """What the page shows of the grid as typed: the table check and the drawing."""

    report: TableReport
    picture: SizesPicture | None


@dataclass(frozen=True, kw_only=True)
class SizeHead:
    """A column of the grid."""

    slug: str
    name: str
    address: str


@dataclass(frozen=True, kw_only=True)
class RevisionPage:
    """Everything the page of one revision knows."""

    person: Person
    revision: RevisionContent
    address: str
    note: str
    note_error: str
    sizes: tuple[SizeHead, ...]
    rows: tuple[GridRow, ...]
    report: TableReport
    picture: SizesPicture | None
    edit: EditForm
    before: str
    grid_caption: str
    corners: tuple[Option, ...]
    pasted: str
    read: Pasted | None
    errors: tuple[tuple[str, str], ...]
    undo_words: str
    redo_words: str

    @property
    def is_unsaved(self) -> bool:
        """Whether the grid holds what is not kept: pasted, refused or merged."""
        return bool(self.read or self.errors or self.edit.clashes or self.edit.taken)


@router.get("")
def show(
    model: str, number: RowNumber, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """The revision; a draft can be edited."""
    revision = read_revision(session, model, number)
    return _answer(request, person, session, revision, _fields_of(revision))


@router.post("/check")
def check(
    model: str,
    number: RowNumber,
    *,
    request: Request,
    _person: Builder,
    session: ReadingSession,
    texts: Texts,
) -> HTMLResponse:
    """The table check of what is typed, without keeping anything."""
    revision = read_revision(session, model, number)
    report, picture = _checked(revision, texts)
    context = CheckPart(report=report, picture=picture)
    return page(
        request,
        "partials/office/revisions/check.html",
        context,
        partial="partials/office/revisions/check.html",
        headers=PRIVATE,
    )


@router.post("/sizes")
def keep(
    model: str,
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    engine: CurrentEngine,
    texts: Texts,
    file: GivenFile,
) -> Response:
    """Keep the grid, or put a pasted or uploaded table into it."""
    with reading(engine) as session:
        revision = read_revision(session, model, number)
        if texts.get("do") == "paste":
            return _pasted(request, person, session, revision, texts, file=file[1])
    merged: Merged | None = None
    try:
        with writing(engine) as session:
            revision = locked_revision(session, model, number)
            now, mine = _fields_of(revision), _chosen(texts)
            merged = merged_if_changed(texts, now, mine, stamp=revision.stamp, label=_cell_label)
            if merged is None:
                with one_save(session):
                    cells = {**now, **mine}
                    _keep_note(session, person.name, revision, cells[NOTE])
                    save_cells(session, who=person.name, revision=revision, cells=cells)
    except Invalid as error:
        with reading(engine) as session:
            cells = {**_fields_of(revision), **texts}
            return _answer(request, person, session, revision, cells, error=error, texts=texts)
    if merged is None:
        return RedirectResponse(address_of_revision(model, number), 303)
    with reading(engine) as session:
        return _answer(request, person, session, revision, merged.fields, merged=merged)


@router.post("/undo")
def undo_last(
    model: str, number: RowNumber, person: Builder, session: WritingSession
) -> RedirectResponse:
    """Take the last save back."""
    undo(session, who=person.name, revision=locked_revision(session, model, number))
    return RedirectResponse(address_of_revision(model, number), 303)


@router.post("/redo")
def redo_last(
    model: str, number: RowNumber, person: Builder, session: WritingSession
) -> RedirectResponse:
    """Do what was undone again."""
    redo(session, who=person.name, revision=locked_revision(session, model, number))
    return RedirectResponse(address_of_revision(model, number), 303)


def _fields_of(revision: RevisionContent) -> dict[str, str]:
    """Every field of the form as it is kept: the note, and the cells of the grid."""
    return {NOTE: revision.changelog, **cells_of(revision.sizes)}


def _keep_note(session: Session, who: str, revision: RevisionContent, note: str) -> None:
    """Keep a draft's note where it is another one."""
    words = note.strip()
    if len(words) > _LONGEST_NOTE:
        remedy = tr("at most {longest} characters", longest=_LONGEST_NOTE)
        raise Invalid(NOTE, tr("{length} characters", length=len(words)), remedy)
    if revision.is_draft and words != revision.changelog:
        put_draft(session, who=who, model=revision.model, data=revision.raw, changelog=words)


def _chosen(texts: dict[str, str]) -> dict[str, str]:
    """The form's cells; where two people clashed and theirs was chosen, theirs."""
    theirs = {
        name.removeprefix("take:"): text for name, text in texts.items() if name.startswith("take:")
    }
    return {**texts, **{name: texts.get(f"theirs:{name}", "") for name in theirs}}


def _pasted(
    request: Request,
    person: Person,
    session: Session,
    revision: RevisionContent,
    texts: dict[str, str],
    *,
    file: bytes,
) -> HTMLResponse:
    cells = {**_fields_of(revision), **texts}
    slugs = [size.slug for size in revision.sizes]
    corner = f"{slugs[0]}.{texts.get('corner') or PATHS[0]}" if slugs else ""
    try:
        rows = rows_of_file(file) if file else rows_of_text(texts.get("table", ""))
        found = paste(rows, revision.sizes, cells, corner=corner)
    except Invalid as error:
        return _answer(request, person, session, revision, cells, error=error, texts=texts)
    kept = {**texts, "table": ""}
    cells |= found.cells
    return _answer(request, person, session, revision, cells, texts=kept, status=200, pasted=found)


def _checked(
    revision: RevisionContent, cells: dict[str, str]
) -> tuple[TableReport, SizesPicture | None]:
    data, problems = sizes_from(revision, cells)
    drawn_with = revision.data.drawn_with
    report = check_sizes(revision.sizes, data, drawn_with, problems=problems)
    unusable = {problem.field.partition(".")[0] for problem in report.problems}
    frames = [
        SizeFrame(name=size.name, frame=frame_of(data[size.slug], drawn_with))
        for size in revision.sizes
        if size.slug in data and size.slug not in unusable
    ]
    title = tr(
        "{model_name}, revision {number}, all sizes as drawn",
        model_name=revision.model_name,
        number=revision.number,
    )
    return report, sizes_picture(frames, title=title) if frames else None


def _answer(
    request: Request,
    person: Person,
    session: Session,
    revision: RevisionContent,
    cells: dict[str, str],
    *,
    error: DomainError | None = None,
    merged: Merged | None = None,
    texts: dict[str, str] | None = None,
    status: int = 0,
    pasted: Pasted | None = None,
) -> HTMLResponse:
    """The page; a form that was refused comes back as it was sent, stamp and all."""
    sent = texts or {}
    report, picture = _checked(revision, cells)
    told = refusal(error, merged=merged)
    at_field = field_errors(report.problems) | told.at_field
    before = published_before(session, revision.model, revision.number)
    context = RevisionPage(
        person=person,
        revision=revision,
        address=address_of_revision(revision.model, revision.number),
        sizes=_heads(revision),
        rows=grid_rows(revision, cells, errors=at_field, before=before),
        report=report,
        picture=picture,
        note=cells[NOTE],
        note_error=at_field.get(NOTE, ""),
        edit=edit_form(_fields_of(revision), sent, merged, stamp=revision.stamp),
        before="" if before is None else before.label,
        grid_caption=_caption(before),
        corners=tuple(Option(value=path, label=label_of(path)) for path in PATHS),
        pasted=sent.get("table", ""),
        read=pasted,
        errors=told.errors,
        **_undo_words(session, revision),
    )
    return page(
        request,
        "pages/office/revisions/revision.html",
        context,
        status=status or told.status,
        headers=PRIVATE,
    )


def _caption(before: RevisionContent | None) -> str:
    if before is None:
        return tr("Drawn numbers of every size")
    return tr(
        "Drawn numbers of every size; the value of {before} is below each changed number",
        before=before.label,
    )


def _cell_label(name: str) -> str:
    """A cell as people read it: its size, and what the row is called."""
    if name == NOTE:
        return tr("Note to this draft")
    size, _, path = name.partition(".")
    return f"{size}, {label_of(path)}" if path in PATHS else field_in_words(name)


def _heads(revision: RevisionContent) -> tuple[SizeHead, ...]:
    start = address_of_revision(revision.model, revision.number)
    return tuple(
        SizeHead(slug=size.slug, name=size.name, address=f"{start}/size/{size.slug}")
        for size in revision.sizes
    )


def _undo_words(session: Session, revision: RevisionContent) -> dict[str, Any]:
    if not revision.is_draft:
        return {"undo_words": "", "redo_words": ""}
    found = stacks(saves_of(session, revision))
    return {
        name: f"{saves[0].who}: {saves[0].places}" if saves else ""
        for name, saves in (("undo_words", found.done), ("redo_words", found.undone))
    }
