"""Pages of accounts, gathered in one router."""

from fastapi import APIRouter

from webapp.accounts.pages import people, refusals, signing_in

router = APIRouter(include_in_schema=False)
router.include_router(signing_in.router)
router.include_router(people.router)
router.include_router(refusals.router)
