"""What the fit page's templates know, printed."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from webapp.builds.rider.posture_rows import PostureRow
from webapp.common.web.choices import Link, Option
from webapp.fit.measure_fields import MeasureField


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
    chance: str
    words: str
    reasons: tuple[str, ...]
    help: tuple[HelpLink, ...]
    best: bool
    likeliest: bool
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

    @property
    def leading(self) -> SizeCard | None:
        """The size whose button stands beside the answer; None where none fits."""
        return next((card for card in self.cards if card.likeliest), None)


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
    sexes: tuple[Option, ...]
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

    @property
    def drawn(self) -> str:
        """The size that is drawn; none before there is an answer."""
        return self.answer.drawn if self.answer else ""

    @property
    def first_field(self) -> MeasureField:
        """The measurement that is enough for an answer."""
        return self.fields[0]

    @property
    def further_fields(self) -> tuple[MeasureField, ...]:
        """Those that make the answer surer."""
        return self.fields[1:]

    @property
    def show_kind(self) -> str:
        """The kind of the button that asks: the main one until an answer has its own way on."""
        return "" if self.answer and self.answer.leading else "main"
