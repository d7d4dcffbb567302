"""From the builds written in an address to bikes that can be compared."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar
from urllib.parse import quote, urlencode

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, Query, read_choice
from webapp.builds.choice.carried_build import PRESENT_KEY
from webapp.builds.evaluation import compute
from webapp.builds.present_bike.bike import PresentBike
from webapp.builds.present_bike.reading import carried_present
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid, NotFound, Problem
from webapp.common.query_strings import revision_in
from webapp.common.text.language import tr
from webapp.compare.address import (
    ALIGNMENT_WORDS,
    MOST_BUILDS,
    STATE_WORDS,
    View,
    read_text,
    text_of,
)
from webapp.compare.bikes import Compared, compared_of

T = TypeVar("T", bound=str)

# With one of these wrong there is no build page to open.
_NO_PAGE = frozenset({"build", "model", "revision", "rev"})


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One build that can be compared: what it is, and the choice it came from."""

    compared: Compared
    catalogue: Catalogue
    choice: BuildChoice

    @property
    def text(self) -> str:
        """The build as it stands in the address."""
        return text_of(self.choice)


@dataclass(frozen=True, kw_only=True)
class Refused:
    """One build of the address that cannot be shown: what was written, and why not."""

    text: str
    problems: tuple[Problem, ...]
    page_address: str = ""
    """The build's own page, which shows each fault at its field; empty where there is none."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Everything an address of a comparison says.

    Parameters
    ----------
    entries : tuple of Entry
        Builds that can be shown, in order; at most `MOST_BUILDS`.
    waiting : tuple of Entry
        Builds whose place the bike ridden now has taken, in order.
    refused : tuple of Refused
        Builds that cannot, in order.
    view : View
        Usual values where the address holds something else.
    present : PresentBike
        Beside the builds, where it was told.
    problems : tuple of Problem
        What is wrong outside the builds.
    """

    entries: tuple[Entry, ...]
    waiting: tuple[Entry, ...]
    refused: tuple[Refused, ...]
    view: View
    present: PresentBike
    problems: tuple[Problem, ...]

    @property
    def texts(self) -> tuple[str, ...]:
        """Every build as the address holds it, refused ones last, nothing lost."""
        good = tuple(entry.text for entry in (*self.entries, *self.waiting))
        return good + tuple(refused.text for refused in self.refused)


def read_comparison(session: Session, query: Query, *, sites: Collection[str]) -> Comparison:
    """Read a comparison; a build that cannot be shown never hides the others.

    Parameters
    ----------
    session : Session
    query : mapping of str to sequence of str
        Every key with all its values.
    sites : collection of str
        Hosts that are this site, for pasted links.

    Returns
    -------
    Comparison
    """
    entries: list[Entry] = []
    refused: list[Refused] = []
    present = carried_present(query, session)
    most = MOST_BUILDS - 1 if present.text else MOST_BUILDS
    for text in filter(None, (text.strip() for text in query.get("build", ()))):
        found = _one(session, text, sites, full=len(entries) == MOST_BUILDS)
        if isinstance(found, Entry):
            entries.append(found)
        else:
            refused.append(found)
    view, problems = _view(query)
    return Comparison(
        entries=tuple(entries[:most]),
        waiting=tuple(entries[most:]),
        refused=tuple(refused),
        view=replace(view, present=present.text),
        present=present,
        problems=tuple(problems),
    )


def _one(session: Session, text: str, sites: Collection[str], *, full: bool) -> Entry | Refused:
    try:
        if full:
            raise Invalid(
                "build",
                text,
                tr("at most {most_builds} builds: remove one first", most_builds=MOST_BUILDS),
            )
        return read_entry(session, text, sites=sites)
    except DomainError as error:
        shown = _page_address(text, error, sites)
        return Refused(text=text, problems=error.problems, page_address=shown)


def _page_address(text: str, error: DomainError, sites: Collection[str]) -> str:
    if not {problem.field for problem in error.problems}.isdisjoint(_NO_PAGE):
        return ""
    written = read_text(text, sites=sites)
    return f"/build/{quote(written.model)}?{urlencode(written.query, doseq=True)}"


def read_entry(session: Session, text: str, *, sites: Collection[str]) -> Entry:
    """One written or pasted build, computed.

    Raises
    ------
    Invalid
        A text that is no build, a field of it that cannot be used, or parts
        that cannot stand together.
    NotFound
        An unknown model or revision.
    """
    written = read_text(text, sites=sites)
    try:
        catalogue = load_catalogue(session, written.model, revision_in(written.query))
    except NotFound as error:
        raise Invalid(error.field, error.value, error.remedy) from error
    choice = read_choice(catalogue, written.query).strict()
    compared = compared_of(compute(catalogue, choice))
    return Entry(compared=compared, catalogue=catalogue, choice=choice)


def _view(query: Query) -> tuple[View, list[Problem]]:
    problems = [
        Problem(
            name[:40], ", ".join(query[name])[:200], tr("no part of a comparison: leave it out")
        )
        for name in query
        if name not in {"build", "align", "state", PRESENT_KEY}
    ]
    align = _one_of(query, "align", ALIGNMENT_WORDS, problems)
    state = _one_of(query, "state", STATE_WORDS, problems)
    return View(align=align, state=state), problems


def _one_of(query: Query, name: str, words: Mapping[T, str], problems: list[Problem]) -> T:
    """What was chosen; the first of what there is, and a problem noted, for anything else."""
    values = query.get(name, ())
    known = {str(one): one for one in words}
    if len(values) == 1 and values[0] in known:
        return known[values[0]]
    first, *_ = words
    if any(values):
        told = ", ".join(words[known[each]] if each in known else each for each in values)
        remedy = tr("give it once") if set(values) <= set(known) else _one_of_words(words.values())
        problems.append(Problem(name, told[:200], remedy))
    return first


def _one_of_words(words: Iterable[str]) -> str:
    return tr("one of these: {names}", names="; ".join(words))
