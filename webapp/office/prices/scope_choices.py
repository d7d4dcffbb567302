"""Groups of customers and regions, as a price list's form offers them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.reading.prices import Scope, groups, regions
from webapp.common.text.language import tr
from webapp.common.web.choices import Option


@dataclass(frozen=True, kw_only=True)
class ScopeChoices:
    """Whom and where a list can be for; empty where the shop keeps none."""

    groups: tuple[Option, ...]
    regions: tuple[Option, ...]


def scope_choices(session: Session) -> ScopeChoices:
    """What can be chosen, everybody and everywhere first."""
    return ScopeChoices(
        groups=_choices(groups(session), tr("everybody")),
        regions=_choices(regions(session), tr("everywhere")),
    )


def _choices(scopes: tuple[Scope, ...], without: str) -> tuple[Option, ...]:
    if not scopes:
        return ()
    own = (Option(value=each.slug, label=each.name) for each in scopes)
    return (Option(value="", label=without), *own)
