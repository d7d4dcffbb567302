"""How the load sits on the wheels, in sentences beside where it is set."""

from __future__ import annotations

from webapp.builds.fitting.calculations.front_share import loading_of
from webapp.builds.fitting.calculations.loads import bike_mass, rider_weight
from webapp.builds.fitting.calculations.setup import Setup
from webapp.common.text.language import tr


def load_words(setup: Setup) -> tuple[str, ...]:
    """When the front wheel lifts uphill, and the rear one while braking.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    tuple of str
        What would have to be known, where it is not.
    """
    if setup.choice.scope != "bike":
        return ()
    rider, luggage = rider_weight(setup), setup.choice.luggage or 0.0
    found = loading_of(setup, rider=rider, bike=bike_mass(setup).masses, luggage=luggage)
    if found is None:
        return (tr("Give the rider's measurements and weight to see here when a wheel lifts."),)
    front, rear = float(found.front_lift), float(found.pitch_over)
    return (
        tr(
            "Sitting right back, the front wheel lifts on a climb of {climb:.0f} %, or at "
            "{front:.2f} g of pull.",
            climb=100 * front,
            front=front,
        ),
        tr(
            "Braking, the rear wheel lifts at {rear:.2f} g, or on a descent of {descent:.0f} %; "
            "sooner with the rider further forward.",
            rear=rear,
            descent=100 * rear,
        ),
    )
