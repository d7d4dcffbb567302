"""How true the chances of a size are, on measured people the body model has not seen.

    python -m tests.calibration.evaluate_sizing SURVEY.csv

The sizes, charts, styles and rules are those that ship. The body model is fitted to a
training part of the survey. What a person of the held-out part chooses is the truth: the
size named for all landmarks, with a taste of their own and misplaced joints drawn from
the spreads the rules state. The sizing gets only what a rider would tell, with simulated
errors of reading (and, for a height told, its bias). It is held against a chart of height,
a chart of inseam and a multinomial regression on the very measurements told, each fitted
as well as can be to the training part. The committed model uses the whole survey.

For each model and style it first prints whom the sizes serve (`geometry.sizing.check`).
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.rider import (
    Bodies,
    BodyModel,
    Landmark,
    Measurement,
    Sex,
    Way,
    condition,
    fit_body_model,
    linkage,
    measuring_error,
)
from geometry.sizing import (
    NONE,
    FitCheck,
    Run,
    check_fit,
    judge_sizes,
    needed,
    size_up,
    usual_bodies,
)
from geometry.sizing.check import in_range
from geometry.sizing.swaps import gains
from tests.calibration.charts import fit_chart
from tests.calibration.regression import fit_regression
from tests.calibration.scores import Scores, score
from tests.calibration.shipped import shipped_catalogues
from tests.calibration.survey import Survey, read_survey, split
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.fit.candidate_builds import CandidateBuilds, candidate_builds
from webapp.fit.run import run_for, usual_choice

SHARE_HELD_OUT = 0.35
SEED = 7
BANDS = 9

Question = tuple[Landmark, Way]
STATURE: Question = ("stature", "told")
WALL: Question = ("stature", "self_measured")
INSEAM: Question = ("crotch_height", "self_measured")
SPAN: Question = ("span", "self_measured")
ASKED: tuple[tuple[Question, ...], ...] = (
    (STATURE,),
    (WALL,),
    (WALL, INSEAM),
    (WALL, INSEAM, SPAN),
)
"""What is told, from little to much: each further step must lower the expected log loss."""

NAMES: dict[Question, str] = {
    STATURE: "height told", WALL: "height measured", INSEAM: "inseam", SPAN: "arm span"
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class People:
    """Measured people with what they would tell of themselves.

    Parameters
    ----------
    bodies : Bodies
        n people, all landmarks.
    sexes : tuple of Sex, length n
        One each.
    told : dict
        For each question the readings of all, (n,) [mm].
    """

    bodies: Bodies
    sexes: tuple[Sex, ...]
    told: dict[Question, FloatArray]

    def readings(self, questions: Sequence[Question]) -> FloatArray:
        """What was told, with sex as a number: (n, questions + 1)."""
        women = np.array([float(sex == "woman") for sex in self.sexes])
        return np.column_stack([*(self.told[q] for q in questions), women])


def gather(survey: Survey, rng: np.random.Generator, *, most: int | None = None) -> People:
    """People of a survey, or some of them at random, with simulated readings."""
    bodies = np.concatenate(list(survey.values()))
    sexes: list[Sex] = [sex for sex, people in survey.items() for _ in people]
    order = rng.permutation(len(bodies))[:most]
    chosen, kept = Bodies(bodies[order]), tuple(sexes[i] for i in order)
    told = {}
    for question in (STATURE, WALL, INSEAM, SPAN):
        landmark, way = question
        true = chosen[landmark]
        bias = [Measurement(landmark, float(true[0]), way).bias(sex) for sex in kept]
        noise = measuring_error(landmark, way) * rng.standard_normal(len(true))
        told[question] = true + np.array(bias) + noise
    return People(chosen, kept, told)


@dataclass(frozen=True, eq=False)
class Bench:
    """One model and style: the run, its builds, and how far changes go."""

    run: Run
    builds: CandidateBuilds
    shorter: FloatArray
    longer: FloatArray


def bench(catalogue: Catalogue, style: StyleView) -> Bench:
    """The shipped sizes for one style."""
    builds = candidate_builds(catalogue, usual_choice(catalogue))
    run = run_for(catalogue, builds, style)
    gained = [
        gains(run, [stood.cockpits], linkage(usual_bodies(run.chart.middles[i : i + 1])))[0]
        for i, stood in enumerate(builds.stands)
    ]
    return Bench(
        run, builds, np.array([g.min() for g in gained]), np.array([g.max() for g in gained])
    )


def choices(at: Bench, people: People, rng: np.random.Generator) -> NDArray[np.intp]:
    """What each person chooses, taste and misplaced joints drawn; the last class is none."""
    doubt = float(np.hypot(at.run.taste_spread, at.run.model_spread))
    lean = doubt * rng.standard_normal(len(people.bodies))
    found = judge_sizes(
        at.run, needed(at.run, people.bodies), lean=lean, shorter=at.shorter, longer=at.longer
    )
    return np.where(found.named == NONE, len(at.run.sizes), found.named)


def forecasts(
    at: Bench,
    people: People,
    questions: Sequence[Question],
    *,
    model: BodyModel,
    share_of_men: float,
    draws: int,
) -> FloatArray:
    """Chance of each size and of none for each person, (n, S + 1) [1]."""
    cockpits = [stood.cockpits for stood in at.builds.stands]
    found = []
    for i, sex in enumerate(people.sexes):
        given = [Measurement(q[0], float(people.told[q][i]), q[1]) for q in questions]
        belief = condition(given, sex=sex, share_of_men=share_of_men, model=model)
        fit = size_up(belief, at.run, cockpits, given=given, draws=draws)
        found.append([*(size.best for size in fit.sizes), fit.none])
    return np.array(found)


def report(name: str, scores: Scores) -> str:
    """One line of scores."""
    return (
        f"  {name:44s} right {100 * scores.accuracy:4.1f} %, Brier {scores.brier:.3f}, "
        f"log loss {scores.log_loss:.3f}, calibration error {100 * scores.top_error:.1f} points "
        f"(by sampling alone {100 * scores.sampling:.1f})"
    )


def served(found: FitCheck) -> str:
    """Whom the sizes serve, in two lines."""
    none, one, two, more = (100 * share for share in found.fitting)
    return (
        f"  of {found.people} in the chart's range fit as sold: none {none:.1f} %, one {one:.1f}, "
        f"two {two:.1f}, three {more:.1f}; named the chart's size {100 * found.with_chart:.1f} %, "
        f"two off {100 * found.two_off:.2f}\n"
        f"  still fits with grips ±10 mm {100 * found.grips_kept:.1f} %, with windows ±1° "
        f"{100 * found.windows_kept:.1f} %; growing bodies named a smaller size or skipping one: "
        f"{len(found.backward)}"
    )


def evaluate(path: Path, *, people: int, draws: int) -> Iterator[str]:
    """Run the evaluation on a survey file; its report, a piece at a time."""
    with tempfile.TemporaryDirectory() as folder:
        catalogues = shipped_catalogues(Path(folder))
    whole = read_survey(path)
    train, held = split(whole, share=SHARE_HELD_OUT, seed=SEED)
    model = fit_body_model(train)
    men = len(train["man"]) / sum(map(len, train.values()))
    everybody = Bodies(np.concatenate(list(whole.values())))
    for catalogue in catalogues.values():
        for style in catalogue.styles:
            rng = np.random.default_rng(SEED)
            at = bench(catalogue, style)
            known, unseen = (
                _inside(at.run, gather(part, rng, most=most))
                for part, most in ((train, None), (held, people))
            )
            yield f"{catalogue.model.name}, {style.name}: tried on {len(unseen.sexes)} others"
            yield served(check_fit(at.run, everybody))
            yield from _scored(at, known, unseen, rng, model=model, men=men, draws=draws)


def _inside(run: Run, people: People) -> People:
    """Those inside the builder's range: whom the sizes are for."""
    kept = in_range(run, people.bodies["stature"])
    told = {question: values[kept] for question, values in people.told.items()}
    sexes = tuple(sex for sex, k in zip(people.sexes, kept, strict=True) if k)
    return People(Bodies(people.bodies.values[kept]), sexes, told)


