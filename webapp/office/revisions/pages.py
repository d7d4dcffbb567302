"""The office's first page, a model's revisions, and beginning a draft."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import model_row
from webapp.catalogue.reading.shop_name import PROGRAM, shop_face
from webapp.catalogue.tables import HIDDEN, RETIRED, SHOWN, FrameModel
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import Now, ReadingSession, WritingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE
from webapp.office.own_shop.demo_out import demo_standing
from webapp.office.own_shop.steps import Step, steps
from webapp.office.revisions.drafts import (
    RevisionContent,
    all_revisions,
    begin_draft,
    list_all_models,
)

router = APIRouter(prefix="/office", include_in_schema=False)

_STATE_WORDS = {SHOWN: "", HIDDEN: tr("hidden"), RETIRED: tr("retired")}
_SHOW = Option(value=SHOWN, label=tr("Show it again"))
_HIDE = Option(value=HIDDEN, label=tr("Hide it"))
_RETIRE = Option(value=RETIRED, label=tr("Retire it"))
_STATES = {SHOWN: (_HIDE, _RETIRE), HIDDEN: (_SHOW, _RETIRE), RETIRED: (_SHOW,)}


@dataclass(frozen=True, kw_only=True)
class RevisionLine:
    """One revision in a list."""

    number: int
    is_withdrawn: bool
    label: str
    state_words: str
    when: str
    sizes: int
    changelog: str
    address: str


@dataclass(frozen=True, kw_only=True)
class ModelCard:
    """One model with its revisions, newest first."""

    slug: str
    name: str
    summary: str
    state_words: str
    revisions: tuple[RevisionLine, ...]
    has_draft: bool


@dataclass(frozen=True, kw_only=True)
class OfficePage:
    """The drawing office's first page; ``steps`` lead to a first quote, none after it."""

    person: Person
    models: tuple[ModelCard, ...]
    steps: tuple[Step, ...]
    has_demo: bool


@dataclass(frozen=True, kw_only=True)
class ModelPage:
    """One model's revisions.

    ``sources`` are those a draft can begin with, ``compared`` those to be compared, if there
    are two or more, beginning with that of the number ``from_number``. ``states`` is what
    else its place in lists can be.
    """

    person: Person
    model: ModelCard
    sources: tuple[Option, ...]
    compared: tuple[Option, ...]
    from_number: str
    states: tuple[Option, ...]


def address_of_revision(model: str, number: int) -> str:
    """Where a revision is worked on.

    >>> address_of_revision("knapweed", 3)
    '/office/models/knapweed/3'
    """
    return f"/office/models/{model}/{number}"


@router.get("")
def overview(request: Request, person: Builder, at: Now, session: ReadingSession) -> Response:
    """Every model, and where everything else is; a shop not begun begins first."""
    if shop_face(session).name == PROGRAM:
        return RedirectResponse("/office/shop", 303)
    cards = tuple(_card(row, all_revisions(session, row.slug)) for row in list_all_models(session))
    has_demo = demo_standing(session, on=day_of(at)) is not None
    context = OfficePage(
        person=person,
        models=cards,
        steps=() if has_demo else steps(session),
        has_demo=has_demo,
    )
    return page(request, "pages/office/start.html", context, headers=PRIVATE)


@router.get("/models/{model}")
def one_model(
    model: str, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """A model's revisions."""
    row = model_row(session, model)
    card = _card(row, all_revisions(session, model))
    numbers = [str(each.number) for each in card.revisions]
    compared = tuple(
        Option(value=each, label=tr("revision {number}", number=each)) for each in numbers
    )
    context = ModelPage(
        person=person,
        model=card,
        sources=tuple(Option(value=str(r.number), label=r.label) for r in card.revisions),
        compared=compared if len(compared) > 1 else (),
        from_number=numbers[1] if len(numbers) > 1 else "",
        states=_STATES[row.state],
    )
    return page(request, "pages/office/revisions/model.html", context, headers=PRIVATE)


@router.post("/models/{model}/draft")
def begin(
    model: str,
    person: Builder,
    session: WritingSession,
    source: Annotated[int | None, Form()] = None,
) -> RedirectResponse:
    """Begin a draft from a revision, the newest published one if none is named."""
    made = begin_draft(session, who=person.name, model=model, source=source)
    return RedirectResponse(address_of_revision(model, made.number), 303)


def _card(row: FrameModel, revisions: tuple[RevisionContent, ...]) -> ModelCard:
    return ModelCard(
        slug=row.slug,
        name=row.name,
        summary=row.summary,
        state_words=_STATE_WORDS[row.state],
        revisions=tuple(_line(revision) for revision in revisions),
        has_draft=any(revision.is_draft for revision in revisions),
    )


def _line(revision: RevisionContent) -> RevisionLine:
    day = revision.withdrawn_on or revision.published_on
    return RevisionLine(
        number=revision.number,
        is_withdrawn=revision.is_withdrawn,
        label=tr("revision {number}, {state}", number=revision.number, state=revision.state_words),
        state_words=revision.state_words,
        when="" if day is None else day_in_words(day),
        sizes=len(revision.sizes),
        changelog=revision.withdrawn_reason or revision.changelog,
        address=address_of_revision(revision.model, revision.number),
    )
