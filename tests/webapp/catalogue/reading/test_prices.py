"""What a part or a frame costs whom, where and when: lists that are valid side by side."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import Engine

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.pricing import price_of
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.prices import EVERYBODY, Buyer, buyer_of, prices_for
from webapp.catalogue.writing.parts import put_frame_price, put_part_price, put_price_list
from webapp.catalogue.writing.price_scopes import put_scope, remove_scope
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import reading, writing

WHO, DAY = "the builder", date(2026, 11, 1)
DEALERS, NORTH = Buyer(group="dealers"), Buyer(region="north")
BOTH = Buyer(group="dealers", region="north")


@pytest.fixture
def lists(shop: Engine) -> Engine:
    """Beside the list for everybody: one for dealers, one for the north, one for both."""
    own: list[tuple[str, str, str, date, int]] = [
        ("dealers", "dealers", "", date(2026, 1, 1), 5000),
        ("dealers-new", "dealers", "", date(2026, 12, 1), 5100),
        ("north", "", "north", date(2026, 10, 1), 8000),
        ("north-dealers", "dealers", "north", date(2026, 1, 1), 6000),
    ]
    with writing(shop) as session:
        put_scope(session, who=WHO, kind="group", slug="dealers", name="Dealers")
        put_scope(
            session, who=WHO, kind="region", slug="north", name="North", countries=("NO", "SE")
        )
        for slug, group, region, begin, minor in own:
            put_price_list(session, who=WHO, slug=slug, name=slug, currency="EUR",
                           valid_from=begin, tax_included=True, customer_group=group,
                           region=region)  # fmt: skip
            put_part_price(session, who=WHO, price_list=slug, kind="stem", slug="40-0", minor=minor)
        put_frame_price(session, who=WHO, price_list="north", model="knapweed", minor=200000)
    return shop


@pytest.mark.parametrize(
    ("buyer", "day", "stem", "frame"),
    [
        (EVERYBODY, DAY, 6900, 0),
        (Buyer(group="club", region="south"), DAY, 6900, 0),  # nobody's: as everybody
        (DEALERS, DAY, 5000, 0),
        (DEALERS, date(2026, 12, 1), 5100, 0),  # the newer list counts from its day
        (NORTH, DAY, 8000, 200000),
        (NORTH, date(2026, 9, 30), 6900, 0),
        (BOTH, DAY, 6000, 200000),  # what the closest does not name, the next one says
    ],
)
def test_the_closest_list_counts(
    lists: Engine, buyer: Buyer, day: date, stem: int, frame: int
) -> None:
    with reading(lists) as session:
        found = prices_for(session, buyer, day)
        usual = prices_for(session, EVERYBODY, day)
        built = load_catalogue(session, "knapweed", on=day, buyer=buyer)
    price = found.part("stem", "40-0")
    assert price is not None
    assert price.minor == stem
    assert found.minor["frame/knapweed"] == (frame or usual.minor["frame/knapweed"])
    assert built.part("stem", "40-0").price == price
    lines = {line.key: line.amount for line in price_of(built, read_choice(built, {}).choice).lines}
    at = lines["frame"]
    assert at is not None
    assert frame in (0, at.minor)


def test_no_price_is_taken_over_from_another_currency_or_tax(lists: Engine) -> None:
    with writing(lists) as session:
        for slug, currency, included in (("net", "EUR", False), ("usd", "USD", True)):
            put_price_list(session, who=WHO, slug=slug, name=slug, currency=currency,
                           valid_from=date(2026, 2, 1), tax_included=included,
                           customer_group="dealers", region="")  # fmt: skip
            put_part_price(session, who=WHO, price_list=slug, kind="stem", slug="40-0", minor=1)
            assert dict(prices_for(session, DEALERS, DAY).minor) == {"stem/40-0": 1}


def test_a_region_is_found_by_the_country_and_goes_only_unused(lists: Engine) -> None:
    with writing(lists) as session:
        assert buyer_of(session, group="dealers", country="SE") == BOTH
        assert buyer_of(session, country="DE") == EVERYBODY
        with pytest.raises(Conflict, match="no price list is for"):
            remove_scope(session, who=WHO, kind="region", slug="north")
        put_scope(session, who=WHO, kind="region", slug="far", name="Far", countries=("AU",))
        remove_scope(session, who=WHO, kind="region", slug="far")
        assert buyer_of(session, country="AU") == EVERYBODY
        with pytest.raises(Invalid, match="two letters"):
            put_scope(session, who=WHO, kind="region", slug="x", name="X", countries=("Nowhere",))
        with pytest.raises(Invalid, match="add it first"):
            put_price_list(session, who=WHO, slug="z", name="Z", currency="EUR",
                           valid_from=DAY, tax_included=True, region="far")  # fmt: skip
