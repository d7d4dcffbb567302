"""Reading a survey of measured bodies from a CSV file, for calibration only.

The survey is ANSUR II, the 2012 Anthropometric Survey of U.S. Army Personnel
(Gordon et al., Technical Report NATICK/TR-15/007, public release). Its rows are
people and stay outside the repository; only means, spreads and correlations
computed from them are committed.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from geometry.core.angles import FloatArray
from geometry.rider.body import LANDMARKS, Landmark, Sex

COLUMNS: dict[Landmark, str] = {
    "stature": "stature",
    "crotch_height": "crotchheight",
    "trochanterion_height": "trochanterionheight",
    "knee_height": "lateralfemoralepicondyleheight",
    "ankle_height": "lateralmalleolusheight",
    "acromial_height": "acromialheight",
    "sternal_notch_height": "suprasternaleheight",
    "upper_arm_length": "acromionradialelength",
    "forearm_length": "radialestylionlength",
    "elbow_to_grip_length": "forearmcenterofgriplength",
    "span": "span",
    "sitting_height": "sittingheight",
    "biacromial_breadth": "biacromialbreadth",
    "foot_length": "footlength",
    "ball_of_foot_length": "balloffootlength",
    "weight": "weightkg",
}
"""The survey's own column for each landmark of the body model."""

Survey = dict[Sex, FloatArray]
"""Bodies by sex, each (people, landmarks) in the order of `LANDMARKS` [mm, kg]."""


def read_survey(path: Path) -> Survey:
    """Read a survey file: a column `sex` (M or F) and the columns of `COLUMNS`.

    Parameters
    ----------
    path : Path
        CSV file with a header; lengths [mm], weight [kg].

    Returns
    -------
    Survey
        Bodies by sex, each of shape (people, landmarks).
    """
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    sexes: dict[str, Sex] = {"M": "man", "F": "woman"}
    people: dict[Sex, list[list[float]]] = {"man": [], "woman": []}
    for row in rows:
        people[sexes[row["sex"]]].append([float(row[COLUMNS[name]]) for name in LANDMARKS])
    return {sex: np.array(values) for sex, values in people.items()}


def split(survey: Survey, *, share: float, seed: int) -> tuple[Survey, Survey]:
    """Divide a survey at random into a training part and a held-out part.

    Parameters
    ----------
    survey : Survey
        Bodies by sex.
    share : float
        Share of the people held out [1].
    seed : int
        Seed of the shuffle; the same seed gives the same parts.

    Returns
    -------
    tuple of Survey
        Training part, held-out part.
    """
    rng = np.random.default_rng(seed)
    train: Survey = {}
    held: Survey = {}
    for sex, bodies in survey.items():
        order = rng.permutation(len(bodies))
        cut = round(share * len(bodies))
        held[sex], train[sex] = bodies[order[:cut]], bodies[order[cut:]]
    return train, held
