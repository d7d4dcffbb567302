"""Pages of the drawing office; every one is the builder's alone."""

from __future__ import annotations

from fastapi import APIRouter

from webapp.office.pages import (
    bench,
    changes,
    effect,
    grid,
    imports,
    keeping,
    names,
    parts,
    prices,
    publishing,
    revisions,
    settings,
    sizes,
)

ROOMS = (
    revisions,
    imports,
    parts,
    prices,
    settings,
    names,
    keeping,
    bench,
    changes,
    publishing,
    sizes,
    effect,
    grid,
)

router = APIRouter(include_in_schema=False)
for _room in ROOMS:
    router.include_router(_room.router)
