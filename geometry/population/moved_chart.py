"""A size chart moved so that its line says what riders want."""

from __future__ import annotations

import numpy as np

from geometry.core import FloatArray
from geometry.sizing import Run, needed, usual_bodies

_STATURES = np.arange(1200.0, 2301.0, 2.0)


def chart_moves(run: Run, *, offset: float, slope: float) -> FloatArray:
    """How far the statures of each size have to move for a line that was learnt.

    With ``line(s)`` the length the chart asks for at a stature s, and p(s) the place of
    s on the run, the line wanted is ``line(s) + offset + slope * (p(s) − middle)``; each
    size's middle moves to the stature at which that line asks for the size's own length.

    Parameters
    ----------
    run : Run
    offset : float
        Longer than the chart asks for [mm].
    slope : float
        The same for each size away from the middle of the run [mm a size].

    Returns
    -------
    array, shape (S,)
        Upwards positive [mm of stature].

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> chart_moves(example_run(), offset=-10.0, slope=0.0).round().tolist()
    [32.0, 32.0, 32.0, 32.0, 32.0]
    """
    line = needed(run, usual_bodies(_STATURES)).by_chart - run.longer_by
    place = run.chart.size_for(_STATURES) - 0.5 * (len(run.sizes) - 1)
    wanted = line + offset + slope * place
    now, then = (np.interp(run.given, each, _STATURES) for each in (line, wanted))
    return np.asarray(then - now)
