"""The page of dealers and regions: whom and where price lists can be for."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.prices import Scope, groups, regions
from webapp.catalogue.tables import GROUP, REGION
from webapp.catalogue.writing.price_scopes import KINDS, put_scope, remove_scope
from webapp.common.errors import DomainError, Gathering, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.slugs import slug_of
from webapp.common.web.dependencies import CurrentEngine, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Texts
from webapp.office.save import one_save

router = APIRouter(prefix="/office/price-groups", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class ScopeFields:
    """What the form says of one group or region; ``slug`` is empty for a new one."""

    kind: str
    slug: str
    name: str
    countries: str
    error: str
    countries_error: str

    @property
    def field(self) -> str:
        """How its fields are called."""
        return f"{self.kind}:{self.slug}"

    @property
    def label(self) -> str:
        """What it is, in words."""
        if self.kind == GROUP:
            return tr("Group") if self.slug else tr("Another group")
        return tr("Region") if self.slug else tr("Another region")

    @property
    def hint(self) -> str:
        """What can be done with it."""
        if self.slug:
            return tr("leave it empty to remove it")
        return tr("such as dealers") if self.kind == GROUP else tr("such as overseas")


@dataclass(frozen=True, kw_only=True)
class ScopesPage:
    """Every group and region, and room for another of each."""

    person: Person
    groups: tuple[ScopeFields, ...]
    regions: tuple[ScopeFields, ...]
    errors: tuple[tuple[str, str], ...]


@router.get("")
def scopes(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """Every group of customers and every region."""
    return _answer(request, person, session)


@router.post("")
def keep(request: Request, person: Builder, engine: CurrentEngine, texts: Texts) -> Response:
    """Keep names and countries; one whose name is emptied is taken away."""
    try:
        with writing(engine) as session, one_save(session):
            _keep_all(session, person.name, texts)
    except DomainError as error:
        with reading(engine) as session:
            return _answer(request, person, session, texts, error)
    return RedirectResponse("/office/price-groups", 303)


def _keep_all(session: Session, who: str, texts: dict[str, str]) -> None:
    gathering = Gathering()
    for kind in KINDS:
        for slug in (*(each.slug for each in _known(session, kind)), ""):
            if f"{kind}:{slug}" in texts:
                gathering.take(lambda k=kind, s=slug: _keep(session, who, k, s, texts))  # type: ignore[misc]
    gathering.finish()


def _keep(session: Session, who: str, kind: str, slug: str, texts: dict[str, str]) -> None:
    field = f"{kind}:{slug}"
    name = texts[field].strip()
    others = {each.slug: each.name.casefold() for each in _known(session, kind)}
    own = slug or slug_of(name, taken=set(others), otherwise=kind)
    others.pop(slug, None)
    if name.casefold() in others.values():
        raise Invalid(field, name, tr("a name that no other has"))
    countries = tuple(texts.get(f"{field}:countries", "").upper().replace(",", " ").split())
    try:
        if name:
            put_scope(session, who=who, kind=kind, slug=own, name=name, countries=countries)
        else:
            remove_scope(session, who=who, kind=kind, slug=slug)
    except DomainError as error:
        at = f"{field}:countries" if error.field.endswith("countries") else field
        raise Invalid(at, error.value, error.remedy) from error


def _known(session: Session, kind: str) -> tuple[Scope, ...]:
    return groups(session) if kind == GROUP else regions(session)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    problems = error.problems if error else ()
    wrong = {p.field: p.remedy for p in problems}
    context = ScopesPage(
        person=person,
        groups=_fields(session, GROUP, texts or {}, wrong),
        regions=_fields(session, REGION, texts or {}, wrong),
        errors=tuple(wrong.items()),
    )
    status = error.status if error else 200
    return page(request, "pages/office/prices/scopes.html", context, status=status, headers=PRIVATE)


def _fields(
    session: Session, kind: str, texts: dict[str, str], wrong: dict[str, str]
) -> tuple[ScopeFields, ...]:
    empty = Scope(slug="", name="")
    return tuple(
        ScopeFields(
            kind=kind,
            slug=each.slug,
            name=texts.get(f"{kind}:{each.slug}", each.name),
            countries=texts.get(f"{kind}:{each.slug}:countries", " ".join(each.countries)),
            error=wrong.get(f"{kind}:{each.slug}", ""),
            countries_error=wrong.get(f"{kind}:{each.slug}:countries", ""),
        )
        for each in (*_known(session, kind), empty)
    )
