"""Pages of accounts, gathered in one router."""

from fastapi import APIRouter

from webapp.accounts.pages import (
    confirming,
    own_address,
    people,
    refusals,
    second_step,
    sign_in_code,
    signing_in,
)

router = APIRouter(include_in_schema=False)
router.include_router(signing_in.router)
router.include_router(sign_in_code.router)
router.include_router(confirming.router)
router.include_router(second_step.router)
router.include_router(own_address.router)
router.include_router(people.router)
router.include_router(refusals.router)
