"""The position that *fit* advises: that of the size it names first."""

from __future__ import annotations

from geometry.search import Target
from webapp.builds.evaluation import compute
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.fit.advice import fit
from webapp.rider.rider_input import Rider


def fitted_target(catalogue: Catalogue, rider: Rider | None) -> Target | None:
    """Grips and saddle as fit advises them; None where nothing is known, or nothing fits."""
    if rider is None or not rider.known:
        return None
    try:
        named = fit(catalogue, rider).named
        if named is None:
            return None
        state = compute(catalogue, named.choice).states[UNLOADED]
    except Invalid:
        return None
    (gx, gy), (sx, sy) = state.hands.grips, state.seated.saddle
    return Target(grip=(float(gx), float(gy)), saddle=(float(sx), float(sy)))
