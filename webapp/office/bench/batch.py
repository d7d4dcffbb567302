"""What a batch of measured bikes shows of the frames' manufacture, dimension by dimension."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from sqlmodel import Session, col, select

from geometry.uncertainty import FEWEST, Capability, capability, intervals
from geometry.verify import observed
from webapp.builds.evaluation import compute
from webapp.builds.solving.tolerances import tolerances_of
from webapp.common.errors import DomainError
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr, trn
from webapp.common.text.units import number, with_unit
from webapp.office.bench.build_choice import build_of_query
from webapp.office.bench.report_words import signed
from webapp.office.tables import BenchRecord

_WORST = 3
_CAPABLE = 1.0
_STANDS_OUT = 2.0  # standard deviations of the mean, from which on a batch is off beyond chance


@dataclass(frozen=True, kw_only=True)
class OneBike:
    """One dimension of one bike of a batch [mm or degrees]; ``tolerance`` where one is stated."""

    record: int
    serial: str
    model: str
    drawn: float
    offset: float
    expected: float
    tolerance: float | None


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One dimension over a batch: every bike's, and what they say together."""

    key: str
    name: str
    unit: str
    bikes: tuple[OneBike, ...]
    found: Capability

    @property
    def tolerance(self) -> float | None:
        """± of the drawing: of sizes that differ in it, the least."""
        stated = [one.tolerance for one in self.bikes if one.tolerance is not None]
        return min(stated) if stated else None

    @property
    def standing(self) -> float:
        """How many of its own standard deviations the mean is from zero."""
        expected = float(np.sqrt(np.mean([one.expected**2 for one in self.bikes])))
        wide = max(expected, self.found.spread or 0.0)
        return float(self.found.mean * np.sqrt(self.found.count) / wide)

    @property
    def stands_out(self) -> bool:
        """Whether the batch as a whole is off, beyond chance (2 σ of its mean)."""
        return abs(self.standing) > _STANDS_OUT

    @property
    def worst(self) -> tuple[OneBike, ...]:
        """The bikes farthest from their drawing."""
        return tuple(sorted(self.bikes, key=lambda one: -abs(one.offset))[:_WORST])

    @property
    def words(self) -> str:
        """What to tell whoever made the frames; empty when nothing stands out."""
        if not self.stands_out:
            return ""
        size = with_unit(signed(self.key, abs(self.found.mean)).lstrip("+"), self.unit)
        if self.found.mean > 0:
            return trn(
                "{size} more than drawn, over {count} bike",
                "{size} more than drawn, over {count} bikes",
                self.count,
                size=size,
            )
        return trn(
            "{size} less than drawn, over {count} bike",
            "{size} less than drawn, over {count} bikes",
            self.count,
            size=size,
        )

    @property
    def count(self) -> int:
        """Bikes measured."""
        return self.found.count

    @property
    def verdict(self) -> str:
        """Whether the tolerance is kept, in words, as far as so few bikes can show."""
        if self.tolerance is None:
            return tr("no tolerance is stated")
        if self.count < FEWEST:
            return tr("too few to say, at least {fewest} are needed", fewest=FEWEST)
        if self.found.cpk_limits is None:  # without any spread there is no index
            return self._without_spread(self.tolerance)
        low, high = self.found.cpk_limits
        if low >= _CAPABLE:
            return tr("kept")
        if high < _CAPABLE:
            return tr("not kept")
        return tr("undecided: measure more bikes")

    def _without_spread(self, tolerance: float) -> str:
        """The verdict where every bike read the same."""
        if abs(self.found.mean) > tolerance:
            return tr("not kept")
        return tr("all readings are the same: read in finer steps")


def dimensions_of(session: Session, batch: str) -> tuple[Dimension, ...]:
    """Every dimension measured in a batch, those first whose mean is farthest beyond chance.

    Of a bike measured more than once (same serial number) the last check counts; of
    a dimension read more than once in it, their mean.
    """
    query = select(BenchRecord).where(BenchRecord.batch == batch).order_by(col(BenchRecord.id))
    last = {row.serial.casefold(): row for row in session.exec(query).all()}
    stated: dict[tuple[str, str], Mapping[str, float]] = {}
    bikes: dict[str, list[OneBike]] = {}
    for row in last.values():
        build = (row.model, row.build)
        if build not in stated:
            stated[build] = _tolerances(session, row)
        for key in dict.fromkeys(one["key"] for one in row.report["readings"]):
            same = [one for one in row.report["readings"] if one["key"] == key]
            bikes.setdefault(key, []).append(_one(row, key, same, stated[build]))
    found = [_dimension(key, tuple(each)) for key, each in bikes.items()]
    return tuple(sorted(found, key=lambda one: -abs(one.standing)))


