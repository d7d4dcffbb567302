"""Importing a file of parts: first a report row by row, then one transaction.

Rows are independent: a bad one is left out and reported, the others are kept. Slow work is done
before anything is written, without a lock; the writing is one short transaction, so that no
file is half imported.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.costs import costs
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.schema.fields import Data, Name, Slug
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import FrameModel, Offer, Part, Price
from webapp.catalogue.writing.many_parts import PartRow, put_parts, stamp_of
from webapp.catalogue.writing.shop import put_trade_name
from webapp.common.errors import Gathering, Invalid, Problem
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.office.forms.data_form import raw_of, texts_of
from webapp.office.forms.standards import standard_lists
from webapp.office.forms.typed_money import amount_in_reason, cost_text, read_cost
from webapp.office.forms.typed_numbers import read_in_file
from webapp.office.parts.csv_files import OWN, FileRow, PartFile, write_file
from webapp.office.parts.csv_standards import (
    FileStandards,
    Stranger,
    file_standards,
    refuse,
    with_codes,
)

NEW, CHANGED, SAME, WRONG = "new", "changed", "unchanged", "wrong"

STEP = 100
"""Rows between two reports of progress."""


class _Names(Data):
    slug: Slug
    name: Name


@dataclass(frozen=True, kw_only=True)
class RowOutcome:
    """The outcome of one line of the file."""

    number: int
    kind: str
    slug: str
    name: str
    outcome: str
    problems: tuple[Problem, ...] = ()
    changes: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    minor: int | None = None
    cost: Money | None = None
    offers: tuple[tuple[str, bool], ...] = ()
    strangers: tuple[Stranger, ...] = ()


@dataclass(frozen=True)
class Known:
    """What the catalogue holds already, read once for all rows."""

    parts: Mapping[tuple[str, str], Part]
    prices: Mapping[int, int]
    offers: Mapping[int, Mapping[str, Offer]]
    models: frozenset[str]
    costs: Mapping[str, Money]
    standards: FileStandards
    currency: str
    price_list: str
    stamp: str


@dataclass(frozen=True, kw_only=True)
class Trial:
    """The outcome of a file, before anything is saved."""

    rows: tuple[RowOutcome, ...]
    known: Known

    def count(self, outcome: str) -> int:
        """How many rows have that outcome."""
        return sum(row.outcome == outcome for row in self.rows)


def try_file(
    session: Session, file: PartFile, *, day: date, accepted: tuple[Stranger, ...] = ()
) -> Trial:
    """The outcome of every row of a file.

    Parameters
    ----------
    session : Session
        Any session; nothing is written.
    file : PartFile
    day : date
        Prices go into the list that counts on this day.
    accepted : tuple of Stranger
        Standards that are to be added to their lists.
    """
    known = known_on(session, day, accepted)
    return Trial(rows=tuple(outcomes(file, known)), known=known)


def outcomes(file: PartFile, known: Known) -> Iterator[RowOutcome]:
    """The outcomes of a file's rows, one after another, without the database."""
    seen: dict[tuple[str, str], int] = {}
    for row in file.rows:
        found = _tried(row, file, known)
        key = (found.kind, found.slug)
        if found.outcome != WRONG and key in seen:
            problem = Problem(
                "slug", found.slug, tr("once; it is in row {row} already", row=seen[key])
            )
            found = _wrong(row, (problem,))
        seen.setdefault(key, row.number)
        yield found


