"""A rider as one value, and its part of an address.

`read_rider` makes it from a query as people type it (``stature=5 ft 8``) and
`rider_pairs` writes it back in millimetres and kilograms, so that a build's
address can carry its rider. Nothing typed is lost: what could not be read stays
beside the value, with what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Literal, get_args
from urllib.parse import parse_qsl, urlencode

from geometry.rider import Landmark, Measurement, Sex, Way
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, Problem
from webapp.common.text.language import tr
from webapp.common.text.reader import Units
from webapp.common.text.units import LengthUnit, MassUnit, length_mm, mass_kg

MeasureName = Literal["stature", "inseam", "span", "weight"]
StatureBy = Literal["memory", "wall"]
InseamBy = Literal["floor", "trousers"]
Taste = Literal["much-shorter", "shorter", "", "longer", "much-longer"]

SEXES: tuple[Sex, ...] = get_args(Sex)
STATURE_BY: tuple[StatureBy, ...] = get_args(StatureBy)
INSEAM_BY: tuple[InseamBy, ...] = get_args(InseamBy)
TASTES: tuple[Taste, ...] = get_args(Taste)
LONGEST_VALUE = 200


@dataclass(frozen=True, kw_only=True)
class Measure:
    """One number a rider may give: its landmark, the way it is found, and its limits [mm, kg].

    The limits keep the readings of a bare number apart: no body's "35" is both
    inches and centimetres. They are wide enough for a child and for a giant.
    """

    name: MeasureName
    label: str
    landmark: Landmark
    way: Way
    low: float
    high: float


MEASURES: tuple[Measure, ...] = (
    Measure(name="stature", label=tr("Height"), landmark="stature", way="told", low=900, high=2400),
    Measure(
        name="inseam", label=tr("Crotch height"), landmark="crotch_height", way="self_measured",
        low=400, high=1150,
    ),
    Measure(
        name="span", label=tr("Arm span"), landmark="span", way="self_measured",
        low=900, high=2500,
    ),
    Measure(name="weight", label=tr("Weight"), landmark="weight", way="told", low=15, high=250),
)  # fmt: skip
"""What a rider may give, in the order in which it is asked."""

MEASURE_NAMES = frozenset(measure.name for measure in MEASURES)

RIDER_KEYS: tuple[str, ...] = (
    "stature", "stature_by", "inseam", "inseam_by", "span", "weight", "sex", "style",
    "taste", "flexibility", "discomfort",
)  # fmt: skip
"""Fields of a rider in an address, in their one order."""

BODY_KEYS: tuple[str, ...] = (
    *(measure.name for measure in MEASURES), "sex", "flexibility", "discomfort",
)  # fmt: skip
"""Those of them with a body's measures: no cache keeps the answer to an address with one."""


UNKEPT: tuple[str, ...] = ("flexibility", "discomfort")
"""Those used for advice only, which no quote keeps."""


@dataclass(frozen=True, kw_only=True)
class Rider:
    """What a rider has given.

    Parameters
    ----------
    stature, inseam, span : float or None [mm]
        Barefoot.
    weight : float or None [kg]
    stature_by : "memory" or "wall"
        From memory, or measured against a wall: memory flatters.
    inseam_by : "floor" or "trousers"
        Floor to crotch, measured; or the inseam that trousers are sold by, which is shorter.
    sex : "man", "woman" or None
        Sharpens the estimate of what was not measured.
    style : str
        Slug of the riding style.
    taste : str
        Which of two sizes that fit is liked better: one of `TASTES`, empty for no matter.
    flexibility, discomfort : str
        Slugs of the shop's answers; empty where nothing was said.
    """

    stature: float | None = None
    stature_by: StatureBy = "memory"
    inseam: float | None = None
    inseam_by: InseamBy = "floor"
    span: float | None = None
    weight: float | None = None
    sex: Sex | None = None
    style: str = ""
    taste: Taste = ""
    flexibility: str = ""
    discomfort: str = ""

    def measurements(self) -> tuple[Measurement, ...]:
        """What was given, in the order asked, each with the way it was found."""
        return tuple(
            Measurement(each.landmark, value, self._way(each))
            for each in MEASURES
            if (value := self.value(each.name)) is not None
        )

    def value(self, name: MeasureName) -> float | None:
        """One number [mm or kg], None when not given."""
        found: float | None = getattr(self, name)
        return found

    def _way(self, measure: Measure) -> Way:
        if measure.name == "inseam" and self.inseam_by == "trousers":
            return "trousers"
        measured = measure.name == "stature" and self.stature_by == "wall"
        return "self_measured" if measured else measure.way

    @property
    def known(self) -> bool:
        """Whether there is enough for an answer: a height or an inseam."""
        return self.stature is not None or self.inseam is not None

    @property
    def has_values(self) -> bool:
        """Whether any number was given; a weight alone is checked against load limits."""
        return any(self.value(measure.name) is not None for measure in MEASURES)

    @cached_property
    def query(self) -> str:
        """Its part of a query string, as `rider_pairs` has it."""
        return urlencode(rider_pairs(self))


