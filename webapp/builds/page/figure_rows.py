"""Figures as rows of a table: name, unit, a printed value for each state, its explanation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from geometry.uncertainty import Explanation
from geometry.uncertainty import printed as with_unit
from webapp.common.text.felt import FELT
from webapp.common.text.glossary import Entry, entry
from webapp.common.text.language import filled, tr
from webapp.common.text.units import number

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        tr("Frame as it stands"),
        (
            "reach",
            "stack",
            "effective_top_tube",
            "head_angle",
            "seat_tube_angle",
            "effective_seat_angle",
        ),
    ),
    (
        tr("Wheels and ground"),
        (
            "chainstay_length",
            "rear_centre",
            "front_centre",
            "front_centre_straight",
            "wheelbase",
            "bb_drop",
            "bb_drop_front",
            "bb_height",
            "standover",
        ),
    ),
    (tr("Steering"), ("trail", "mechanical_trail", "wheel_flop")),
    (
        tr("Hands and saddle"),
        (
            "grips_to_rear_axle",
            "grips_to_rear_axle_straight",
            "grip_height",
            "saddle_above_ground",
        ),
    ),
)
"""Every figure shown of a build, in the order of page, table, JSON and sheet."""

SHORT = frozenset(
    {
        "reach",
        "stack",
        "head_angle",
        "effective_seat_angle",
        "chainstay_length",
        "wheelbase",
        "bb_height",
        "trail",
    }
)
"""The figures most asked for, shown first; the others are behind one button."""

OF_COCKPIT_AND_SADDLE = frozenset(
    {
        "effective_seat_angle",
        "grips_to_rear_axle",
        "grips_to_rear_axle_straight",
        "grip_height",
        "saddle_above_ground",
        "saddle_height",
    }
)
"""Figures that depend on stem, bars, post or saddle: left out for a frame sold alone."""

KEYS: tuple[str, ...] = tuple(key for _, keys in GROUPS for key in keys)


@dataclass(frozen=True, kw_only=True)
class FigureCell:
    """One printed value, with its tolerance where it is known, and the numbers of both."""

    shown: str
    tolerance: str = ""
    number: float | None = None
    half_width: float | None = None


@dataclass(frozen=True, kw_only=True)
class FigureRow:
    """One figure in every column."""

    key: str
    name: str
    symbol: str
    unit: str
    group: str
    cells: tuple[FigureCell, ...]
    explain: tuple[tuple[str, str], ...]


def printed(key: str, value: float) -> str:
    """A figure as printed everywhere: the decimals are the glossary's.

    >>> printed("head_angle", 66.4012), printed("reach", 452.04)
    ('66.40', '452.0')
    """
    return number(value, entry(key).decimals)


Explained = tuple[tuple[str, str], ...]
"""The explanation of a figure, as pairs of a term and its words."""

FEELING = tr("You feel")
"""The term of an explanation that says what a rider feels of the figure."""

_WHAT, _FORMULA, _SOURCE = tr("What"), tr("Formula"), tr("Source")
_AS_IT_STANDS, _INTERVAL = tr("As it stands"), tr("Interval")

MOST_NAMED = 4  # terms and inputs named in an explanation; more would bury the few that count


def explained(found: Entry, explanation: Explanation | None = None) -> Explained:
    """The explanation of a figure, as pairs of a term and its words.

    Parameters
    ----------
    found : Entry
        The glossary's entry.
    explanation : Explanation, optional
        Of one build: its values in the formula, and where its interval comes from.

    Returns
    -------
    tuple of (term, words)
    """
    pairs = [(_WHAT, found.definition), (_FORMULA, found.formula)]
    if explanation is not None:
        pairs += [(_AS_IT_STANDS, _terms(explanation)), (_INTERVAL, _interval(explanation))]
    pairs.append((_SOURCE, found.source))
    return tuple((term, words) for term, words in pairs if words)


def with_feeling(key: str, explain: Explained) -> Explained:
    """An explanation with what a rider feels of the figure, after what it is."""
    felt = FELT.get(key)
    return (*explain[:1], (FEELING, felt), *explain[1:]) if felt else explain


def _terms(explanation: Explanation) -> str:
    return ", ".join(
        [
            f"{term.symbol} = {with_unit(term.value, term.unit, term.decimals)}"
            for term in explanation.terms
        ]
    )


def _interval(explanation: Explanation) -> str:
    if explanation.half_width is None:
        return ""
    places = explanation.decimals
    least = 10.0**-places
    cause = tr("{dimension} ± {tolerance} {unit} gives ± {effect}")
    named = [
        filled(
            cause,
            dimension=found.term.name.lower(),
            tolerance=number(found.tolerance, found.term.decimals),
            unit=found.term.unit,
            effect=number(found.part, places),
        )
        for found in explanation.inputs[:MOST_NAMED]
        if found.tolerance and found.part and (found.part >= least or round(found.part, places) > 0)
    ]
    if not named:
        return tr("{figure}, about 95 in 100.", figure=explanation.text)
    return tr(
        "{figure}, about 95 in 100: {causes}.", figure=explanation.text, causes="; ".join(named)
    )


def figure_rows(
    columns: Iterable[Mapping[str, float]],
    *,
    tolerances: Iterable[Mapping[str, float]] = (),
    explanations: Mapping[str, Explanation] | None = None,
) -> tuple[FigureRow, ...]:
    """Rows of a table of figures.

    Parameters
    ----------
    columns : iterable of mapping of key to float
        One mapping a column, lengths [mm], angles [deg]; what is missing is not known.
    tolerances : iterable of mapping of key to float
        Half-widths for the same columns, where known.
    explanations : mapping of key to Explanation, optional
        Of one very build, by figure.

    Returns
    -------
    tuple of FigureRow
    """
    values = tuple(columns)
    widths = tuple(tolerances) or tuple({} for _ in values)
    explanations = explanations or {}
    return tuple(
        _row(group, key, values, widths, explanations.get(key))
        for group, keys in GROUPS
        for key in keys
    )


def _row(
    group: str,
    key: str,
    values: tuple[Mapping[str, float], ...],
    widths: tuple[Mapping[str, float], ...],
    explanation: Explanation | None,
) -> FigureRow:
    found = entry(key)
    cells = tuple(
        [
            _cell(value.get(key), width.get(key), found.decimals)
            for value, width in zip(values, widths, strict=True)
        ]
    )
    return FigureRow(
        key=key,
        name=found.name,
        symbol=found.symbol,
        unit=found.unit,
        group=group,
        cells=cells,
        explain=with_feeling(key, explained(found, explanation)),
    )


def _cell(value: float | None, half_width: float | None, places: int) -> FigureCell:
    return FigureCell(
        shown=tr("not known") if value is None else number(value, places),
        tolerance="" if half_width is None else number(half_width, places),
        number=value,
        half_width=half_width,
    )
