"""What differs between two versions, held against sentences written by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.money import Money
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.customer import Customer, FurtherRider
from webapp.quote.freezing.content import (
    Amount,
    Figure,
    FrozenBike,
    Line,
    QuoteContent,
    Setting,
    Total,
)
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.lifecycle.new_versions import content_of_build
from webapp.quote.lifecycle.version_differences import FigureChange, compare_versions
from webapp.quote.storage.read import QuoteView

DAY = date(2026, 3, 1)
STATES = ("unloaded", "sagged")


def euros(minor: int) -> Amount:
    return Amount.of(Money(minor, "EUR"))


def line(key: str, item: str, minor: int) -> Line:
    place = key.removeprefix("off_").removeprefix("bike2-").capitalize()
    return Line(key=key, place=place, item=item, amount=euros(minor))


def total(label: str, minor: int, *, main: bool = False) -> Total:
    return Total(label=label, amount=euros(minor).printed, main=main, money=euros(minor))


def check(name: str, outcome: str) -> FrozenCheck:
    return FrozenCheck.model_validate(
        {"key": name.lower(), "outcome": outcome, "name": name, "figure": "", "limit": "",
         "margin": "", "reason": "", "remedy": "", "source": ""}
    )  # fmt: skip


def figure(key: str, *cells: str) -> Figure:
    return Figure.model_validate(
        {"key": key, "name": key.capitalize(), "symbol": "", "unit": "mm", "group": "",
         "cells": cells, "explain": ()}
    )  # fmt: skip


LINES = (line("frame", "Frame M", 180_000), line("fork", "Long fork", 60_000),
         line("stem", "Stem 40", 5_000), line("off_fork", "Discount", -1_000))  # fmt: skip
TOTALS = (total("Lines", 244_000), total("Delivery, box", 4_000),
          total("To pay", 248_000, main=True))  # fmt: skip


@pytest.fixture(scope="module")
def plain(trail: Catalogue) -> QuoteView:
    """A version of one bike with few lines, checks and figures."""
    made = content_of_build(trail, read_choice(trail, {}).choice, Deal(), on=DAY)
    price = made.price.model_copy(
        update={
            "lines": LINES, "totals": TOTALS, "gross": euros(248_000), "deposit": euros(70_000),
            "price_list": "Spring", "tax_name": "VAT", "tax_percent": "20",
        }
    )  # fmt: skip
    content = made.model_copy(
        update={
            "build": made.build.model_copy(update={"model": "Knapweed", "size": "M"}),
            "price": price,
            "states": STATES,
            "figures": (figure("reach", "450", "455"), figure("stack", "640", "635")),
            "settings": (
                Setting(label="Axle position", value="8 mm"),
                Setting(label="Spacers", value="15 mm"),
            ),
            "checks": (check("Toe", "clear"), check("Post", "tight")),
            "lead_time": "8 weeks",
            "valid_until": date(2026, 3, 31),
        }
    )
    return QuoteView(
        number="2026-0001", token="t", state="draft", version=1, current_version=1,
        sent_version=None, accepted_version=None, created_at=datetime(2026, 3, 1, tzinfo=UTC),
        created_by="Edda", content=content,
        customer=Customer(
            name="Ada", mail="", note="Forest.", rider=(("stature", "1700"), ("sex", "woman"))
        ),
    )  # fmt: skip


def otherwise(view: QuoteView, part: str, update: Mapping[str, Any]) -> QuoteView:
    """A version with something of a part of its content changed; "" is the content itself."""
    held = getattr(view.content, part) if part else view.content
    held = held.model_copy(update=update)
    content = view.content.model_copy(update={part: held}) if part else held
    return replace(view, content=content)


def with_lines(*lines: Line) -> dict[str, Any]:
    return {"lines": lines}


CHANGES: list[tuple[str, dict[str, Any], list[str]]] = [
    ("", {}, []),
    (
        "build",
        {"model": "Burdock", "revision": 9, "size": "L", "scope_words": "as frame"},
        ["Model: Burdock instead of Knapweed.", "Revision: 9 instead of 2.",
         "Size: L instead of M.", "Sold: as frame instead of {scope_words}."],
    ),
    (
        "price",
        with_lines(*LINES[:3], line("pedal", "Flat pedals", 4_000), line("off_stem", "Gift", -500)),
        ["Discount left out: Discount, −10.00 EUR.", "Pedal added: Flat pedals, 40.00 EUR.",
         "Discount added: Gift, −5.00 EUR."],
    ),
    ("price", with_lines(*LINES[:2], LINES[3]), ["Stem left out: Stem 40, 50.00 EUR."]),
    (
        "price",
        with_lines(
            line("frame", "Frame M", 170_000), line("fork", "Short fork", 60_000),
            line("stem", "Stem 50", 5_500), LINES[3],
        ),
        ["Frame: 1,700.00 EUR instead of 1,800.00 EUR.", "Fork: Short fork instead of Long fork.",
         "Stem: Stem 50 instead of Stem 40, 55.00 EUR instead of 50.00 EUR."],
    ),
    (
        "",
        {"settings": (
            Setting(label="Axle position", value="9 mm"), Setting(label="Stem", value="low")
        )},
        ["As set, axle position: 9 mm, was 8 mm.", "As set, spacers: none, was 15 mm.",
         "As set, stem: low, was none."],
    ),
    ("price", {"price_list": "Autumn"}, ["Prices are from “Autumn” instead of “Spring”."]),
    ("price", {"tax_percent": "7"}, ["VAT 7 % instead of VAT 20 %."]),
    ("price", {"tax_name": "Duty"}, ["Duty 20 % instead of VAT 20 %."]),
    (
        "price",
        {"totals": (total("Lines", 1), total("Delivery, box", 5_000), total("Discount, 5 %", -9),
                    total("To pay", 2, main=True))},
        ["Delivery, box, 50.00 EUR.", "Discount, 5 %, −0.09 EUR."],
    ),
    (
        "price",
        {"totals": (total("Lines", 244_000), total("To pay", 1, main=True))},
        ["No longer: Delivery, box, 40.00 EUR."],
    ),
    (
        "price",
        {"totals": (*TOTALS, total("Delivery, to pay", 7, main=True))},
        [],  # what is to pay is told by the sum itself
    ),
    ("price", {"gross": euros(248_001)}, ["Total 2,480.01 EUR, was 2,480.00 EUR: +0.01 EUR."]),
    ("price", {"gross": euros(247_000)}, ["Total 2,470.00 EUR, was 2,480.00 EUR: −10.00 EUR."]),
    ("price", {"gross": Amount.of(Money(250_000, "USD"))}, []),
    ("price", {"deposit": euros(80_000)}, ["Deposit 800.00 EUR, was 700.00 EUR."]),
    (
        "",
        {"valid_until": date(2026, 4, 2), "lead_time": "9 weeks"},
        ["Valid until 2 April 2026, was 31 March 2026.", "Lead time 9 weeks, was 8 weeks."],
    ),
    (
        "",
        {"checks": (check("Toe", "tight"), check("Post", "clear"), check("Room", "no"))},
        ["Check “Toe”: tight, was clear.", "Check “Post”: clear, was tight.",
         "Check “Room”: no, was not checked."],
    ),
    ("", {"checks": (check("Toe", "clear"), check("Post", "tight"), check("Room", "clear"))}, []),
    ("", {"checks": (check("Post", "tight"),)}, []),
    (
        "",
        {"checks": (check("Toe", "clear"),)},
        ["Check “Post” does not apply any more, was tight."],
    ),
    (
        "",
        {"deal": Deal(message="Hello", workshop_note="Matt.")},
        ["Message to the customer: “Hello”.", "Note for the workshop: “Matt.”."],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("part", "update", "sentences"), CHANGES)
def test_what_is_changed_is_said_and_nothing_else(
    plain: QuoteView, part: str, update: dict[str, Any], sentences: list[str]
) -> None:
    build = plain.content.build
    revision = {"Revision: 9 instead of 2.": f"Revision: 9 instead of {build.revision}."}
    wanted = [revision.get(s, s.replace("{scope_words}", build.scope_words)) for s in sentences]
    found = compare_versions(plain, otherwise(plain, part, update))
    assert list(found.sentences) == wanted
    assert found.figures == ()


def test_what_is_told_of_people_is_told_of_them(plain: QuoteView) -> None:
    rider = (("stature", "1710"), ("inseam", "780"))
    other = replace(plain, customer=Customer(name="Bo", mail="b@c.example", rider=rider))
    assert list(compare_versions(plain, other).sentences) == [
        "Rider's stature: 1710, was 1700.",
        "Rider's inseam: 780, was not given.",
        "Rider's sex: not given, was woman.",
        "Customer's name: “Bo”, was “Ada”.",
        "Customer's mail address: “b@c.example”.",
        "Customer's note: taken out, was “Forest.”.",
    ]


def test_figures_are_compared_state_by_state_where_both_have_them(plain: QuoteView) -> None:
    figures = (figure("reach", "450", "456"), figure("trail", "90", "91"))
    other = otherwise(plain, "", {"figures": figures})
    assert compare_versions(plain, other).figures == (
        FigureChange(name="Reach", unit="mm", state="sagged", before="455", after="456"),
    )
    rigid = otherwise(plain, "", {"states": ("unloaded",), "figures": (figure("reach", "440"),)})
    assert [(each.state, each.before) for each in compare_versions(plain, rigid).figures] == [
        ("unloaded", "450")
    ]
    assert [each.before for each in compare_versions(rigid, plain).figures] == ["440"]


def two_bikes(view: QuoteView, **update: object) -> QuoteView:
    """The same bike twice, the second changed."""
    content: QuoteContent = view.content
    second = FrozenBike(**{name: getattr(content, name) for name in FrozenBike.model_fields})
    both = {"further": (second.model_copy(update=update),)}
    priced = content.price.model_copy(
        update={"lines": (*LINES, line("bike2-fork", "Long fork", 60_000))}
    )
    known = FurtherRider(rider=(("stature", "1800"),))
    return replace(
        view,
        content=content.model_copy(update=both | {"price": priced}),
        customer=replace(view.customer, further=(known,)),
    )


def test_a_further_bike_is_named_by_its_number(plain: QuoteView) -> None:
    before = two_bikes(plain)
    build = plain.content.build.model_copy(update={"size": "L"})
    after = two_bikes(plain, build=build, checks=(check("Toe", "no"), check("Post", "tight")))
    cheaper = (*LINES, line("bike2-fork", "Long fork", 55_000))
    after = otherwise(after, "price", {"lines": cheaper})
    after = replace(after, customer=replace(after.customer, further=()))
    assert list(compare_versions(before, after).sentences) == [
        "Bike 2: Size: L instead of M.",
        "Bike 2: Fork: 550.00 EUR instead of 600.00 EUR.",
        "Bike 2: Check “Toe”: no, was clear.",
        "Bike 2: Rider's stature: not given, was 1800.",
    ]


def test_a_bike_added_or_taken_out_is_said_once_without_its_lines(plain: QuoteView) -> None:
    both = two_bikes(plain)
    assert list(compare_versions(plain, both).sentences) == ["Added: Bike 2: Knapweed, size M."]
    assert list(compare_versions(both, plain).sentences) == ["Taken out: Bike 2: Knapweed, size M."]
    assert compare_versions(plain, both).figures == ()
