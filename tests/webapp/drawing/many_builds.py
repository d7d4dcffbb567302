"""Many builds of the demo's models as they are drawn, for what must hold on every drawing."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.evaluation import compute
from webapp.builds.page.picture import drawing_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.drawing.elevation import Layout

_SEED = 20261127
_PARTS = (
    "fork",
    "tyre_front",
    "tyre_rear",
    "headset",
    "stem",
    "handlebar",
    "post",
    "saddle",
    "finish",
)
_LAYOUTS: tuple[Layout, ...] = ("full", "compact")


def many_drawings(
    catalogues: Mapping[tuple[str, int], Catalogue], count: int
) -> Iterator[tuple[str, str]]:
    """Address of a build, and its drawing for wide and for narrow screens, every third ridden."""
    chance = random.Random(_SEED)  # noqa: S311  # the same builds every time, no secret
    shelves = list(catalogues.values())
    made = 0
    while made < count:
        catalogue = shelves[made % len(shelves)]
        query = _query(catalogue, chance, ridden=made % 3 == 2)
        read = read_choice(catalogue, {name: [value] for name, value in query.items()})
        try:
            result = compute(catalogue, read.choice)
        except Invalid:
            continue
        states = sorted(result.states)
        state = chance.choice(states) if made % 4 == 1 else "unloaded"
        yield (
            f"{catalogue.model.slug} {query} {state}",
            "".join(drawing_of(result, layout=layout, state=state) for layout in _LAYOUTS),
        )
        made += 1


def _query(catalogue: Catalogue, chance: random.Random, *, ridden: bool) -> dict[str, str]:
    query = {
        "size": chance.choice(catalogue.sizes).slug,
        "slot": f"{chance.uniform(0.0, 24.0):.1f}",
        "spacers": str(chance.randrange(0, 40, 5)),
        "saddle_height": str(chance.randrange(560, 860)),
    }
    for place in _PARTS:
        offered = catalogue.offered(PLACE_OF[place].kind)
        if chance.random() < 0.5 and offered:
            query[place] = chance.choice(offered).slug
    if ridden:
        stature = chance.randrange(1480, 2000)
        query |= {
            "stature": f"{stature} mm",
            "inseam": f"{stature * chance.uniform(0.44, 0.49):.0f} mm",
        }
    return query