def known_on(session: Session, day: date, accepted: tuple[Stranger, ...] = ()) -> Known:
    """What the catalogue holds, with the prices that count on a day."""
    listed = price_list_on(session, day)
    parts = session.exec(select(Part)).all()
    models = {row_id(m): m.slug for m in session.exec(select(FrameModel)).all()}
    offers: dict[int, dict[str, Offer]] = {}
    for offer in session.exec(select(Offer)).all():
        offers.setdefault(offer.part_id, {})[models[offer.model_id]] = offer
    prices: dict[int, int] = {}
    if listed is not None:
        query = select(Price).where(Price.price_list_id == listed.id)
        query = query.where(col(Price.part_id).is_not(None))
        prices = {int(p.part_id or 0): p.minor for p in session.exec(query).all()}
    return Known(
        parts={(part.kind, part.slug): part for part in parts},
        prices=prices,
        offers=offers,
        models=frozenset(models.values()),
        costs=costs(session),
        standards=file_standards(standard_lists(session), accepted),
        currency=listed.currency if listed else "",
        price_list=listed.slug if listed else "",
        stamp=stamp_of(session),
    )


def _tried(row: FileRow, file: PartFile, known: Known) -> RowOutcome:
    if row.problem:
        return _wrong(row, (Problem("row", row.number, row.problem),))
    kind, slug = row.cells.get("kind", ""), row.cells.get("slug", "")
    gathering = Gathering()
    for column in file.missing:
        gathering.add(column, None, tr("needed: a column {column}", column=column))
    if kind not in PART_KINDS:
        if "kind" not in file.missing:
            gathering.add("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
        return _wrong(row, tuple(gathering.problems))
    part = known.parts.get((kind, slug))
    name = row.cells.get("name", part.name if part is not None else "")
    gathering.take(lambda: checked(_Names, {"slug": slug, "name": name}))
    texts, strangers = _texts(row, kind, part, known)
    refuse(gathering, strangers)
    data = None if strangers else gathering.take(lambda: _data(kind, texts))
    minor = gathering.take(lambda: _minor(row, known))
    cost = gathering.take(lambda: read_cost(row.cells.get("cost", ""), known.currency, "cost"))
    offers = gathering.take(lambda: _offers(row, known))
    if gathering.problems or data is None:
        return _wrong(row, tuple(gathering.problems), strangers)
    changes = _changes(name, part, known, data=data, minor=minor, offers=offers or ())
    changes += ("cost",) if cost is not None and known.costs.get(f"{kind}/{slug}") != cost else ()
    return RowOutcome(
        number=row.number,
        kind=kind,
        slug=slug,
        name=name,
        outcome=NEW if part is None else CHANGED if changes else SAME,
        changes=changes,
        data=data,
        minor=minor,
        cost=cost,
        offers=offers or (),
    )


def _wrong(
    row: FileRow, problems: tuple[Problem, ...], strangers: tuple[Stranger, ...] = ()
) -> RowOutcome:
    return RowOutcome(
        number=row.number,
        kind=row.cells.get("kind", "")[:60],
        slug=row.cells.get("slug", "")[:60],
        name=row.cells.get("name", "")[:120],
        outcome=WRONG,
        problems=problems,
        strangers=strangers,
    )


def _texts(
    row: FileRow, kind: str, part: Part | None, known: Known
) -> tuple[dict[str, str], tuple[Stranger, ...]]:
    """The part's fields; of a part that is known, columns the file lacks stay as they are."""
    model = PART_KINDS[kind]
    own = {name: text for name, text in row.cells.items() if name not in OWN}
    before = texts_of(model, part.data, str) if part is not None else {}
    named, strangers = with_codes(model, own, known.standards)
    return {**before, **named}, strangers


def _data(kind: str, texts: Mapping[str, str]) -> dict[str, Any]:
    model = PART_KINDS[kind]
    known = model.model_fields.keys()
    for name, text in texts.items():
        if text and name.partition(".")[0] not in known:
            raise Invalid(name[:60], text[:60], tr("empty: a {kind} has no such field", kind=kind))
    return checked(model, raw_of(model, texts, read_in_file)).model_dump(mode="json")


def _minor(row: FileRow, known: Known) -> int | None:
    text = row.cells.get("price", "")
    if not text:
        return None
    if not known.currency:
        raise Invalid("price", text, tr("left empty: no price list applies today"))
    return amount_in_reason(text, known.currency, "price").minor


def _offers(row: FileRow, known: Known) -> tuple[tuple[str, bool], ...]:
    models = row.cells.get("models", "").replace(",", " ").split()
    usual = row.cells.get("usual_for", "").replace(",", " ").split()
    for name, given in (("models", models), ("usual_for", usual)):
        strangers = [model for model in given if model not in known.models]
        if strangers:
            raise Invalid(
                name,
                ", ".join(strangers)[:200],
                tr("of {models}", models=", ".join(sorted(known.models))),
            )
    return tuple((model, model in usual) for model in dict.fromkeys([*models, *usual]))


def _changes(
    name: str,
    part: Part | None,
    known: Known,
    *,
    data: dict[str, Any],
    minor: int | None,
    offers: tuple[tuple[str, bool], ...],
) -> tuple[str, ...]:
    if part is None:
        return ()
    found = [field for field, value in data.items() if part.data.get(field) != value]
    found += ["name"] if part.name != name else []
    found += ["price"] if minor is not None and known.prices.get(row_id(part)) != minor else []
    own = known.offers.get(row_id(part), {})
    found += ["models"] if any(m not in own or own[m].standard != u for m, u in offers) else []
    return tuple(found)


def save_rows(session: Session, trial: Trial, *, who: str, at: datetime) -> None:
    """Keep the good rows of a file that was tried; the bad ones are left out.

    Raises
    ------
    Conflict
        When the catalogue was changed since the trial; nothing is kept then.
    """
    known = trial.known
    good = [
        _row(row, known, place=place)
        for place, row in enumerate(trial.rows, start=1)
        if row.outcome in (NEW, CHANGED)
    ]
    put_parts(session, good, who=who, at=at, price_list=known.price_list, stamp=known.stamp)


def add_planned(session: Session, trial: Trial, *, who: str) -> None:
    """Put the standards that a file may add into their lists, whether its parts wait or not."""
    for (joint, name), code in trial.known.standards.planned.items():
        put_trade_name(session, who=who, code=code, name=name, joint=joint)


def _row(row: RowOutcome, known: Known, *, place: int) -> PartRow:
    part = known.parts.get((row.kind, row.slug))
    own = known.offers.get(row_id(part), {}) if part is not None else {}
    return PartRow(
        kind=row.kind,
        slug=row.slug,
        name=row.name,
        data=row.data,
        minor=row.minor,
        cost=row.cost,
        offers=tuple(
            (model, own[model].position if model in own else 1000 + place, usual)
            for model, usual in row.offers
        ),
    )


def parts_file(session: Session, *, kind: str = "", day: date) -> str:
    """Parts as the file that `try_file` takes.

    Parameters
    ----------
    kind : str
        Of one kind; all kinds in one file if empty.
    day : date
        Whose price list counts.
    """
    known = known_on(session, day)
    kinds = [kind] if kind else list(PART_KINDS)
    rows, columns = [], dict[str, None]()
    for part in sorted(
        known.parts.values(), key=lambda p: (kinds.index(p.kind) if p.kind in kinds else -1, p.slug)
    ):
        if part.kind not in kinds:
            continue
        texts = texts_of(PART_KINDS[part.kind], part.data, str)
        columns |= dict.fromkeys(name for name, text in texts.items() if text)
        own = known.offers.get(row_id(part), {})
        minor = known.prices.get(row_id(part))
        rows.append(
            {name: text.replace("\n", "; ") for name, text in texts.items()}
            | {
                "kind": part.kind,
                "slug": part.slug,
                "name": part.name,
                "price": "" if minor is None else Money(minor, known.currency).plain(),
                "cost": cost_text(known.costs.get(f"{part.kind}/{part.slug}"), known.currency, str),
                "models": " ".join(sorted(own)),
                "usual_for": " ".join(sorted(m for m, offer in own.items() if offer.standard)),
            }
        )
    return write_file(list(columns), rows)
