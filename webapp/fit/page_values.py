"""What the fit page's templates know, printed."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from webapp.builds.rider.posture_rows import PostureRow
from webapp.fit.measure_fields import MeasureField


@dataclass(frozen=True, kw_only=True)
class Link:
    """A link that may be the present place."""

    label: str
    address: str
    present: bool


@dataclass(frozen=True, kw_only=True)
class Option:
    """One option of a list or switch."""

    value: str
    label: str


@dataclass(frozen=True, kw_only=True)
class HelpLink:
    """Something that would help, and where it is shown."""

    words: str
    address: str


@dataclass(frozen=True, kw_only=True)
class SizeCard:
    """One size, printed."""

    key: str
    name: str
    chance: int
    words: str
    reasons: tuple[str, ...]
    help: tuple[HelpLink, ...]
    best: bool
    out: bool
    cockpit: str
    address: str
    shared_address: str


@dataclass(frozen=True, kw_only=True)
class SaddleRow:
    """One saddle height and where it comes from [mm], printed."""

    key: str
    name: str
    shown: str
    explain: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class AnswerView:
    """The answer, printed."""

    summary: str
    which: tuple[str, ...]
    chart: str
    help: tuple[HelpLink, ...]
    taste: str
    evidence: str
    read_body: tuple[str, ...]
    spread: str
    given: str
    ladder: tuple[str, ...]
    next_words: str
    next_field: str
    between_heading: str
    differences: tuple[str, ...]
    compare_address: str
    cards: tuple[SizeCard, ...]
    saddle_words: str
    saddle: tuple[SaddleRow, ...]
    posture: tuple[PostureRow, ...]
    cautions: tuple[str, ...]
    drawing: Markup
    drawn: str
    style: str


@dataclass(frozen=True, kw_only=True)
class FitPage:
    """Everything the fit page's templates know."""

    model: str
    model_slug: str
    models: tuple[Link, ...]
    hidden: tuple[tuple[str, str], ...]
    errors: tuple[tuple[str, str], ...]
    other_errors: tuple[tuple[str, str], ...]
    fields: tuple[MeasureField, ...]
    stature_by: str
    inseam_by: str
    taste: str
    tastes: tuple[Option, ...]
    flexibility: str
    flexibilities: tuple[Option, ...]
    discomfort: str
    discomforts: tuple[Option, ...]
    sex: str
    style: str
    styles: tuple[Option, ...]
    pose: str
    poses: tuple[Option, ...]
    size: str
    sizes: tuple[Option, ...]
    answer: AnswerView | None
    basis: str
    welcome: str
    notice: str
    address: str
