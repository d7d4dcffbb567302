"""Pages of the counter, gathered in one router guarded for staff."""

from fastapi import APIRouter

from webapp.accounts.dependencies import STAFF_ONLY
from webapp.counter.customers import pages as customers
from webapp.counter.pages import (
    changing,
    desk,
    handing_over,
    making,
    measuring,
    orders,
    outcomes,
    quotes,
    records,
    reminding,
)

# Guarded as a whole, so that no page of the counter can be left unguarded.
router = APIRouter(include_in_schema=False, dependencies=[STAFF_ONLY])
for _each in (
    desk, customers, measuring, making, changing, records, outcomes, orders, handing_over, quotes,
    reminding,
):  # fmt: skip
    router.include_router(_each.router)
