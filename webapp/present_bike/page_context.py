"""What the page *Your present bike* shows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from markupsafe import Markup

from webapp.builds.choice.carried_build import (
    BESIDE_KEY,
    BUILD_KEY,
    OtherBikes,
    navigation_addresses,
)
from webapp.builds.present_bike.bike import PresentBike
from webapp.builds.present_bike.fields import (
    BUILD,
    FEELS,
    FIELD_OF,
    MORE_TAPE,
    NAMES,
    NUMBERS,
    TAPE,
    WAYS,
    WISHES,
    PresentField,
)
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.web.choices import Link, Option
from webapp.drawing.guides.tape_guide import tape_guide
from webapp.present_bike.figures import KnownRow, known_rows, present_drawing

PATH = "/present-bike"


@dataclass(frozen=True, kw_only=True)
class FieldView:
    """A line to type in; with a drawing of where to hold the tape."""

    name: str
    label: str
    how: str
    value: str
    error: str
    drawing: Markup


@dataclass(frozen=True, kw_only=True)
class PresentPage:
    """Everything the templates need."""

    way: str
    way_note: str
    ways: tuple[Link, ...]
    fields: tuple[FieldView, ...]
    more: tuple[FieldView, ...]
    more_open: bool
    wishes: tuple[FieldView, ...]
    feels: tuple[Option, ...]
    feel: str
    feel_note: str
    right: bool
    errors: tuple[tuple[str, str], ...]
    is_empty: bool
    rows: tuple[KnownRow, ...]
    contradictions: tuple[str, ...]
    measure_next: str
    next_field: str
    drawing: Markup
    kept: tuple[tuple[str, str], ...]
    match_address: str
    compare_address: str
    fit_address: str
    build_address: str
    carried: tuple[tuple[str, str], ...]
    address: str


_WAY_NOTES = {
    "tape": tr("Millimetres, centimetres or inches. Five that reach both saddle and grips are "
               "enough; with more, each is checked against the others."),
    "numbers": tr("Leave empty what you do not know. Reach, stack, head angle and stem length "
                  "give the place of your hands, saddle height and setback that of your seat."),
    "build": "",
}  # fmt: skip


def present_page(bike: PresentBike, *, along: str, others: OtherBikes) -> PresentPage:
    """The page of one present bike.

    Parameters
    ----------
    bike : PresentBike
    along : str
        The build that is taken along, as links carry it.
    others : OtherBikes
        This bike, and the builds that were put beside that one.

    Returns
    -------
    PresentPage
    """
    said = {problem.field: _error(problem) for problem in bike.problems}
    shown = {"tape": TAPE, "numbers": NUMBERS, "build": (BUILD,)}[bike.way]
    more = MORE_TAPE if bike.way == "tape" else ()
    asked = {field.name for field in (*shown, *more, *WISHES)}
    kept = [(name, bike.typed[name]) for name in NAMES if bike.typed[name]]
    carried = [(BUILD_KEY, along)] if along else []
    carried += [(BESIDE_KEY, each) for each in others.beside]
    at = navigation_addresses(along, others)
    following = bike.measured.measure_next
    return PresentPage(
        way=bike.way,
        way_note=_WAY_NOTES[bike.way],
        ways=_ways(bike, carried),
        fields=tuple(_field(field, bike, said) for field in shown),
        more=tuple(_field(field, bike, said) for field in more),
        more_open=any(bike.typed[field.name] for field in more),
        wishes=tuple(_field(field, bike, said) for field in WISHES),
        feels=tuple(Option(value=value, label=label) for value, label in FEELS.items()),
        feel=bike.typed["feel"],
        feel_note=_feel_note(bike),
        right=bike.typed["right"] == "yes",
        errors=tuple((name, words) for name, words in said.items() if name in asked),
        is_empty=not bike.text,
        rows=known_rows(bike),
        contradictions=tuple(_contradictions(bike)),
        measure_next=FIELD_OF[following].label if following else "",
        next_field=following,
        drawing=present_drawing(bike),
        kept=tuple((n, v) for n, v in kept if n not in asked and n not in {"way", "feel", "right"}),
        match_address=at.get("match", "/match"),
        compare_address=at.get("side-by-side", "/side-by-side"),
        fit_address=at.get("fit", "/fit"),
        build_address=at.get("build", "/build"),
        carried=tuple(carried),
        address=_to(PATH, [*kept, *carried]),
    )


def _to(path: str, pairs: list[tuple[str, str]]) -> str:
    if not pairs:
        return path
    return f"{path}{'&' if '?' in path else '?'}{urlencode(pairs)}"


def _error(problem: Problem) -> str:
    return tr("“{value}” cannot be used: {remedy}", value=problem.value, remedy=problem.remedy)


def _ways(bike: PresentBike, carried: list[tuple[str, str]]) -> tuple[Link, ...]:
    kept = [(name, bike.typed[name]) for name in NAMES if bike.typed[name] and name != "way"]
    return tuple(
        Link(
            label=label, address=_to(PATH, [("way", way), *kept, *carried]), present=way == bike.way
        )
        for way, label in WAYS.items()
    )


def _field(field: PresentField, bike: PresentBike, said: dict[str, str]) -> FieldView:
    with_tape = field in TAPE or field in MORE_TAPE
    drawn = tape_guide(field.name, title=field.label, words=field.how) if with_tape else ""
    return FieldView(
        name=field.name,
        label=field.label,
        how=field.how,
        value=bike.typed[field.name],
        error=said.get(field.name, ""),
        drawing=Markup(drawn),  # noqa: S704  # the drawing escapes every text it is given
    )


def _contradictions(bike: PresentBike) -> list[str]:
    return [
        tr(
            "“{label}” does not agree with the others: they say {expected:.0f} mm.",
            label=FIELD_OF[suspect.kind].label,
            expected=suspect.expected,
        )
        for suspect in bike.measured.suspects
    ]


def _feel_note(bike: PresentBike) -> str:
    """What the wish for calmer or livelier means in figures, or why it cannot be used."""
    if not bike.typed["feel"]:
        return ""
    if not bike.feel_bounds:
        return tr("Neither trail nor wheelbase of your bike is known, so this cannot be asked yet.")
    return tr("We look for trail and wheelbase that differ from now by as much as a rider feels.")
