"""Make the demo's invented outcomes: riders drawn from the body model, with a will of their own.

    python -m tests.develop.make_outcomes > demo_data/outcomes.csv

They buy the Knapweed in the size that felt right in the shop, as its chart and their taste say;
three months later they want it a little shorter, and their grips higher, so that what the office
learns can be seen. Nobody in it was ever measured.
"""

from __future__ import annotations

import csv
import sys
import tempfile
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from geometry.population import draw_people
from geometry.sizing import NONE, judge_sizes, needed
from tests.calibration.shipped import shipped_catalogues
from webapp.catalogue.reading.views import Catalogue
from webapp.fit.candidate_builds import as_sold, candidate_builds
from webapp.fit.run import run_for, usual_choice
from webapp.outcomes.evidence import as_ridden, foretold
from webapp.outcomes.store import Body
from webapp.outcomes.tables import AFTER_MONTHS
from webapp.rider.rider_input import Rider

COUNT, SEED, FIRST = 60, 20261127, date(2026, 2, 2)
SHORTER = 11.0
"""How much shorter than the chart these riders want their bikes [mm]."""
HIGHER, HEIGHT_SPREAD, HEIGHT_FELT = 18.0, 25.0, 15.0
"""Grips above the saddle that they want beyond what they have, its spread, what they feel [mm]."""
COLUMNS = (
    "recorded_on", "moment", "model", "revision", "style", "size_ridden", "size_bought", "build",
    "length", "height", "stature", "inseam", "sex", "named", "chance", "short", "right", "long",
)  # fmt: skip


def rows(catalogue: Catalogue) -> list[dict[str, str]]:
    """The outcomes, one row each."""
    people = draw_people(share_of_men=0.5, count=4 * COUNT, seed=SEED)
    rng = np.random.default_rng(SEED)
    style = catalogue.styles[0]
    choice = usual_choice(catalogue)
    run = run_for(catalogue, candidate_builds(catalogue, choice), style)
    needs = needed(run, people.bodies)
    doubt = float(np.hypot(run.taste_spread, run.model_spread))
    taste = doubt * rng.standard_normal(len(people.men))
    wanted = needs.length + taste - SHORTER
    chosen = judge_sizes(run, needs, lean=taste).named
    chart = run.chart
    found: list[dict[str, str]] = []
    for i in rng.permutation(len(wanted)):
        body = {name: float(people.bodies[name][i]) for name in ("stature", "crotch_height")}
        if not chart.shortest[0] < body["stature"] < chart.tallest[-1] or len(found) == COUNT:
            continue
        rider = Rider(
            stature=round(body["stature"] + 6.0 * rng.standard_normal()),
            stature_by="wall",
            inseam=round(body["crotch_height"] + 8.0 * rng.standard_normal()),
            sex="man" if people.men[i] else "woman",
            style=style.slug,
        )
        first = foretold(catalogue, choice, rider, bought=True)
        if first is None:
            continue
        if chosen[i] == NONE:
            continue
        size = catalogue.sizes[chosen[i]]
        bike = as_sold(catalogue, choice, size)
        told = foretold(catalogue, bike, rider, bought=True) or first
        miss = float(run.given[chosen[i]] - wanted[i])
        felt = run.rules.within * float(run.steps.mean())
        higher = HIGHER + HEIGHT_SPREAD * rng.standard_normal()
        found.append(
            _row(
                told,
                rider,
                recorded_on=str(FIRST + timedelta(days=5 * len(found))),
                model=catalogue.model.slug,
                revision=str(catalogue.revision.number),
                size_ridden=first.named,
                size_bought=size.slug,
                build=as_ridden(bike),
                length=str(int(np.sign(miss)) if abs(miss) > felt else 0),
                height=str(-int(np.sign(higher)) if abs(higher) > HEIGHT_FELT else 0),
            )
        )
    return found


def _row(told: Body, rider: Rider, **given: str) -> dict[str, str]:
    short, right, long = told.verdicts
    return {
        **given,
        "moment": AFTER_MONTHS,
        "style": rider.style,
        "stature": f"{rider.stature:g}",
        "inseam": f"{rider.inseam:g}",
        "sex": rider.sex or "",
        "named": told.named,
        "chance": f"{told.chance:g}",
        "short": f"{short:g}",
        "right": f"{right:g}",
        "long": f"{long:g}",
    }


def main() -> None:
    """Print them."""
    with tempfile.TemporaryDirectory() as folder:
        catalogue = shipped_catalogues(Path(folder))["knapweed"]
    out = csv.DictWriter(sys.stdout, COLUMNS, lineterminator="\n")
    out.writeheader()
    out.writerows(rows(catalogue))


if __name__ == "__main__":
    main()
