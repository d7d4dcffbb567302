"""The effect of a change as pages print it: the largest first, unchanged figures left out."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.units import signed_number
from webapp.office.effect.summary import Effect, FigureEffect


@dataclass(frozen=True, kw_only=True)
class EffectRow:
    """One figure, printed."""

    name: str
    unit: str
    counts: tuple[int, int, int, int]
    least: str
    least_words: str
    least_address: str
    most: str
    most_words: str
    most_address: str


@dataclass(frozen=True, kw_only=True)
class DropperCell:
    """The longest dropper at one saddle height, before and after."""

    before: str
    after: str
    changed: bool


@dataclass(frozen=True, kw_only=True)
class DropperLine:
    """One size by saddle height."""

    size: str
    cells: tuple[DropperCell, ...]


@dataclass(frozen=True, kw_only=True)
class ShownEffect:
    """What changes in every build; ``unchanged`` names figures that stay the same."""

    of: Effect
    rows: tuple[EffectRow, ...]
    heights: tuple[str, ...]
    droppers: tuple[DropperLine, ...]
    unchanged: str

    @property
    def is_none(self) -> bool:
        """Whether nothing changes in any build."""
        found = self.of
        sizes = found.only_before or found.only_after
        return not (self.rows or self.droppers or found.flips or found.gone or found.come or sizes)


def shown_effect(found: Effect) -> ShownEffect:
    """An effect, printed."""
    dropped = found.droppers
    unchanged = {
        tr("what can be ordered"): bool(found.lost or found.won),
        tr("every check"): bool(found.flips),
        tr("every figure"): bool(found.figures),
        tr("the longest dropper"): bool(dropped),
    }
    return ShownEffect(
        of=found,
        rows=tuple(_row(each) for each in found.figures),
        heights=tuple(f"{c[0]:g}" for c in dropped[0].cells) if dropped else (),
        droppers=_droppers(found),
        unchanged=", ".join(words for words, changes in unchanged.items() if not changes),
    )


def _row(found: FigureEffect) -> EffectRow:
    places = 2 if found.unit == "°" else 1
    return EffectRow(
        name=found.name,
        unit=found.unit,
        counts=found.counts,
        least=signed_number(found.least, places),
        least_words=found.least_at.words,
        least_address=found.least_at.address,
        most=signed_number(found.most, places),
        most_words=found.most_at.words,
        most_address=found.most_at.address,
    )


def _droppers(found: Effect) -> tuple[DropperLine, ...]:
    def shown(value: float | None) -> str:
        return tr("none") if value is None else in_own_signs(f"{value:g}")

    return tuple(
        DropperLine(
            size=row.size,
            cells=tuple(
                DropperCell(before=shown(a), after=shown(b), changed=a != b)
                for _, a, b in row.cells
            ),
        )
        for row in found.droppers
    )
