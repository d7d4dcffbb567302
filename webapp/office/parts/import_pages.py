"""Parts as files: exporting them, trying a file row by row, importing it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response, StreamingResponse
from sqlalchemy import Engine

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.common.errors import Conflict, DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import NOTHING_CARRIED, Shop, environment, frame_values, page
from webapp.office.forms.submitted import PRIVATE, GivenFile, Texts, refusal
from webapp.office.part_changes.drafts import Proposal, propose
from webapp.office.parts.csv_files import OWN, PartFile, read_file
from webapp.office.parts.csv_import import (
    NEW,
    SAME,
    STEP,
    WRONG,
    RowOutcome,
    Trial,
    add_planned,
    known_on,
    outcomes,
    parts_file,
    save_rows,
    try_file,
)
from webapp.office.parts.csv_standards import (
    ADD,
    AskedStandard,
    Stranger,
    accepted_in,
    asked,
)
from webapp.office.parts.pages import label_of_kind

router = APIRouter(prefix="/office/import", include_in_schema=False)


_SHADES = {WRONG: "office-beyond", SAME: "desk-faded"}


@dataclass(frozen=True, kw_only=True)
class ImportLine:
    """One row of the file, and what becomes of it; ``shade`` is the table row's class."""

    number: int
    kind: str
    slug: str
    name: str
    outcome: str
    shade: str
    words: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class ImportPage:
    """The page of files; good rows are ``kept`` in a draft, if in any (0)."""

    person: Person
    kinds: tuple[Option, ...]
    kind: str
    columns: tuple[str, ...]
    tried: bool
    kept: bool
    draft: int
    verdict: str
    good: int
    lines: tuple[ImportLine, ...]
    asked: tuple[AskedStandard, ...]
    added: tuple[str, ...]
    content: str
    errors: tuple[tuple[str, str], ...]

    @property
    def column_names(self) -> str:
        """The columns that every part has, in a row."""
        return ", ".join(self.columns)

    @property
    def tried_words(self) -> str:
        """What the list of rows tells."""
        return tr("Read into a draft") if self.kept else tr("What would happen to each row")

    @property
    def can_keep(self) -> bool:
        """Whether there are rows to import that were not imported yet."""
        return self.good > 0 and not self.kept


PROGRESS = "<!-- progress -->"
"""The place of the progress texts in the page."""


