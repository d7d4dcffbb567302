"""The table of a comparison: one row a figure, with signed differences against A."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from webapp.builds.page.figure_rows import FigureRow, figure_rows
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.units import minus, number
from webapp.compare.bikes import Compared

MINUS = "\N{MINUS SIGN}"
NOT_KNOWN = tr("not known")
SAME = "same"


@dataclass(frozen=True, kw_only=True)
class Cell:
    """A printed value, and its signed difference against A, if that can be said."""

    shown: str
    difference: str = ""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row of the table."""

    key: str
    name: str
    unit: str
    cells: tuple[Cell, ...]
    explain: tuple[tuple[str, str], ...] = ()

    @property
    def equal(self) -> bool:
        """Whether every bike shows the same."""
        return len({cell.shown for cell in self.cells}) == 1

    def without_differences(self) -> Row:
        """The row as it stands among those that are equal."""
        return replace(self, cells=tuple(Cell(shown=cell.shown) for cell in self.cells))


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """What sits in one place: each part with the letters of the bikes that have it."""

    place: str
    names: tuple[tuple[str, str], ...]

    @property
    def equal(self) -> bool:
        """Whether every bike has the same."""
        return len(self.names) == 1


def signed(shown: str, first: str) -> str:
    """Difference of two printed numbers, so that a reader's own subtraction agrees.

    >>> signed("431.0", "452.3"), signed("66.4", "65.0"), signed("65.0", "65.0")
    ('−21.3', '+1.4', 'same')
    """
    by = _read(shown) - _read(first)
    return SAME if by == 0 else f"{'+' if by > 0 else ''}{minus(str(by))}"


def _read(shown: str) -> Decimal:
    return Decimal(shown.replace(MINUS, "-"))


def comparison_rows(bikes: Sequence[Compared], *, state: str) -> tuple[Row, ...]:
    """Price, every figure, then what the bikes are set to.

    Parameters
    ----------
    bikes : sequence of Compared
        A first.
    state : str

    Returns
    -------
    tuple of Row
    """
    figures = (_figure_row(row) for row in figure_rows([b.figures(state) for b in bikes]))
    names = dict.fromkeys(name for bike in bikes for name in bike.settings)
    settings = (_setting_row(name, [bike.settings for bike in bikes]) for name in names)
    return (_price_row(bikes), *figures, *settings)


def _figure_row(row: FigureRow) -> Row:
    return Row(
        key=row.key,
        name=row.name,
        unit=row.unit,
        cells=_cells([cell.shown for cell in row.cells], signed),
        explain=row.explain,
    )


def _setting_row(name: str, settings: Sequence[Mapping[str, float]]) -> Row:
    shown = [number(each[name]) if name in each else NOT_KNOWN for each in settings]
    key = name.lower().replace(" ", "-")
    return Row(key=key, name=name, unit=tr("mm"), cells=_cells(shown, signed))


def _cells(shown: Sequence[str], difference: Callable[[str, str], str]) -> tuple[Cell, ...]:
    first = shown[0]
    return tuple(
        Cell(
            shown=each,
            difference="" if at == 0 or NOT_KNOWN in (each, first) else difference(each, first),
        )
        for at, each in enumerate(shown)
    )


def _price_row(bikes: Sequence[Compared]) -> Row:
    first = bikes[0].price
    cells = tuple(
        Cell(
            shown=bike.price.format() if bike.price else NOT_KNOWN,
            difference="" if at == 0 else _price_difference(bike.price, first),
        )
        for at, bike in enumerate(bikes)
    )
    return Row(key="price", name=tr("Price with tax"), unit="", cells=cells)


def _price_difference(price: Money | None, first: Money | None) -> str:
    if price is None or first is None or price.currency != first.currency:
        return ""
    if price == first:
        return SAME
    by = price - first
    return f"{'+' if by.minor > 0 else ''}{minus(by.format())}"


def part_rows(letters: str, bikes: Sequence[Compared]) -> tuple[PartRow, ...]:
    """What sits in every place, bikes with the same part together.

    A bike of which no part is known, such as the one ridden now, stands in none of them.

    Parameters
    ----------
    letters : str
        One for each bike.
    bikes : sequence of Compared

    Returns
    -------
    tuple of PartRow
        Empty where fewer than two have parts to compare.
    """
    known = [(letter, bike) for letter, bike in zip(letters, bikes, strict=True) if bike.parts]
    if len(known) < 2:  # noqa: PLR2004  # one alone is compared with nothing
        return ()
    places = dict.fromkeys(place for _, bike in known for place in bike.parts)
    return tuple(_part_row(place, known) for place in places)


def _part_row(place: str, bikes: Sequence[tuple[str, Compared]]) -> PartRow:
    having: dict[str, str] = {}
    for letter, bike in bikes:
        name = bike.parts.get(place, NOT_KNOWN)
        having[name] = having.get(name, "") + letter
    return PartRow(place=place, names=tuple((who, name) for name, who in having.items()))