def _one(
    row: BenchRecord, key: str, same: Sequence[Mapping[str, Any]], stated: Mapping[str, float]
) -> OneBike:
    return OneBike(
        record=int(row.id or 0),
        serial=row.serial,
        model=row.model,
        drawn=same[0]["predicted"],
        offset=sum(one["residual"] for one in same) / len(same),
        expected=same[0]["expected"],
        tolerance=stated.get(key),
    )


def _dimension(key: str, bikes: tuple[OneBike, ...]) -> Dimension:
    stated = [one.tolerance for one in bikes if one.tolerance is not None]
    offsets = np.array([one.offset for one in bikes])
    return Dimension(
        key=key,
        name=entry(key).name,
        unit=entry(key).unit,
        bikes=bikes,
        found=capability(offsets, min(stated) if stated else None),
    )


def _tolerances(session: Session, row: BenchRecord) -> Mapping[str, float]:
    """± of every figure of a bike, as its revision and parts state it."""
    try:
        catalogue, choice = build_of_query(session, row.model, row.build)
        result = compute(catalogue, choice)
        bike = result.states[row.state].bike
    except (DomainError, KeyError):
        return {}
    tolerances = tolerances_of(catalogue.revision.data.tolerances, result.assembly)
    found = intervals(bike, tolerances, of=observed)
    return {key: float(one.half_width) for key, one in found.items() if float(one.half_width) > 0}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One dimension of the report, printed."""

    key: str
    name: str
    unit: str
    drawn: str
    tolerance: str
    count: int
    mean: str
    spread: str
    cp: str
    cpk: str
    verdict: str
    worst: tuple[tuple[str, str], ...]
    words: str


def printed(dimension: Dimension) -> Line:
    """A dimension as the report shows it."""
    found, places = dimension.found, 2 if dimension.unit == "°" else 1
    low = min(one.drawn for one in dimension.bikes)
    high = max(one.drawn for one in dimension.bikes)
    drawn = number(low, places)
    if high - low > 10.0**-places:
        drawn = tr("{low} to {high}", low=drawn, high=number(high, places))
    tolerance = dimension.tolerance
    return Line(
        key=dimension.key,
        name=dimension.name,
        unit=dimension.unit,
        drawn=drawn,
        tolerance="–" if tolerance is None else f"± {number(tolerance, places)}",
        count=dimension.count,
        mean=signed(dimension.key, found.mean),
        spread="–" if found.spread is None else number(found.spread, places),
        cp=_index(found.cp, found.cp_limits),
        cpk=_index(found.cpk, found.cpk_limits),
        verdict=dimension.verdict,
        worst=tuple((one.serial, signed(dimension.key, one.offset)) for one in dimension.worst),
        words=dimension.words or tr("within chance"),
    )


def _index(value: float | None, limits: tuple[float, float] | None) -> str:
    if value is None or limits is None:
        return "–"
    low, high = (number(one, 2) for one in limits)
    return tr("{value} ({low} to {high})", value=number(value, 2), low=low, high=high)


_HEAD = (
    "dimension", "key", "unit", "drawn_least", "drawn_most", "tolerance", "bikes", "mean_offset",
    "spread", "cp", "cp_low", "cp_high", "cpk", "cpk_low", "cpk_high", "worst_serial",
    "worst_offset",
)  # fmt: skip


def batch_csv(dimensions: Sequence[Dimension]) -> str:
    """A batch as CSV: one line a dimension, plain numbers in mm and degrees."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n")
    write.writerow(_HEAD)
    for one in dimensions:
        drawn, found, worst = [bike.drawn for bike in one.bikes], one.found, one.worst[0]
        limits = [*(found.cp_limits or (None, None)), *(found.cpk_limits or (None, None))]
        numbers = [min(drawn), max(drawn), one.tolerance, one.count, found.mean, found.spread]
        numbers += [found.cp, *limits[:2], found.cpk, *limits[2:]]
        cells = ["" if value is None else f"{value:.4g}" for value in numbers]
        cells[:2] = [f"{min(drawn):.3f}", f"{max(drawn):.3f}"]
        write.writerow(
            [one.name, one.key, one.unit, *cells, _plain(worst.serial), f"{worst.offset:.3f}"]
        )
    return out.getvalue()


def _plain(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text
