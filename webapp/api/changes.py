"""What changed between two published revisions, as JSON."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from webapp.common.errors import Invalid
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.office.revision_changes.side_by_side import CHOSEN, as_data, changes_between

router = APIRouter(prefix="/api/v1")

Start = Annotated[int, Query(alias="from", ge=1, le=9999, description="revision compared from")]
End = Annotated[int, Query(ge=1, le=9999, description="revision compared to")]


@router.get("/models/{model}/changes", summary="What changed between two revisions")
def changes(
    model: str, *, request: Request, session: PublicSession, start: Start, to: End
) -> dict[str, Any]:
    """Two revisions side by side: every drawn number, and every figure of one build.

    The build's fields are those of its address: ``fork``, ``tyre_front``, ``tyre_rear``,
    ``headset``, ``slot``; what is left out is the builder's usual choice.
    """
    query = query_of_request(request)
    known = {"from", "to", *CHOSEN}
    for name in query:
        if name not in known:
            raise Invalid(name[:60], ", ".join(query[name]), f"one of {', '.join(sorted(known))}")
    found = changes_between(session, model, (start, to), query)
    if found.problems:
        raise Invalid.of(found.problems)
    return as_data(found)
