"""Pages of the drawing office: for the builder alone, except the bench, which staff use too."""

from __future__ import annotations

from fastapi import APIRouter

from webapp.office.bench import correcting_pages, record_pages, serial_pages
from webapp.office.bench import pages as bench
from webapp.office.coverage import pages as coverage
from webapp.office.effect import pages as effect
from webapp.office.effect import range_pages
from webapp.office.history import pages as history
from webapp.office.models import managing_pages
from webapp.office.models import pages as models
from webapp.office.outcome_findings import pages as outcome_findings
from webapp.office.own_shop import pages as own_shop
from webapp.office.part_changes import pages as part_changes
from webapp.office.parts import import_pages, part_pages
from webapp.office.parts import pages as parts
from webapp.office.prices import pages as prices
from webapp.office.prices import rise_pages
from webapp.office.prices import scope_pages as price_scopes
from webapp.office.revision_changes import pages as revision_changes
from webapp.office.revisions import grid_pages, publish_pages, size_pages
from webapp.office.revisions import pages as revisions
from webapp.office.settings import (
    section_pages,
    style_list_pages,
    style_pages,
    trade_name_pages,
)

PAGES = (
    own_shop,
    models,
    managing_pages,
    revisions,
    part_changes,
    import_pages,
    parts,
    part_pages,
    prices,
    price_scopes,
    rise_pages,
    style_list_pages,
    style_pages,
    trade_name_pages,
    section_pages,  # after those: it takes every other name below the settings
    history,
    bench,
    serial_pages,
    correcting_pages,
    record_pages,
    revision_changes,
    publish_pages,
    size_pages,
    effect,
    range_pages,
    coverage,
    outcome_findings,
    grid_pages,
)

router = APIRouter(include_in_schema=False)
for _pages in PAGES:
    router.include_router(_pages.router)
