"""The address of a comparison, and builds as they are written or pasted."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest

from webapp.builds.choice.build_choice import address_of, read_choice
from webapp.builds.evaluation import compute
from webapp.builds.page.context import build_page
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.compare.address import (
    LONGEST_BUILD,
    BuildText,
    View,
    compare_address,
    read_text,
    text_of,
)

SITES = ("bikes.example", "localhost:8000")
MEDIUM = BuildText(model="knapweed", query={"size": ["m"], "slot": ["5"]})


@pytest.mark.parametrize(
    "text",
    [
        "knapweed?size=m&slot=5",
        "/build/knapweed?size=m&slot=5",
        "build/knapweed?size=m&slot=5",
        "https://bikes.example/build/knapweed?size=m&slot=5",
        "http://localhost:8000/build/knapweed?size=m&slot=5#h-figures",
        "localhost:8000/build/knapweed?size=m&slot=5",
        "  HTTPS://Bikes.Example/build/knapweed?size=m&slot=5\n",
    ],
)
def test_every_way_to_write_a_build_reads_the_same(text: str) -> None:
    assert read_text(text, sites=SITES) == MEDIUM


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("", "paste the link"),
        ("?size=m", "paste the link"),
        ("/build/?size=m", "paste the link"),
        ("https://elsewhere.example/build/knapweed", "elsewhere.example is another site"),
        ("//elsewhere.example/build/knapweed", "elsewhere.example is another site"),
        ("https://bikes.example/table/knapweed", "paste the link"),
        ("../../etc/passwd", "paste the link"),
        ("k" * (LONGEST_BUILD + 1), "at most 2000"),
        ("knapweed?" + "&".join(f"a{n}=1" for n in range(101)), "more fields"),
    ],
)
def test_what_is_no_build_of_this_site_is_refused(text: str, remedy: str) -> None:
    with pytest.raises(Invalid) as raised:
        read_text(text, sites=SITES)
    assert remedy in raised.value.remedy
    assert len(str(raised.value.value)) <= LONGEST_BUILD


def test_address_leaves_out_what_is_usual_and_reads_back() -> None:
    assert compare_address([], View()) == "/side-by-side"
    address = compare_address(["knapweed?size=m&slot=5", "burdock?x=%20"], View(state="sagged"))
    query = parse_qs(urlsplit(address).query)
    assert query == {"build": ["knapweed?size=m&slot=5", "burdock?x=%20"], "state": ["sagged"]}


def test_build_page_links_to_the_same_text(trail: Catalogue) -> None:
    read = read_choice(trail, {"size": ["l"], "extra": ["cage", "rear-rack"]})
    page = build_page(trail, read, compute(trail, read.choice))
    assert page.compare_address == compare_address([text_of(read.choice)], View())
    written = read_text(address_of(read.choice))
    assert read_choice(trail, written.query).strict() == read.choice
