"""The demo's sizes follow the rider's stature, and every size is somebody's best."""

from __future__ import annotations

from webapp.catalogue.reading.views import Catalogue
from webapp.fit.advice import fit
from webapp.rider.rider_input import read_rider


def likeliest(catalogue: Catalogue, stature: int) -> str:
    """The size most often best, for a body whose inseam is the usual share of its stature.

    Crotch height over stature is .48 on average in the 2012 survey the body model
    is made from (Natick/TR-15/007).
    """
    query = {"stature": [str(stature)], "inseam": [str(round(stature * 0.48))]}
    rider = read_rider(catalogue, query).rider
    return max(fit(catalogue, rider).sizes, key=lambda size: size.best).slug


def test_sizes_follow_the_stature(trail: Catalogue) -> None:
    order = [size.slug for size in trail.sizes]
    found = [order.index(likeliest(trail, stature)) for stature in range(1580, 2000, 30)]
    assert found == sorted(found)
    assert set(found) == set(range(len(order)))
