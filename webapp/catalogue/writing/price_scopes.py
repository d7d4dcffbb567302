"""Writes groups of customers and regions that prices can be for, through this module only."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator
from sqlmodel import Session

from webapp.catalogue.lookup import one
from webapp.catalogue.schema.fields import Data, Mismatch, Name, Slug
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import GROUP, REGION, PriceList, PriceScope
from webapp.catalogue.writing.change_log import forget, keep
from webapp.common.errors import Conflict, Invalid
from webapp.common.text.countries import countries as all_countries
from webapp.common.text.language import tr

KINDS = (GROUP, REGION)


class _Scope(Data):
    slug: Slug
    name: Name
    countries: Annotated[tuple[str, ...], Field(max_length=250)] = ()

    @model_validator(mode="after")
    def _known(self) -> _Scope:
        known = {code for code, _ in all_countries()}
        strangers = [code for code in self.countries if code not in known]
        if strangers:
            words = tr("countries by their two letters, such as NO SE DK; not {strangers}",
                       strangers=", ".join(strangers)[:80])  # fmt: skip
            raise Mismatch("countries", words)
        return self


def put_scope(
    session: Session, *, who: str, kind: str, slug: str, name: str, countries: tuple[str, ...] = ()
) -> PriceScope:
    """Add a group of customers or a region, or change the one of that slug.

    Parameters
    ----------
    kind : str
        ``group`` or ``region``.
    countries : tuple of str
        A region's, by their two letters.

    Raises
    ------
    Invalid
        For an unknown kind, a name that cannot be used, or what is no country.
    """
    if kind not in KINDS:
        raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(KINDS)))
    raw = {"slug": slug, "name": name, "countries": countries}
    valid = checked(_Scope, raw, at=slug)
    row = one(session, PriceScope, kind=kind, slug=slug)
    row = row or PriceScope(kind=kind, slug=slug, name=name)
    values = {"name": valid.name, "countries": list(valid.countries)}
    keep(session, row, who=who, key=f"{kind}/{slug}", **values)
    return row


def remove_scope(session: Session, *, who: str, kind: str, slug: str) -> None:
    """Take a group or region away; nothing happens when there was none.

    Raises
    ------
    Conflict
        While a price list is for it.
    """
    row = one(session, PriceScope, kind=kind, slug=slug)
    if row is None:
        return
    column = "customer_group" if kind == GROUP else "region"
    listed = one(session, PriceList, **{column: slug})
    if listed is not None:
        remedy = tr("one that no price list is for; {name} is", name=listed.name)
        raise Conflict(slug, row.name, remedy)
    forget(session, row, who=who, key=f"{kind}/{slug}")
