"""The head of the shop's papers, from its settings."""

from __future__ import annotations

from webapp.catalogue.schema.shop import ShopSettings
from webapp.common.text.countries import country_name
from webapp.quote.freezing.content import Letterhead


def letterhead_of(shop: ShopSettings) -> Letterhead:
    """Name, address with its country, and mark, as they are today."""
    address = shop.letterhead
    country = (country_name(address.country),) if address.country else ()
    own = address.model_dump(exclude={"country", "lines"})
    return Letterhead(lines=(*address.lines, *country), mark=shop.look.mark, **own)
