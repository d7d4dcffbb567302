"""The demo's invented outcomes, so that the page of findings has something to show."""

from __future__ import annotations

import csv
from datetime import date

from sqlalchemy import Engine

from webapp.common.paths import DEMO_DATA
from webapp.common.storage.database import writing
from webapp.common.text.language import tr
from webapp.outcomes.store import Body, keep_outcome
from webapp.outcomes.tables import Outcome

FILE = DEMO_DATA / "outcomes.csv"
WHO = tr("demo data")


def fill(engine: Engine) -> int:
    """Keep the invented outcomes of the demo's riders.

    Parameters
    ----------
    engine : Engine
        Of a database with the demo catalogue.

    Returns
    -------
    int
        How many.
    """
    with FILE.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    with writing(engine) as session:
        for row in rows:
            keep_outcome(session, _outcome(row), _body(row))
    return len(rows)


def _outcome(row: dict[str, str]) -> Outcome:
    return Outcome(
        moment=row["moment"],
        recorded_on=date.fromisoformat(row["recorded_on"]),
        who=WHO,
        model=row["model"],
        revision=int(row["revision"]),
        style=row["style"],
        size_ridden=row["size_ridden"],
        size_bought=row["size_bought"],
        build=row["build"],
        length=int(row["length"]),
        height=int(row["height"]) if row["height"] else None,
    )


def _body(row: dict[str, str]) -> Body:
    return Body(
        rider={"stature": row["stature"], "stature_by": "wall", "inseam": row["inseam"],
               "sex": row["sex"], "style": row["style"]},
        named=row["named"],
        chance=float(row["chance"]),
        verdicts=(float(row["short"]), float(row["right"]), float(row["long"])),
    )  # fmt: skip
