"""A new model: what its form asks, and the model with its first draft made of what was typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from sqlmodel import Session, select

from geometry.bike import radius
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.schema.frames import DIMENSIONS, RevisionData, SizeData
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.standards import POSTS, shell_width
from webapp.catalogue.tables import FrameModel
from webapp.catalogue.writing.models import put_draft, put_model, put_size
from webapp.catalogue.writing.parts import put_frame_price
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.slugs import slug_of
from webapp.common.text.typed_numbers import read_amount
from webapp.office.forms.data_form import text_of
from webapp.office.forms.standards_typed import with_added_at
from webapp.office.forms.typed_numbers import read_number
from webapp.office.revisions.drafts import begin_draft
from webapp.office.revisions.size_grid import OPTIONAL, PATHS

MOST_SIZES = 12
EXTRA_ROWS = ("riders.shortest", "riders.tallest")
ROWS: tuple[str, ...] = (*PATHS, *EXTRA_ROWS)
"""Rows of the table of a new model: the grid's own, and the riders each size is for."""

LEFT_EMPTY = frozenset({*OPTIONAL, *EXTRA_ROWS})
STARTS = {each.key: text_of(each.default, str) for each in DIMENSIONS if each.default is not None}
"""First values of a row's cells."""

JOINT_OF: Mapping[str, str] = MappingProxyType(
    {
        "head_tube": "head_tube",
        "rear_axle": "rear_axle",
        "bottom_bracket": "bottom_bracket",
        "rear_brake": "brake_mount",
    }
)
"""Fields that take a fitting standard, and the joint whose list it is."""

Texts = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class NewSize:
    """One size as named in the form."""

    slug: str
    name: str


def sizes_named(texts: Texts) -> tuple[NewSize, ...]:
    """The sizes a form names, smallest first.

    Raises
    ------
    Invalid
        For none, too many, or the same name twice.

    Examples
    --------
    >>> [size.slug for size in sizes_named({"sizes": "Small, Medium, 56 cm"})]
    ['small', 'medium', '56-cm']
    """
    text = texts.get("sizes", "").replace("\n", ",").replace(";", ",")
    names = [name.strip() for name in text.split(",") if name.strip()]
    if not names:
        raise Invalid("sizes", text, tr("the names of the sizes, such as S, M, L"))
    if len(names) > MOST_SIZES or len({name.casefold() for name in names}) < len(names):
        raise Invalid("sizes", text[:200], tr("at most {most}, each once", most=MOST_SIZES))
    found: list[NewSize] = []
    for name in names:
        taken = {size.slug for size in found}
        found.append(NewSize(slug=slug_of(name, taken=taken, otherwise="size"), name=name))
    return tuple(found)


def make_model(session: Session, *, who: str, texts: Texts, on: date) -> FrameModel:
    """A model with its first draft, sizes and frame price, from a form's texts.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    texts : mapping
        ``name``, ``summary``, ``sizes``, ``frame_price``, the fields of `shared_of` and one
        ``size.path`` for each size and row of `ROWS`.
    on : date
        The price goes into the list that counts on this day.

    Returns
    -------
    FrameModel

    Raises
    ------
    Invalid
        For texts that cannot be used, all at once.
    """
    sizes = sizes_named(texts)
    texts = with_added_at(session, who, JOINT_OF, texts)
    row = _put_named(session, who, texts)
    shared = shared_of(texts)
    gathering = Gathering()
    valid: dict[str, SizeData] = {}
    gathering.take(lambda: checked(RevisionData, shared, at="shared"))
    for size in sizes:
        gathering.take(lambda s=size: valid.update({s.slug: _size(texts, s)}))  # type: ignore[misc]
    gathering.take(lambda: _put_price(session, who, row.slug, texts, on))
    gathering.finish()
    draft = put_draft(session, who=who, model=row.slug, data=shared)
    for position, size in enumerate(sizes):
        put_size(
            session,
            who=who,
            model=row.slug,
            revision=draft.number,
            slug=size.slug,
            name=size.name,
            position=position,
            data=valid[size.slug],
        )
    return row


def copy_model(session: Session, *, who: str, texts: Texts, on: date) -> FrameModel:
    """A model whose first draft is another model's newest revision.

    Raises
    ------
    NotFound
        For a model to copy that is not there.
    Invalid
        For a name or price that cannot be used.
    """
    row = _put_named(session, who, texts)
    _put_price(session, who, row.slug, texts, on)
    begin_draft(session, who=who, model=row.slug, like=texts.get("like", ""))
    return row