def _scored(
    at: Bench,
    known: People,
    unseen: People,
    rng: np.random.Generator,
    *,
    model: BodyModel,
    men: float,
    draws: int,
) -> Iterator[str]:
    """Scores of the rules to beat and of the sizing, a line each."""
    classes = len(at.run.sizes) + 1
    learnt, truth = choices(at, known, rng), choices(at, unseen, rng)
    for name, question in (("chart of height", STATURE), ("chart of inseam", INSEAM)):
        chart = fit_chart(known.told[question], learnt, classes=classes, bands=BANDS)
        yield report(name, score(chart.probabilities(unseen.told[question]), truth))
    losses = []
    for questions in ASKED:
        told = " + ".join(NAMES[question] for question in questions) + " + sex"
        plain = fit_regression(known.readings(questions), learnt, classes=classes)
        yield report(
            f"regression: {told}", score(plain.probabilities(unseen.readings(questions)), truth)
        )
        chances = forecasts(at, unseen, questions, model=model, share_of_men=men, draws=draws)
        found = score(chances, truth)
        losses.append(found.log_loss)
        yield report(f"sizing: {told}", found)
    falls = ", ".join(f"{after - before:+.3f}" for before, after in pairwise(losses))
    yield f"  log loss of the sizing changes with each further measurement by {falls}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Reliability of the sizing on unseen people.")
    parser.add_argument("survey", type=Path)
    parser.add_argument("--people", type=int, default=1500)
    parser.add_argument("--draws", type=int, default=400)
    options = parser.parse_args()
    for piece in evaluate(options.survey, people=options.people, draws=options.draws):
        sys.stdout.write(f"{piece}\n")
        sys.stdout.flush()
