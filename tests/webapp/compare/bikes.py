"""Builds made for comparing."""

from __future__ import annotations

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue
from webapp.compare.bikes import Compared, compared_of


def bike(catalogue: Catalogue, **fields: str) -> Compared:
    """The build of an address, as it is compared."""
    choice = read_choice(catalogue, {name: [value] for name, value in fields.items()}).strict()
    return compared_of(compute(catalogue, choice))