def _put_named(session: Session, who: str, texts: Texts) -> FrameModel:
    name = texts.get("name", "").strip()
    if not name:
        raise Invalid("name", "", tr("the model’s name"))
    models = session.exec(select(FrameModel)).all()
    if name.casefold() in {model.name.casefold() for model in models}:
        raise Invalid("name", name[:120], tr("a name that no other model has"))
    slug = slug_of(name, taken={model.slug for model in models} | {"new"}, otherwise="model")
    position = max((model.position for model in models), default=-1) + 1
    summary = texts.get("summary", "").strip()
    return put_model(session, who=who, slug=slug, name=name, summary=summary, position=position)


def shared_of(texts: Texts) -> dict[str, Any]:
    """What all sizes share, from the form; what is no number stays text and is refused.

    Examples
    --------
    >>> found = shared_of({"rim": "622", "tyre_width": "50", "axle_to_crown": "425"})
    >>> found["drawn_with"]["axle_to_crown"], found["drawn_with"]["front_radius"]
    (425, 361.0)
    """

    def typed(name: str) -> Any:
        text = texts.get(name, "").strip()
        return read_number(text) if text else None

    def code(name: str) -> Any:
        return texts.get(name, "").strip() or None

    post, shell = typed("post_diameter"), code("bottom_bracket")
    wheel = typed("wheel_radius") or _radius(typed("rim"), typed("tyre_width"))
    raw: dict[str, Any] = {
        "drawn_with": {
            "axle_to_crown": typed("axle_to_crown"),
            "axle_to_crown_measured": code("axle_to_crown_measured") or "along",
            "offset": typed("offset"),
            "travel": typed("travel") or 0,
            "lower_headset_stack": typed("lower_headset_stack"),
            "front_radius": wheel,
            "rear_radius": wheel,
        },
        "rear_axles": [code("rear_axle")] if code("rear_axle") else [],
        "bottom_bracket": {
            "standard": shell,
            "shell_width": shell_width(str(shell)),
            "chainline_min": typed("chainline_min"),
            "chainline_max": typed("chainline_max"),
        },
        "fork": {
            "steerer_fits": code("head_tube"),
            "axle_to_crown_min": typed("fork_shortest"),
            "axle_to_crown_max": typed("fork_longest"),
            "travel_max": typed("travel_max") or 0,
        },
        "post_diameter": post,
        "clamp_diameter": typed("clamp_diameter") or POSTS.get(post if post else 0),
        "tyre_room": [
            {
                "bead_seat_diameter": typed("rim"),
                "recommended": typed("tyre_recommended"),
                "largest": typed("tyre_largest"),
            }
        ],
        "rings": {
            "chainline": typed("ring_chainline"),
            "smallest": typed("ring_smallest"),
            "largest_chain": typed("ring_largest"),
        },
        "masses": {
            "rider_and_luggage": typed("mass_rider"),
            "whole_bike": typed("mass_whole"),
        },
        "usage_class": typed("usage_class"),
        "spacers": {"most": typed("spacers")},
    }
    if code("rear_brake"):
        raw["rear_brake"] = {
            "mount": code("rear_brake"),
            "rotor_min": typed("rotor_min"),
            "rotor_max": typed("rotor_max"),
        }
    found: dict[str, Any] = _without_gaps(raw)
    return found


def _without_gaps(raw: Any) -> Any:
    if isinstance(raw, dict):
        return {key: _without_gaps(value) for key, value in raw.items() if value is not None}
    return [_without_gaps(value) for value in raw] if isinstance(raw, list) else raw


def _radius(rim: Any, width: Any) -> Any:
    if isinstance(rim, int | float) and isinstance(width, int | float) and width > 0:
        return float(radius(nominal_width=width, bead_seat_diameter=rim))
    return None


def _size(texts: Texts, size: NewSize) -> SizeData:
    raw: dict[str, Any] = {}
    for path in ROWS:
        text = texts.get(f"{size.slug}.{path}", "").strip()
        if text:
            outer, _, inner = path.partition(".")
            place = raw.setdefault(outer, {}) if inner else raw
            place[inner or outer] = read_number(text)
    return checked(SizeData, raw, at=size.slug)


def _put_price(session: Session, who: str, model: str, texts: Texts, on: date) -> None:
    listed, text = price_list_on(session, on), texts.get("frame_price", "").strip()
    if listed is None:
        raise Invalid("frame_price", text, tr("a price list that applies today; begin one first"))
    if not text:
        remedy = tr("what the frame costs, in {money}", money=listed.currency)
        raise Invalid("frame_price", "", remedy)
    minor = read_amount("frame_price", text, listed.currency).minor
    put_frame_price(session, who=who, price_list=listed.slug, model=model, minor=minor)
