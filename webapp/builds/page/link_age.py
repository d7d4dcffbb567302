"""Whether what a link showed has changed since: its prices, or the frame's revision.

A link that is shared or kept says in its field ``seen`` what the build came to, as a
short hash: enough to tell that it comes to something else now, and no more.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from webapp.builds.choice.build_choice import BuildChoice, pairs_of
from webapp.builds.evaluation import BuildResult
from webapp.common.text.language import tr
from webapp.pricing.totals import printed_money

SEEN_KEY = "seen"
_LETTERS = 8


@dataclass(frozen=True, kw_only=True)
class LinkAge:
    """What has changed since a link was made; empty texts where nothing has."""

    price: str = ""
    revision: str = ""
    newest_address: str = ""

    @property
    def known(self) -> bool:
        """Whether something has changed."""
        return bool(self.price or self.revision)


def seen_of(result: BuildResult) -> str:
    """A short hash of what a build costs now, as a link carries it."""
    gross = result.price.gross
    told = f"{gross.minor} {gross.currency} {len(result.price.unpriced)}"
    return hashlib.sha256(told.encode()).hexdigest()[:_LETTERS]


def with_seen(address: str, result: BuildResult | None) -> str:
    """The address of a build with that hash; unchanged where a price is unknown."""
    return f"{address}&{urlencode({SEEN_KEY: seen_of(result)})}" if result else address


def link_age(
    query: Mapping[str, Sequence[str]],
    choice: BuildChoice,
    result: BuildResult | None,
    *,
    newest: int,
) -> LinkAge:
    """What has changed since a link was made.

    Parameters
    ----------
    query : mapping of str to sequence of str
        Of the request.
    choice : BuildChoice
    result : BuildResult or None
    newest : int
        The revision of the model that is offered now.

    Returns
    -------
    LinkAge
    """
    seen = next(iter(query.get(SEEN_KEY, ())), "")
    dearer = bool(seen) and result is not None and seen != seen_of(result)
    older = choice.revision < newest
    return LinkAge(
        price=tr(
            "Prices have changed since this link was made: it comes to {total} now.",
            total=printed_money(result.price.gross),
        )
        if dearer and result is not None
        else "",
        revision=tr(
            "This is revision {old}; revision {newest} has been published since.",
            old=choice.revision,
            newest=newest,
        )
        if older
        else "",
        newest_address=_in_revision(choice, newest) if older else "",
    )


def _in_revision(choice: BuildChoice, number: int) -> str:
    pairs = [(name, str(number) if name == "rev" else value) for name, value in pairs_of(choice)]
    return f"/build/{choice.model}?{urlencode(pairs)}"
