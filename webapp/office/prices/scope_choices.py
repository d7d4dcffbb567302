"""Groups of customers and regions, as a price list's form offers them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.reading.prices import Scope, groups, regions
from webapp.common.text.language import tr
from webapp.office.forms.field_words import Choice


@dataclass(frozen=True, kw_only=True)
class ScopeChoices:
    """Whom and where a list can be for; empty where the shop keeps none."""

    groups: tuple[Choice, ...]
    regions: tuple[Choice, ...]


def scope_choices(session: Session) -> ScopeChoices:
    """What can be chosen, everybody and everywhere first."""
    return ScopeChoices(
        groups=_choices(groups(session), tr("everybody")),
        regions=_choices(regions(session), tr("everywhere")),
    )


def _choices(scopes: tuple[Scope, ...], without: str) -> tuple[Choice, ...]:
    if not scopes:
        return ()
    own = (Choice(value=each.slug, label=each.name) for each in scopes)
    return (Choice(value="", label=without), *own)
