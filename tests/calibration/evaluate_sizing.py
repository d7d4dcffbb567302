"""How true the chances of a size are, on measured people the model has not seen.

    python -m tests.calibration.evaluate_sizing SURVEY.csv

The body model is fitted to a training part of the survey. For each person of the
held-out part the best size by all landmarks is the truth. The sizing gets only
what a rider would give, with simulated errors of reading (and, for told stature,
its bias), and is scored against that truth: reliability by decile, Brier score,
accuracy; so are two charts, of stature and of inseam, fitted to the training part.
Truth and estimate share one posture model: this judges the chances, not the windows.
The committed model (`geometry.rider.body_data`) uses the whole survey.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from geometry.core.angles import FloatArray
from geometry.examples.fitting import STYLES, example_grid
from geometry.rider.body import (
    Bodies,
    BodyModel,
    Landmark,
    Measurement,
    Sex,
    Way,
    fit_body_model,
    measuring_error,
)
from geometry.rider.body_estimate import condition
from geometry.rider.windows import PostureWindows
from geometry.sizing.distance import NONE, judge
from geometry.sizing.posture_figures import CockpitGrid
from tests.calibration.charts import fit_chart
from tests.calibration.survey import Survey, read_survey, split

SHARE_HELD_OUT = 0.35
SEED = 7
DECILES = 10
BANDS = 9

Question = tuple[Landmark, Way]
STATURE: Question = ("stature", "told")
INSEAM: Question = ("crotch_height", "self_measured")
SPAN: Question = ("span", "self_measured")
NOTCH: Question = ("sternal_notch_height", "self_measured")


@dataclass(frozen=True, eq=False)
class People:
    """Measured people with what they would say of themselves.

    Parameters
    ----------
    bodies : Bodies
        n people, all landmarks.
    sexes : tuple of Sex, length n
        One each.
    told : dict
        For each question the readings of all, (n,) [mm].
    best : array of int, shape (n,)
        Best size by all landmarks; the number of sizes stands for none.
    suits : array of bool, shape (n, S + 1)
        Which sizes are acceptable by all landmarks; none suits where no size does.
    """

    bodies: Bodies
    sexes: tuple[Sex, ...]
    told: dict[Question, FloatArray]
    best: NDArray[np.intp]
    suits: NDArray[np.bool_]


def gather(
    survey: Survey, grid: CockpitGrid, windows: PostureWindows, rng: np.random.Generator
) -> People:
    """People of a survey with simulated readings and their best size by all landmarks."""
    bodies = Bodies(np.concatenate(list(survey.values())))
    sexes = tuple(sex for sex, people in survey.items() for _ in people)
    told = {}
    for question in (STATURE, INSEAM, SPAN, NOTCH):
        landmark, way = question
        true = bodies[landmark]
        bias = [Measurement(landmark, float(true[0]), way).bias(sex) for sex in sexes]
        noise = measuring_error(landmark, way) * rng.standard_normal(len(true))
        told[question] = true + np.array(bias) + noise
    found = judge(bodies, grid, windows)
    best = np.where(found.best == NONE, len(grid.sizes), found.best)
    suits = np.vstack([found.acceptable, found.best == NONE]).T
    return People(bodies, sexes, told, best, suits)


def forecasts(
    people: People,
    questions: Sequence[Question],
    *,
    with_sex: bool,
    model: BodyModel,
    share_of_men: float,
    grid: CockpitGrid,
    windows: PostureWindows,
    draws: int,
) -> FloatArray:
    """Chance of each size and of none for each person, (n, S + 1) [1]."""
    found = []
    for i, sex in enumerate(people.sexes):
        given = [Measurement(q[0], float(people.told[q][i]), q[1]) for q in questions]
        belief = condition(
            given, sex=sex if with_sex else None, share_of_men=share_of_men, model=model
        )
        bodies = belief.draw(draws, np.random.default_rng(SEED))
        found.append(judge(bodies, grid, windows).shares())
    return np.array(found)


@dataclass(frozen=True)
class Scores:
    """Scores of a forecast against the truth.

    Parameters
    ----------
    accuracy : float
        Share of people whose likeliest size is the best one [1].
    suiting : float
        Share of people to whom their likeliest size is acceptable [1].
    brier : float
        Mean sum of squares of chance minus outcome over the classes [1].
    top_error, all_error : float
        Calibration error: mean distance between chance and frequency by decile of
        the chance, weighted by numbers; of the likeliest size, and of every size [1].
    sampling : float
        The top error that perfect chances would show with so many people [1].
    table : tuple
        A row a decile of the likeliest size's chance: people, mean chance, frequency.
    """

    accuracy: float
    suiting: float
    brier: float
    top_error: float
    all_error: float
    sampling: float
    table: tuple[tuple[int, float, float], ...]


def score(chances: FloatArray, best: NDArray[np.intp], suits: NDArray[np.bool_]) -> Scores:
    """Score chances (n, classes) against best (n,) and suiting classes (n, classes)."""
    outcome = np.eye(chances.shape[1])[best]
    top = chances.argmax(axis=1)
    rows = reliability(chances.max(axis=1), (top == best).astype(float))
    every = reliability(chances.ravel(), outcome.ravel())
    return Scores(
        accuracy=float((top == best).mean()),
        suiting=float(suits[np.arange(len(top)), top].mean()),
        brier=float(((chances - outcome) ** 2).sum(axis=1).mean()),
        top_error=calibration_error(rows),
        all_error=calibration_error(every),
        sampling=sampling_error(rows),
        table=rows,
    )


def reliability(chance: FloatArray, happened: FloatArray) -> tuple[tuple[int, float, float], ...]:
    """Rows of number, mean chance and frequency by tenths of the chance."""
    group = np.minimum((chance * DECILES).astype(int), DECILES - 1)
    kept = (group == i for i in range(DECILES))
    return tuple(
        (int(k.sum()), float(chance[k].mean()), float(happened[k].mean())) for k in kept if k.any()
    )


def calibration_error(rows: Sequence[tuple[int, float, float]]) -> float:
    """Mean distance between chance and frequency, weighted by numbers [1]."""
    total = sum(count for count, _, _ in rows)
    return sum(count * abs(chance - frequency) for count, chance, frequency in rows) / total


def sampling_error(rows: Sequence[tuple[int, float, float]]) -> float:
    """Calibration error expected of perfect chances: mean of a folded normal a row [1]."""
    total = sum(count for count, _, _ in rows)
    spreads = (np.sqrt(count * chance * (1.0 - chance)) for count, chance, _ in rows)
    return float(np.sqrt(2.0 / np.pi) * sum(spreads) / total)


def report(name: str, scores: Scores) -> str:
    """One line of scores."""
    return (
        f"{name:36s} best {100 * scores.accuracy:4.1f} %, suits {100 * scores.suiting:4.1f} %, "
        f"Brier {scores.brier:.3f}, calibration error {100 * scores.top_error:.1f} points "
        f"(by sampling alone {100 * scores.sampling:.1f}), "
        f"of every size {100 * scores.all_error:.1f}"
    )


def table(scores: Scores) -> str:
    """Reliability by decile, a row a line."""
    head = "    chance said   came true   people\n"
    return head + "\n".join(
        f"    {100 * chance:8.1f} %  {100 * frequency:8.1f} %   {count:6d}"
        for count, chance, frequency in scores.table
    )


def evaluate(path: Path, *, style: str, draws: int) -> Iterator[str]:
    """Run the evaluation on a survey file; its report, a piece at a time."""
    grid, windows = example_grid(), STYLES[style]
    train, held = split(read_survey(path), share=SHARE_HELD_OUT, seed=SEED)
    rng = np.random.default_rng(SEED)
    model = fit_body_model(train)
    known, unseen = (gather(part, grid, windows, rng) for part in (train, held))
    classes = len(grid.sizes) + 1
    counts = np.bincount(unseen.best, minlength=classes)
    yield f"style {style}; fitted to {len(known.best)} people, tried on {len(unseen.best)} others"
    yield "best by all landmarks: " + ", ".join(
        f"{n} {c}" for n, c in zip((*grid.sizes, "none"), counts, strict=True)
    )
    for name, question in (("stature", STATURE), ("inseam", INSEAM)):
        chart = fit_chart(known.told[question], known.best, classes=classes, bands=BANDS)
        scores = score(chart.probabilities(unseen.told[question]), unseen.best, unseen.suits)
        yield report(f"chart of {name}", scores)
    for questions, with_sex in (
        ((STATURE,), False),
        ((STATURE,), True),
        ((INSEAM,), False),
        ((STATURE, INSEAM), False),
        ((STATURE, INSEAM), True),
        ((STATURE, INSEAM, SPAN), True),
        ((STATURE, INSEAM, SPAN, NOTCH), True),
    ):
        chances = forecasts(
            unseen,
            questions,
            with_sex=with_sex,
            model=model,
            share_of_men=len(train["man"]) / len(known.best),
            grid=grid,
            windows=windows,
            draws=draws,
        )
        names = {"crotch_height": "inseam", "sternal_notch_height": "notch"}
        name = " + ".join(names.get(q[0], q[0]) for q in questions) + " + sex" * with_sex
        scores = score(chances, unseen.best, unseen.suits)
        yield report(name, scores)
        yield table(scores)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Reliability of the sizing on unseen people.")
    parser.add_argument("survey", type=Path)
    parser.add_argument("--style", choices=sorted(STYLES), default="trail")
    parser.add_argument("--draws", type=int, default=2000)
    options = parser.parse_args()
    for piece in evaluate(options.survey, style=options.style, draws=options.draws):
        sys.stdout.write(f"{piece}\n")
        sys.stdout.flush()
