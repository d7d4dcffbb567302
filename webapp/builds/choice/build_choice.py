"""One build as one value, and its one address.

A build is a frame revision, a size, a part in every place, the positions they
are set to and, if known, the rider. `read_choice` makes it from a query string
and `query_of` writes it back; the page, the drawing, the JSON and the quote all
start from here. The canonical query names every field in one fixed order, so an
address keeps its meaning when the builder's usual choices change.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from types import MappingProxyType
from urllib.parse import quote_plus

from webapp.builds.choice.places import (
    MADE_HERE,
    NONE,
    PLACE_OF,
    PLACES,
    SCOPES,
    Place,
    Scope,
    scope_words,
    widest_scope,
)
from webapp.builds.choice.value_names import named, one_of
from webapp.catalogue.reading.views import ASSUMED_FRONT, Catalogue, SizeView
from webapp.common.errors import Invalid, Problem
from webapp.common.text.language import tr
from webapp.rider.rider_input import RIDER_KEYS, Rider, read_rider, rider_pairs


@dataclass(frozen=True)
class Position:
    """One number the build is set to; ``unset`` is what an empty field means."""

    name: str
    label: str
    unit: str
    low: float
    high: float
    places: int
    unset: float | None


POSITIONS: tuple[Position, ...] = (
    Position("slot", tr("Axle position"), "mm", 0, 60, 1, 0.0),
    Position("spacers", tr("Spacers under the stem"), "mm", 0, 100, 0, 10.0),
    Position("saddle_height", tr("Saddle height"), "mm", 400, 1000, 0, None),
    Position("rail", tr("Saddle on its rails"), "mm", -60, 60, 0, 0.0),
    Position("sag", tr("Fork sag"), "%", 0, 50, 0, None),
    Position("mud", tr("Mud room wished"), "mm", 0, 40, 0, None),
    Position("luggage", tr("Luggage"), "kg", 0, 100, 1, None),
    Position("usage", tr("Riding, class of EN 17406"), "", 1, 6, 0, None),
    Position("cadence", tr("Cadence"), tr("turns a minute"), 20, 200, 0, None),
)
"""Positions and wishes in the order of the address; the limits only exclude impossible values."""

POSITION_OF: Mapping[str, Position] = MappingProxyType({at.name: at for at in POSITIONS})

_KEYS = frozenset({"rev", "size", "scope", "extra", "own", *PLACE_OF, *RIDER_KEYS, *POSITION_OF})
MOST_EXTRAS = 20
LONGEST_VALUE = 200


@dataclass(frozen=True, kw_only=True)
class BuildChoice:
    """One build: what was chosen, nothing computed.

    Parameters
    ----------
    model, revision, size
        The frame.
    scope : "bike", "frameset" or "frame"
        What is sold; the rest of the parts still decide how it stands.
    parts : mapping of place to part slug
        Every place of `PLACES`; empty text for an optional place left empty.
    extras : tuple of part slugs
        Each once, in the catalogue's order.
    slot : float [mm]
        Rear axle from the slot's front end.
    spacers : float [mm]
        Under the stem.
    saddle_height : float or None [mm]
        BB centre to saddle top; None: the middle of the post's range.
    rail : float [mm]
        Saddle forward (+) or back on its rails.
    sag : float or None [% of travel]
        None: the fork's usual sag.
    mud : float or None [mm]
        Room for mud wished on top of the standard's gap; None: none.
    luggage : float or None [kg]
        On the mounts of frame and fork; None: none.
    usage : float or None
        Class of EN 17406 of the riding; None: what the frame is built for.
    cadence : float or None [turns of the cranks a minute]
        For which speeds are stated; None: the usual one.
    rider : Rider or None
        Whom it is for, if any measurement is known; a weight alone is checked against load
        limits and gives no posture.
    own : tuple of place names
        Whose parts the customer brings: they cost nothing and are checked like any other.
    """

    model: str
    revision: int
    size: str
    scope: Scope
    parts: Mapping[str, str]
    extras: tuple[str, ...]
    slot: float
    spacers: float
    saddle_height: float | None
    rail: float
    sag: float | None
    mud: float | None = None
    luggage: float | None = None
    usage: float | None = None
    cadence: float | None = None
    rider: Rider | None = None
    own: tuple[str, ...] = ()

    def part(self, place: str) -> str:
        """Slug of the part in a place; empty where there is none."""
        return self.parts[place]

    @cached_property
    def query(self) -> str:
        """Its canonical query string."""
        own = [_field(name, value) for name, value in _chosen_pairs(self)]
        own += [f"{name}={value}" for name, value in _set_pairs(self)]
        return "&".join([*own, self.rider.query] if self.rider and self.rider.query else own)

    def with_parts(self, parts: Mapping[str, str]) -> BuildChoice:
        """The same build of other parts, as `replace` makes it in ten times as long."""
        made = object.__new__(BuildChoice)
        made.__dict__.update(self.__dict__, parts=MappingProxyType({**parts}))
        made.__dict__.pop("query", None)
        return made


@dataclass(frozen=True, kw_only=True)
class ReadChoice:
    """A build read from a query, with what was wrong in it.

    Where a field was wrong, ``choice`` holds the usual value and ``typed`` what was typed instead.
    """

    choice: BuildChoice
    problems: tuple[Problem, ...]
    typed: Mapping[str, str]

    def noting(self, problems: Iterable[Problem]) -> ReadChoice:
        """The same reading with further problems, found when the build was computed."""
        return replace(self, problems=(*self.problems, *problems))

    def strict(self) -> BuildChoice:
        """The choice, if nothing was wrong.

        Raises
        ------
        Invalid
            With every problem.
        """
        if self.problems:
            raise Invalid.of(self.problems)
        return self.choice


Query = Mapping[str, Sequence[str]]
"""A query as the web gives it: every key with all its values."""


class _Reader:
    """Reads one query against one catalogue, noting what is wrong."""

    def __init__(self, catalogue: Catalogue, query: Query) -> None:
        self.catalogue = catalogue
        self.query = query
        self.problems: list[Problem] = []
        self.typed: dict[str, str] = {}

    def text(self, name: str) -> str:
        """The field's one value, without spaces around it; empty when not given."""
        values = self.query.get(name, ())
        if len(values) > 1:
            self.wrong(name, named(self.catalogue, name, values), tr("give it once"))
        return values[0].strip() if values else ""

    def wrong(self, name: str, value: str, remedy: str) -> None:
        self.typed[name] = value[:LONGEST_VALUE]
        self.problems.append(Problem(name, value[:LONGEST_VALUE], remedy))

    def size(self) -> str:
        slug = self.text("size")
        known = [size.slug for size in self.catalogue.sizes]
        if slug in known:
            return slug
        if slug:
            self.wrong("size", slug, one_of([size.name for size in self.catalogue.sizes]))
        return known[(len(known) - 1) // 2]

    def scope(self) -> Scope:
        given = self.text("scope") or widest_scope(self.catalogue)
        for scope in SCOPES:
            if scope == given:
                return scope
        self.wrong("scope", given, one_of([scope_words(self.catalogue, each) for each in SCOPES]))
        return widest_scope(self.catalogue)

    def part(self, place: Place, size: SizeView) -> str:
        slug = self.text(place.name)
        if slug == NONE and place.optional:
            return ""
        if slug and self.catalogue.has(place.kind, slug):
            return slug
        if slug:
            offered = [part.name for part in self.catalogue.offered(place.kind)]
            offered += [tr("none")] if place.optional else []
            self.wrong(place.name, slug, one_of(offered))
        return self.usual(place, size)

    def usual(self, place: Place, size: SizeView) -> str:
        standard = self.catalogue.usual(place.kind, size)
        offered = self.catalogue.offered(place.kind)
        if place.name.endswith("_front") and offered and offered[-1].slug == ASSUMED_FRONT:
            return ASSUMED_FRONT
        if standard is not None:
            return standard.slug
        return "" if place.optional or not offered else offered[0].slug

    def extras(self) -> tuple[str, ...]:
        extras = self.catalogue.parts.get("extra", ())
        known = [part.slug for part in extras]
        given = [text.strip() for text in self.query.get("extra", ()) if text.strip()]
        unknown = [slug for slug in given if slug not in known]
        if unknown or len(given) > MOST_EXTRAS:
            self.wrong("extra", ", ".join(given), one_of([part.name for part in extras]))
        return tuple(slug for slug in known if slug in given)

    def own(self, parts: Mapping[str, str]) -> tuple[str, ...]:
        """Places whose parts the customer brings; an empty place holds none of theirs."""
        known = [place.name for place in PLACES if place.name not in MADE_HERE]
        given = [text.strip() for text in self.query.get("own", ()) if text.strip()]
        if any(name not in known for name in given):
            labels = [PLACE_OF[name].label for name in known]
            self.wrong("own", ", ".join(given), one_of(labels))
        return tuple(name for name in known if name in given and parts[name])

    def position(self, at: Position) -> float | None:
        text = self.text(at.name).replace("\N{MINUS SIGN}", "-").replace(",", ".")
        if not text:
            return at.unset
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not at.low <= value <= at.high:
            self.wrong(at.name, text, _range_words(at))
            return at.unset
        return round(value, at.places) + 0.0  # + 0.0 turns −0 into 0

    def unknown_fields(self, also: Collection[str]) -> None:
        for name in self.query:
            if name not in _KEYS and name not in also:
                value = ", ".join(self.query[name])
                self.wrong(name[:40], value, tr("no part of a build: leave it out"))

    def rider(self) -> Rider | None:
        read = read_rider(self.catalogue, self.query)
        self.problems.extend(read.problems)
        self.typed.update({problem.field: str(problem.value) for problem in read.problems})
        return read.rider if read.rider.has_values else None

    def choice(self) -> BuildChoice:
        size = self.catalogue.size(self.size())
        own = [_own_limits(at, size) for at in POSITIONS]
        found = {at.name: self.position(at) for at in own}
        parts = MappingProxyType({place.name: self.part(place, size) for place in PLACES})
        return BuildChoice(
            model=self.catalogue.model.slug,
            revision=self.catalogue.revision.number,
            size=size.slug,
            scope=self.scope(),
            parts=parts,
            extras=self.extras(),
            slot=found["slot"] or 0.0,
            spacers=found["spacers"] or 0.0,
            saddle_height=found["saddle_height"],
            rail=found["rail"] or 0.0,
            sag=found["sag"],
            mud=found["mud"],
            luggage=found["luggage"],
            usage=found["usage"],
            cadence=found["cadence"],
            rider=self.rider(),
            own=self.own(parts),
        )


def _own_limits(at: Position, size: SizeView) -> Position:
    """A position with this size's own values: the length of its slot, its usual spacers."""
    if at.name == "slot":
        return replace(at, high=size.data.slot_length)
    if at.name == "spacers" and size.data.as_sold:
        return replace(at, unset=size.data.as_sold.spacers)
    return at


def _range_words(at: Position) -> str:
    if at.high == at.low:
        return tr("{low:g} {unit}: it is fixed on this frame", low=at.low, unit=at.unit)
    return tr(
        "a number from {low:g} to {high:g} {unit}", low=at.low, high=at.high, unit=at.unit
    ).rstrip()


def read_choice(catalogue: Catalogue, query: Query, *, also: Collection[str] = ()) -> ReadChoice:
    """Read a build from a query; fields left out get the builder's usual choice.

    Parameters
    ----------
    catalogue : Catalogue
        The revision the build is of.
    query : mapping of str to sequence of str
        As parsed, every key with all its values.
    also : collection of str
        Further keys the caller reads itself.

    Returns
    -------
    ReadChoice
        A usable build in any case, with the problems found.
    """
    reader = _Reader(catalogue, query)
    reader.unknown_fields(also)
    choice = reader.choice()
    return ReadChoice(
        choice=choice, problems=tuple(reader.problems), typed=MappingProxyType(reader.typed)
    )


def pairs_of(choice: BuildChoice) -> list[tuple[str, str]]:
    """The fields of a build's address, in their one order, its rider's last.

    Parameters
    ----------
    choice : BuildChoice

    Returns
    -------
    list of (name, value)
        Every field; positions left to the default are left out.
    """
    rider = rider_pairs(choice.rider) if choice.rider else []
    return [*_chosen_pairs(choice), *_set_pairs(choice), *rider]


def _chosen_pairs(choice: BuildChoice) -> list[tuple[str, str]]:
    """The fields of what was chosen from lists, whose values recur in every address."""
    pairs = [("rev", str(choice.revision)), ("size", choice.size), ("scope", choice.scope)]
    parts = choice.parts
    pairs += [(name, parts[name] or NONE) for name in PLACE_OF if parts[name] or name in _OPTIONAL]
    pairs += [("extra", slug) for slug in choice.extras]
    pairs += [("own", place) for place in choice.own]
    return pairs


def _set_pairs(choice: BuildChoice) -> list[tuple[str, str]]:
    """The fields of the positions it is set to."""
    found = ((name, getattr(choice, name)) for name in POSITION_OF)
    return [(name, f"{value:g}") for name, value in found if value is not None]


def query_of(choice: BuildChoice) -> str:
    """The canonical query string of a build."""
    return choice.query


@lru_cache(maxsize=4096)
def _field(name: str, value: str) -> str:
    return f"{name}={quote_plus(value)}"


_OPTIONAL = frozenset(place.name for place in PLACES if place.optional)


def address_of(choice: BuildChoice) -> str:
    """The one address of a build, from the site's root."""
    return f"/build/{choice.model}?{query_of(choice)}"