@dataclass(frozen=True, kw_only=True)
class ImportingPage:
    """The page that is sent piece by piece while a file is imported."""

    person: Person


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far it is."""

    done: int
    rows: int


@router.get("")
def form(request: Request, person: Builder) -> HTMLResponse:
    """Choose a file, or take one."""
    return _answer(request, person)


@router.get("/parts.csv")
def export(
    _person: Builder,
    at: Now,
    session: ReadingSession,
    *,
    kind: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Every part, or those of one kind, as the file that can be brought in again."""
    if kind and kind not in PART_KINDS:
        raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
    text = parts_file(session, kind=kind, day=day_of(at))
    name = f"parts-{kind or 'all'}.csv"
    headers = {**PRIVATE, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/try")
def attempt(
    *,
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
    texts: Texts,
    given: GivenFile,
) -> HTMLResponse:
    """What would become of every row; nothing is kept."""
    kind, content = texts.get("kind", ""), given[1] or texts.get("content", "").encode()
    try:
        file = read_file(content, kind=kind)
        accepted = accepted_in(texts)
        trial = try_file(session, file, day=day_of(at), accepted=accepted)
    except Invalid as error:
        return _answer(request, person, kind=kind, error=error)
    text = content.decode("utf-8", "replace") if content[:2] not in _WIDE else _wide(content)
    return _answer(request, person, kind=kind, file=file, trial=trial, content=text)


@router.post("")
def bring(
    *, request: Request, person: Builder, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Make one draft of every good row, telling how far it is while it goes."""
    kind, content = texts.get("kind", ""), texts.get("content", "").encode()
    try:
        file = read_file(content, kind=kind)
    except Invalid as error:
        return _answer(request, person, kind=kind, error=error)
    shop = request.app.state.shop
    accepted = accepted_in(texts)
    steps = _steps(engine, file, accepted, at=at, person=person, kind=kind, shop=shop)
    # Compressing would delay the reports of progress.
    headers = {**PRIVATE, "Content-Encoding": "identity", "X-Accel-Buffering": "no"}
    return StreamingResponse(steps, media_type="text/html; charset=utf-8", headers=headers)


def _steps(
    engine: CurrentEngine,
    file: PartFile,
    accepted: tuple[Stranger, ...],
    *,
    at: Now,
    person: Person,
    kind: str,
    shop: Shop,
) -> Iterator[str]:
    """The page in pieces: its head, a line every so many rows, and what became of them.

    What is told is how many rows are looked through; the draft is made at once, at the end.
    A reader who goes away before stops it, and then there is none.
    """
    templates = environment()
    whole = templates.get_template("pages/office/parts/importing.html").render(
        page=ImportingPage(person=person),
        path="/office/import",
        carried=NOTHING_CARRIED,
        **frame_values(shop),
    )
    head, _, rest = whole.partition(PROGRESS)
    yield head
    line = templates.get_template("partials/office/effect/progress.html")
    try:
        for last in (False, False, True):
            with reading(engine) as session:
                known = known_on(session, day_of(at), accepted)
            rows: list[RowOutcome] = []
            for outcome in outcomes(file, known):
                rows.append(outcome)
                if len(rows) % STEP == 0 or len(rows) == len(file.rows):
                    yield line.render(page=Progress(done=len(rows), rows=len(file.rows)))
            trial = Trial(rows=tuple(rows), known=known)
            done, made = _proposed(engine, trial, who=person.name, at=at, last=last)
            if done:
                break
    except DomainError as error:
        failed = _page(person, kind=kind, error=error)
        yield templates.get_template("partials/office/parts/import.html").render(page=failed)
        yield rest
        return
    draft = made.number if made is not None else 0
    kept = _page(person, kind=kind, file=file, trial=trial, kept=True, draft=draft)
    yield templates.get_template("partials/office/parts/import.html").render(page=kept)
    yield rest


def _proposed(
    engine: Engine, trial: Trial, *, who: str, at: datetime, last: bool
) -> tuple[bool, Proposal | None]:
    """One draft of it all; False when somebody changed the catalogue and it is tried again.

    Sends nothing itself, so that a slow reader of the page never makes another writer wait.
    """
    title = trn("File of {count} part", "File of {count} parts", _good_rows(trial))
    try:
        with writing(engine) as session:
            made = propose(
                session,
                lambda: save_rows(session, trial, who=who, at=at),
                who=who,
                at=at,
                title=title,
                address="/office/import",
                always=True,
            )
            add_planned(session, trial, who=who)
            return True, made
    except Conflict:
        if last:
            raise
        return False, None


_WIDE = (b"\xff\xfe", b"\xfe\xff")


def _wide(content: bytes) -> str:
    return content.decode("utf-16", "replace")


def _answer(
    request: Request,
    person: Person,
    *,
    kind: str = "",
    file: PartFile | None = None,
    trial: Trial | None = None,
    content: str = "",
    error: DomainError | None = None,
) -> HTMLResponse:
    context = _page(person, kind=kind, file=file, trial=trial, content=content, error=error)
    status, template = refusal(error).status, "pages/office/parts/import.html"
    return page(request, template, context, status=status, headers=PRIVATE)


def _page(
    person: Person,
    *,
    kind: str,
    file: PartFile | None = None,
    trial: Trial | None = None,
    content: str = "",
    kept: bool = False,
    draft: int = 0,
    error: DomainError | None = None,
) -> ImportPage:
    return ImportPage(
        person=person,
        kinds=(
            Option(value="", label=tr("named in the file")),
            *(Option(value=k, label=label_of_kind(k)) for k in PART_KINDS),
        ),
        kind=kind,
        columns=OWN,
        tried=trial is not None,
        kept=kept,
        draft=draft,
        verdict=_verdict(file, trial, kept=kept) if file and trial else "",
        good=_good_rows(trial) if trial else 0,
        lines=_lines(trial) if trial else (),
        asked=_asked(trial) if trial else (),
        added=tuple(f"{ADD}{joint}:{text}" for joint, text in trial.known.standards.planned)
        if trial
        else (),
        content=content,
        errors=refusal(error).errors,
    )


def _asked(trial: Trial) -> tuple[AskedStandard, ...]:
    found = ((row.number, stranger) for row in trial.rows for stranger in row.strangers)
    return asked(found, trial.known.standards)


def _good_rows(trial: Trial) -> int:
    return len(trial.rows) - trial.count(SAME) - trial.count(WRONG)


def _verdict(file: PartFile, trial: Trial, *, kept: bool) -> str:
    """A summary: the file's form, and the outcomes of its rows."""
    about = trn(
        "{count} row, separated by {separator}s, {encoding}",
        "{count} rows, separated by {separator}s, {encoding}",
        len(trial.rows),
        separator=file.separator,
        encoding=file.encoding,
    )
    good, same, wrong = _good_rows(trial), trial.count(SAME), trial.count(WRONG)
    if kept:
        return tr(
            "{about}: {good} in the draft, {same} unchanged, {wrong} wrong and left out.",
            about=about,
            good=good,
            same=same,
            wrong=wrong,
        )
    return tr(
        "{about}: {good} to keep, {same} unchanged, {wrong} wrong.",
        about=about,
        good=good,
        same=same,
        wrong=wrong,
    )


def _lines(trial: Trial) -> tuple[ImportLine, ...]:
    """Wrong rows first; among them and the others the file's order."""
    ordered = sorted(trial.rows, key=lambda row: (row.outcome != WRONG, row.outcome == SAME))
    return tuple(
        ImportLine(
            number=row.number,
            kind=row.kind,
            slug=row.slug,
            name=row.name,
            outcome=row.outcome,
            shade=_SHADES.get(row.outcome, ""),
            words=tuple(
                f"{p.field.removeprefix(f'{row.kind}.{row.slug}.')}"
                f"{'' if p.value in (None, '') else f' “{str(p.value)[:60]}”'}: {p.remedy}"
                for p in row.problems
            )
            or (() if row.outcome == NEW else tuple(row.changes)),
        )
        for row in ordered
    )
