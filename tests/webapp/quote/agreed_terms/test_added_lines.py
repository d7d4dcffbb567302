"""Work and parts that are not in the catalogue: in the sum, in the tax, on no one's other line."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pypdf
import pytest
from sqlalchemy import Engine

from tests.webapp.quote.conftest import Ask
from tests.webapp.quote.freezing.test_pricing import ABROAD, EU, KEYS, basis, check_sums
from webapp.common.errors import Invalid
from webapp.quote.agreed_terms.deal import Added, Deal, Off, TradedIn, fields_of
from webapp.quote.agreed_terms.deal_form import read_deal
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.pricing import dealt_price
from webapp.quote.printing.pdf import Copy, quote_pdf

FIRM = ABROAD.model_copy(update={"slug": "firm", "needs_tax_number": True})
SPOKES = Added(words="Spare spoke", minor=150, count=8)
PAINT = Added(words="Rack painted", minor=9_000)
DEAL = Deal(added=(("added_1", SPOKES), ("added_3", PAINT)))
LISTED = 149_000 + 64_900 + 7_900


def read(**fields: str) -> Deal:
    return read_deal(fields, currency="EUR", lines=KEYS, places=(EU, FIRM), today=date(2026, 3, 2))


def test_it_is_counted_in_total_tax_and_deposit() -> None:
    price = dealt_price(basis(), DEAL, None)
    gross = LISTED + 8 * 150 + 9_000
    assert [(line.place, line.item, line.amount.minor) for line in price.lines[3:]] == [
        ("Also agreed", "8 × Spare spoke", 1_200),
        ("Also agreed", "Rack painted", 9_000),
    ]
    assert (price.gross.minor, price.tax.minor) == (gross, round(gross * 19 / 119))
    assert price.deposit.minor == round(gross * 0.3)
    check_sums(price)


def test_its_number_is_of_the_whole_quote_and_the_discount_on_the_whole_takes_it_in() -> None:
    off = Off(percent=Decimal(10), reason="club")
    price = dealt_price(basis(), DEAL.model_copy(update={"quantity": 2, "whole": off}), None)
    assert price.gross.minor == round((2 * LISTED + 10_200) * 0.9)
    check_sums(price)


def test_prices_without_tax_get_it_on_top() -> None:
    price = dealt_price(basis(included=False), DEAL, None)
    assert price.net.minor == LISTED + 10_200
    assert price.tax.minor == round((LISTED + 10_200) * 0.19)


def test_the_destination_taxes_it_as_everything_else() -> None:
    """An export is reckoned on the price before tax, line by line: 9,000 / 1.19 and 150 / 1.19."""
    assert dealt_price(basis(), DEAL, EU).gross.minor == LISTED + 10_200
    far = dealt_price(basis(), DEAL, ABROAD)
    assert [line.amount.minor for line in far.lines[3:]] == [8 * 126, 7_563]
    assert far.tax.minor == 0
    check_sums(far)


def test_it_is_read_as_typed_and_keeps_its_place() -> None:
    deal = read(
        added_1="Spare  spoke", added_1_amount="1,5", added_1_count="8",
        added_3="Rack painted", added_3_amount="90",
    )  # fmt: skip
    assert deal == DEAL
    fields = fields_of(deal, "EUR")
    assert (fields["added_1_amount"], fields["added_1_count"]) == ("1.50", "8")
    assert fields["added_2"] == fields["added_2_amount"] == fields["added_2_count"] == ""
    assert read(**fields) == deal


def test_one_that_costs_nothing_is_said_so_and_an_emptied_one_is_gone() -> None:
    assert read(added_1="Bell", added_1_amount="0").added == (
        ("added_1", Added(words="Bell", minor=0)),
    )
    assert read(added_1="", added_1_amount="", added_1_count="8").added == ()


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"added_1": "Bell"}, "added_1_amount"),
        ({"added_1_amount": "9"}, "added_1"),
        ({"added_1": "Bell", "added_1_amount": "-9"}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "5 %"}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "nan"}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "9.999"}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "1000000.01"}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "9" * 5000}, "added_1_amount"),
        ({"added_1": "Bell", "added_1_amount": "9", "added_1_count": "0"}, "added_1_count"),
        ({"added_1": "Bell", "added_1_amount": "9", "added_1_count": "1.5"}, "added_1_count"),
        ({"added_1": "Bell", "added_1_amount": "9", "added_1_count": "100"}, "added_1_count"),
        ({"added_1": "x" * 121, "added_1_amount": "9"}, "added_1"),
        ({"delivery": "9" * 20}, "delivery"),
        ({"added_1": "Book", "added_1_amount": "9", "added_1_tax": "much"}, "added_1_tax"),
        (
            {"added_1": "Book", "added_1_amount": "9", "added_1_tax": "7", "destination": "eu"},
            "added_1_tax",
        ),
        ({"traded_in": "Old bike"}, "traded_in_amount"),
        ({"traded_in_amount": "90"}, "traded_in"),
        ({"deposit": "500 USD"}, "deposit"),
        ({"deposit": "50"}, "deposit"),
        ({"destination": "firm"}, "tax_number"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(fields: dict[str, str], field: str) -> None:
    with pytest.raises(Invalid) as refused:
        read(**fields)
    assert [problem.field for problem in refused.value.problems] == [field]


def test_payment_deposit_in_money_rate_and_tax_number_keep_their_place_in_the_form() -> None:
    deal = read(
        added_1="Book", added_1_amount="9", added_1_tax="7 %", traded_in="Old bike",
        traded_in_amount="1.250,00", deposit="500 EUR",
    )  # fmt: skip
    assert deal.traded_in == TradedIn(words="Old bike", minor=125_000)
    assert (deal.deposit_minor, deal.deposit_percent) == (50_000, None)
    assert deal.added[0][1].tax_percent == Decimal(7)
    assert read(**fields_of(deal, "EUR")) == deal
    firm = read(destination="firm", tax_number="XX 12345678", deposit="30 %")
    assert firm.tax_number == "XX 12345678"
    assert read(**fields_of(firm, "EUR")) == firm
    bare = deal.without_words().traded_in
    assert bare is not None
    assert firm.without_words().tax_number == bare.words == ""


def test_a_line_of_no_form_is_passed_by() -> None:
    assert read(added_7="Bell", added_7_amount="9", added_="Bell") == Deal()


def test_a_quote_from_before_there_were_any_opens(shop: Engine, ask: Ask) -> None:
    kept = ask(shop).content.model_dump(mode="json")
    del kept["deal"]["added"]
    assert QuoteContent.model_validate(kept).deal == Deal()


def test_hostile_text_is_printed_as_text_on_both_copies(shop: Engine, ask: Ask) -> None:
    hostile = '#panic("x") *b* $x$ `#read("/etc/passwd")` <a> \\'
    deal = Deal(added=(("added_1", Added(words=hostile, minor=9_000)),))
    quote = ask(shop)
    assert quote.content.basis
    priced = dealt_price(quote.content.basis, deal, None)
    content = quote.content.model_copy(update={"deal": deal, "price": priced})
    copies: tuple[tuple[Copy, bool], ...] = (("customer", True), ("workshop", False))
    for copy, has_price in copies:
        document = quote_pdf(
            replace(quote, content=content), link="https://shop.example/q/x", paper="A4", copy=copy
        )
        pages = pypdf.PdfReader(io.BytesIO(document)).pages
        text = " ".join(" ".join(page.extract_text() for page in pages).split())
        assert '#panic("x") *b* $x$' in text
        assert ("90.00" in text) == has_price
