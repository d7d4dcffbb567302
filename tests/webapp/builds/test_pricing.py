"""Prices: every line counted once, tax and deposit rounded half up, nothing unpriced hidden."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType

import pytest

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.choice.places import SCOPES, Scope
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.pricing import PriceSheet, price_sheet
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.money import Money


def sheet_of(catalogue: Catalogue, **fields: str) -> PriceSheet:
    choice = read_choice(catalogue, {name: [value] for name, value in fields.items()}).strict()
    return price_sheet(Setup.of(catalogue, choice))


def with_one_priced_line(catalogue: Catalogue, minor: int, *, included: bool) -> Catalogue:
    """The catalogue with a frame of this price and every part for nothing."""
    free = {
        kind: tuple(replace(part, price=Money(0, "EUR")) for part in parts)
        for kind, parts in catalogue.parts.items()
    }
    settings = catalogue.settings.model_copy(
        update={"tax_percent": Decimal(19), "deposit_percent": Decimal(30)}
    )
    return replace(
        catalogue,
        parts=MappingProxyType(free),
        frame_price=Money(minor, "EUR"),
        tax_included=included,
        settings=settings,
    )


# By hand: 19 % of 1.19 within is 0.19; 1.00 × 19/119 = 0.1597; 0.03 × 19/119 = 0.0048;
# on top, 0.50 × 19 % = 0.095 and 0.29 × 19 % = 0.0551.
@pytest.mark.parametrize(
    ("minor", "included", "net", "tax", "gross"),
    [
        (119, True, 100, 19, 119),
        (100, True, 84, 16, 100),
        (3, True, 3, 0, 3),
        (100, False, 100, 19, 119),
        (50, False, 50, 10, 60),
        (29, False, 29, 6, 35),
        (0, False, 0, 0, 0),
    ],
)
def test_tax_within_and_on_top(
    trail: Catalogue, minor: int, included: bool, net: int, tax: int, gross: int
) -> None:
    sheet = sheet_of(with_one_priced_line(trail, minor, included=included))
    bill = sheet.priced.bill
    assert (bill.net.minor, bill.tax.minor, sheet.gross.minor) == (net, tax, gross)


# By hand: 30 % of 0.05 is 0.015, of 0.15 is 0.045, of 0.11 is 0.033.
@pytest.mark.parametrize(("gross", "deposit"), [(5, 2), (15, 5), (11, 3)])
def test_deposit_is_rounded_half_up(trail: Catalogue, gross: int, deposit: int) -> None:
    sheet = sheet_of(with_one_priced_line(trail, gross, included=True))
    assert sheet.deposit.minor == deposit


@pytest.mark.parametrize("included", [True, False])
def test_lines_add_up(trail: Catalogue, included: bool) -> None:
    sheet = sheet_of(replace(trail, tax_included=included), extra="cage")
    listed = sum(line.amount.minor for line in sheet.lines if line.amount)
    assert listed == (sheet.gross if included else sheet.priced.bill.net).minor
    assert sheet.priced.bill.net + sheet.priced.bill.tax == sheet.gross
    assert len({line.key for line in sheet.lines}) == len(sheet.lines)


@pytest.mark.parametrize("scope", SCOPES)
def test_scope_decides_what_is_sold(trail: Catalogue, scope: Scope) -> None:
    keys = {line.key for line in sheet_of(trail, scope=scope).lines}
    assert {"frame", "finish", "axle"} <= keys
    assert ({"fork", "headset"} <= keys) == (scope != "frame")
    assert ("stem" in keys) == (scope == "bike")
    assert any(key.startswith("labour-") for key in keys) == (scope == "bike")


def test_smaller_scopes_cost_less(trail: Catalogue) -> None:
    bike, frameset, frame = (sheet_of(trail, scope=scope).gross for scope in SCOPES)
    assert frame < frameset < bike


def test_a_surcharge_of_the_size_is_on_the_frames_line(trail: Catalogue) -> None:
    dearer = tuple(replace(size, surcharge=Money(1234, "EUR")) for size in trail.sizes)
    before = sheet_of(replace(trail, tax_included=True))
    after = sheet_of(replace(trail, sizes=dearer, tax_included=True))
    extra = after.gross.minor - before.gross.minor
    assert extra == 1234 - trail.size("m").surcharge.minor


def test_a_part_without_price_is_named_not_counted_as_nothing(trail: Catalogue) -> None:
    forks = tuple(replace(fork, price=None) for fork in trail.parts["fork"])
    sheet = sheet_of(replace(trail, parts=MappingProxyType({**trail.parts, "fork": forks})))
    usual = trail.standard("fork")
    assert usual is not None
    assert sheet.unpriced == (usual.name,)
    assert [line.amount for line in sheet.lines if line.key == "fork"] == [None]