@dataclass(frozen=True, kw_only=True)
class ReadRider:
    """A rider read from a query.

    Parameters
    ----------
    rider : Rider
        Without whatever could not be read.
    problems : tuple of Problem
    typed : mapping of field to text
        Every field as it was typed.
    """

    rider: Rider
    problems: tuple[Problem, ...] = ()
    typed: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def strict(self) -> Rider:
        """The rider, if nothing was wrong.

        Raises
        ------
        Invalid
            With every problem.
        """
        if self.problems:
            raise Invalid.of(self.problems)
        return self.rider


_IMPERIAL = re.compile(
    r"^\s*[3-8](?: | ?- ?)(?:[0-9]|1[01])\s*$"
    r"|ft|foot|feet|in\b|inch|['′’\"″”]|lb|pound|st\b|stone",
    re.IGNORECASE,
)


_METRIC = re.compile(r"[0-9]\s*(?:mm|cm|m|metres?|meters?)\b", re.IGNORECASE)


def units_typed(query: str) -> Units | None:
    """The units a rider's lengths or weight were typed in; None where they were left out.

    The weight of an address that was written here is in kilograms always, so that says nothing.

    Examples
    --------
    >>> units_typed("stature=5+ft+8"), units_typed("stature=172+cm&weight=75+kg")
    ('imperial', 'metric')
    >>> units_typed("stature=1720&weight=75+kg") is None
    True
    """
    texts = {name: text for name, text in parse_qsl(query) if name in MEASURE_NAMES}
    if any(_IMPERIAL.search(text) for text in texts.values()):
        return "imperial"
    lengths = [text for name, text in texts.items() if name != "weight"]
    return "metric" if any(_METRIC.search(text) for text in lengths) else None


class _Reader:
    """Reads the fields of one query, noting what is wrong."""

    def __init__(self, catalogue: Catalogue, query: Mapping[str, Sequence[str]]) -> None:
        self.catalogue = catalogue
        self.query = query
        self.problems: list[Problem] = []
        self.typed = {name: self.text(name) for name in RIDER_KEYS if query.get(name)}
        imperial = any(_IMPERIAL.search(text) for text in self.typed.values())
        self.metric = not imperial and catalogue.settings.units == "metric"

    def text(self, name: str) -> str:
        values = self.query.get(name) or ("",)
        if len(values) > 1:
            names = self.names(name)
            told = ", ".join(names.get(value.strip(), value) for value in values)
            self.wrong(name, told, tr("give it once"))
        return values[0].strip()[:LONGEST_VALUE]

    def names(self, name: str) -> dict[str, str]:
        """What the values of a list are called on the page."""
        if name == "style":
            return {each.slug: each.name for each in self.catalogue.styles}
        fit = self.catalogue.settings.fit
        answers = {"flexibility": fit.flexibility, "discomfort": fit.discomfort}.get(name, ())
        return {each.slug: each.name for each in answers}

    def wrong(self, name: str, value: object, remedy: str) -> None:
        self.problems.append(Problem(name, value, remedy))

    def measure(self, measure: Measure) -> float | None:
        text = self.typed.get(measure.name, "")
        if not text or any(problem.field == measure.name for problem in self.problems):
            return None
        try:
            return self._number(measure, text)
        except Invalid as error:
            self.problems.extend(error.problems)
            return None

    def _number(self, measure: Measure, text: str) -> float:
        """The number typed [mm or kg]; a bare one is read in the unit of the other fields."""
        if measure.name == "weight":
            mass: MassUnit | None = "kg" if self.metric else None
            low, high = measure.low, measure.high
            return round(mass_kg(text, field="weight", low=low, high=high, prefer=mass), 1)
        length: LengthUnit = "cm" if self.metric else "in"
        found = length_mm(
            text, field=measure.name, low=measure.low, high=measure.high, prefer=length
        )
        return round(found, 1)

    def one_of(
        self, name: str, allowed: Sequence[str], usual: str, *, called: Sequence[str] = ()
    ) -> str:
        """What was chosen; ``called`` are the names of what is allowed, where those are codes."""
        given = self.typed.get(name, "")
        if given and given not in allowed:
            self.wrong(name, given, tr("one of {choices}", choices=", ".join(called or allowed)))
        return given if given in allowed else usual

    def rider(self) -> Rider:
        sex = self.one_of("sex", SEXES, "")
        former = self.catalogue.former_styles
        known = [style.slug for style in (*self.catalogue.styles, *former)]
        style_names = [style.name for style in self.catalogue.styles]
        by = self.one_of("stature_by", STATURE_BY, STATURE_BY[0])
        found = {measure.name: self.measure(measure) for measure in MEASURES}
        walled = by == "wall" and found["stature"] is not None
        inseam_by = self.one_of("inseam_by", INSEAM_BY, INSEAM_BY[0])
        off_trousers = inseam_by == "trousers" and found["inseam"] is not None
        taste = self.one_of("taste", TASTES, "")
        practice = self.catalogue.settings.fit
        return Rider(
            **found,
            stature_by="wall" if walled else "memory",
            inseam_by="trousers" if off_trousers else "floor",
            taste=next(each for each in TASTES if each == taste),
            flexibility=self.one_of("flexibility", [a.slug for a in practice.flexibility], ""),
            discomfort=self.one_of("discomfort", [a.slug for a in practice.discomfort], ""),
            sex=next((each for each in SEXES if each == sex), None),
            style=self.one_of("style", known, known[0] if known else "", called=style_names),
        )


