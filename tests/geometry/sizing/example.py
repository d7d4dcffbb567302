"""People and a run of the example's sizes, shared by the tests of sizing."""

from __future__ import annotations

from functools import cache

import numpy as np

from geometry.examples import example_cockpits, example_run
from geometry.rider import Bodies, condition

RUN = example_run()
COCKPITS = example_cockpits()


@cache
def people(count: int = 400) -> Bodies:
    """Adults of both sexes."""
    return condition([]).draw(count, np.random.default_rng(12))
