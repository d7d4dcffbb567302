"""The state a build is drawn in, and links to the others."""

from __future__ import annotations

from collections.abc import Iterable

from webapp.builds.choice.build_choice import Query, ReadChoice
from webapp.builds.solving.solver_inputs import STATE_NAMES, UNLOADED
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.web.choices import Link

STATE_KEY = "state"
"""How the address says which state is drawn; without it, unloaded."""


def state_in(query: Query, read: ReadChoice) -> tuple[str, ReadChoice]:
    """The state asked for, and the reading with a problem noted where there is none of that name.

    Parameters
    ----------
    query : mapping of str to sequence of str
    read : ReadChoice

    Returns
    -------
    str, ReadChoice
    """
    given = query.get(STATE_KEY, ())
    if not given or given[-1] in STATE_NAMES:
        return (given[-1] if given else UNLOADED), read
    remedy = tr("one of {choices}", choices=", ".join(STATE_NAMES.values()))
    return UNLOADED, read.noting([Problem(STATE_KEY, given[-1], remedy)])


def with_state(address: str, state: str) -> str:
    """A build's address that opens with a state drawn.

    >>> with_state("/build/knapweed?size=m", "sagged"), with_state("/build/knapweed", "unloaded")
    ('/build/knapweed?size=m&state=sagged', '/build/knapweed')
    """
    return address if state == UNLOADED else f"{address}&{STATE_KEY}={state}"


def state_links(address: str, states: Iterable[str], drawn: str) -> tuple[Link, ...]:
    """A link to each state of a build, the one drawn marked."""
    return tuple(
        Link(label=STATE_NAMES[state], address=with_state(address, state), present=state == drawn)
        for state in states
    )