def read_rider(catalogue: Catalogue, query: Mapping[str, Sequence[str]]) -> ReadRider:
    """Read a rider from a query, in whatever unit each number was typed.

    Parameters
    ----------
    catalogue : Catalogue
        For its riding styles and the shop's usual units.
    query : mapping of str to sequence of str
        As parsed, every key with all its values; keys of a build are passed over.

    Returns
    -------
    ReadRider
        A usable rider in any case, with the problems found and everything typed.
    """
    reader = _Reader(catalogue, query)
    rider = reader.rider()
    return ReadRider(
        rider=rider, problems=tuple(reader.problems), typed=MappingProxyType(reader.typed)
    )


_BEGUN = re.compile(r"[1-9][0-9]{0,2}[.,]?|[1-8] ?(?:f|ft|fo|foo|m|s|st)\.?|[1-8]['′’]|[1-8] ?-")


def still_typing(read: ReadRider) -> ReadRider:
    """The same reading without refusals of numbers that are only begun: "1" on the way to "172".

    Parameters
    ----------
    read : ReadRider
        Of a form that is asked while it is being filled in.

    Returns
    -------
    ReadRider

    Examples
    --------
    >>> begun, wrong = Problem("stature", "17", "write more"), Problem("span", "x", "write digits")
    >>> [p.field for p in still_typing(ReadRider(rider=Rider(), problems=(begun, wrong))).problems]
    ['span']
    """
    kept = tuple(p for p in read.problems if not _BEGUN.fullmatch(str(p.value).strip()))
    return replace(read, problems=kept)


_KEPT_AS_THEY_ARE = ("style", "taste", "flexibility", "discomfort")


def rider_pairs(rider: Rider) -> list[tuple[str, str]]:
    """A rider's fields of an address, in their one order, lengths in mm, weight with its unit.

    A length in millimetres can be read in one way only; a weight cannot.

    Parameters
    ----------
    rider : Rider

    Returns
    -------
    list of (name, value)
        Only what was given; nothing at all where no number was.

    Examples
    --------
    >>> rider_pairs(Rider(stature=1720, inseam=815.5, style="trail"))
    [('stature', '1720'), ('inseam', '815.5'), ('style', 'trail')]
    """
    if not rider.has_values:
        return []
    found: dict[str, str] = {}
    for measure in MEASURES:
        value = rider.value(measure.name)
        if value is not None:
            found[measure.name] = f"{value:g}{' kg' if measure.name == 'weight' else ''}"
    if rider.stature_by == "wall":
        found["stature_by"] = rider.stature_by
    if rider.inseam_by == "trousers":
        found["inseam_by"] = rider.inseam_by
    found["sex"] = rider.sex or ""
    found |= {name: getattr(rider, name) for name in _KEPT_AS_THEY_ARE}
    return [(name, found[name]) for name in RIDER_KEYS if found.get(name)]
