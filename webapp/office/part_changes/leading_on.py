"""Where somebody is led who has changed something."""

from __future__ import annotations

from fastapi.responses import RedirectResponse

from webapp.office.part_changes.drafts import Proposal


def led_on(made: Proposal | None, otherwise: str) -> RedirectResponse:
    """To the draft that waits to be looked at, or back where there is none."""
    waits = made is not None and made.is_draft
    at = f"/office/part-changes/{made.number}" if made is not None and waits else otherwise
    return RedirectResponse(at, 303)
