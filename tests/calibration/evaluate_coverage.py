"""Whom the shipped sizes serve, by bodies drawn from the model and by counting the survey itself.

    python -m tests.calibration.evaluate_coverage SURVEY.csv

Both are held to the same sizes with the same share of men. What is drawn agrees with what is
counted as far as the landmarks of people follow a normal distribution within each sex, which
is all that the body model assumes. The survey's people stay outside the project.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from geometry.population import People, Served, coverage, draw_people, serve
from geometry.rider import Bodies
from tests.calibration.shipped import shipped_catalogues
from tests.calibration.survey import Survey, read_survey
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice

SHARE_OF_MEN = 0.5


def surveyed(survey: Survey) -> People:
    """The survey's own people, men and women weighted to their share."""
    shares = {"man": SHARE_OF_MEN, "woman": 1.0 - SHARE_OF_MEN}
    men = np.concatenate([np.full(len(rows), sex == "man") for sex, rows in survey.items()])
    weights = np.concatenate(
        [np.full(len(rows), shares[sex] / len(rows)) for sex, rows in survey.items()]
    )
    return People(Bodies(np.concatenate(list(survey.values()))), men, weights)


def report(drawn: Served, counted: Served) -> Iterator[str]:
    """Shares by drawing and by counting, a line each."""
    pairs = [(coverage(drawn), coverage(counted))]
    pairs += [
        (coverage(drawn, drawn.people.men == men), coverage(counted, counted.people.men == men))
        for men in (True, False)
    ]
    worst = 0.0
    for who, (one, two) in zip(("all", "men", "women"), pairs, strict=True):
        shares = [
            (getattr(one, name), getattr(two, name))
            for name in ("one", "several", "with_changes", "nobody")
        ]
        worst = max(worst, *(abs(a - b) for a, b in shares))
        words = ", ".join(f"{100 * a:.1f} / {100 * b:.1f}" for a, b in shares)
        yield f"  {who}: one, several, with changes, nobody: drawn / counted {words} %"
    named = [(a.named, b.named) for a, b in zip(pairs[0][0].sizes, pairs[0][1].sizes, strict=True)]
    worst = max(worst, *(abs(a - b) for a, b in named))
    words = ", ".join(f"{100 * a:.1f} / {100 * b:.1f}" for a, b in named)
    yield f"  named, from small to large: {words} %"
    yield f"  furthest apart: {100 * worst:.1f} points"


def main(path: Path) -> None:
    """Print the comparison for every model and style."""
    counted_people, drawn_people = surveyed(read_survey(path)), draw_people()
    with tempfile.TemporaryDirectory() as folder:
        catalogues = shipped_catalogues(Path(folder))
    for catalogue in catalogues.values():
        builds = candidate_builds(catalogue, usual_choice(catalogue))
        cockpits = [stood.cockpits for stood in builds.stands]
        for style in catalogue.styles:
            run = run_for(catalogue, builds, style)
            drawn, counted = (serve(run, cockpits, p) for p in (drawn_people, counted_people))
            sys.stdout.write(f"{catalogue.model.name}, {style.name}\n")
            sys.stdout.writelines(f"{line}\n" for line in report(drawn, counted))
            sys.stdout.flush()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Coverage by drawing and by counting.")
    parser.add_argument("survey", type=Path)
    main(parser.parse_args().survey)
