"""Pages of the drawing office; every one is the builder's alone."""

from __future__ import annotations

from fastapi import APIRouter

from webapp.office.pages import grid, publishing, revisions, sizes

router = APIRouter(include_in_schema=False)
for _room in (revisions, publishing, sizes, grid):
    router.include_router(_room.router)
