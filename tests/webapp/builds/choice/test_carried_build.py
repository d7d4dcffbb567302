"""Whatever a rider has told goes along through every link of their pages."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape
from urllib.parse import parse_qs, urlencode, urlsplit

from fastapi.testclient import TestClient

OWN = {
    "size": "l", "fork": "suspension-150", "slot": "12", "stem": "50-0", "spacers": "20",
    "stature": "1830", "inseam": "870",
}  # fmt: skip
MEASURES = ("stature", "inseam")
TAPE = {
    "bb_above_floor": "310", "saddle_above_floor": "1002", "bb_to_saddle": "715",
    "grip_above_floor": "1015", "bb_to_grip": "839",
}  # fmt: skip
BESIDE = ("burdock?size=m", "knapweed?size=s&slot=3")
FULL = "/build/knapweed?" + urlencode(
    [
        *OWN.items(),
        ("present", urlencode({"way": "tape", **TAPE})),
        *(("beside", each) for each in BESIDE),
    ]
)
PLACES = ("Fit", "Match", "Build", "Side by side", "Geometry table")
PAGES = re.compile(r"/(build|fit|table|match|quote|side-by-side|my-builds|present-bike)?(?=[/?]|$)")
FOR_OTHERS = re.compile(
    r"without|delete|forget|leave (it|them) out|remove|this (very build|address)", re.IGNORECASE
)
LINK = re.compile(r'<a [^>]*?href="([^"]*)"[^>]*>(.*?)</a>', re.DOTALL)


@dataclass(frozen=True)
class State:
    """What an address says: the build's own fields, whether the present bike, other builds."""

    own: dict[str, str]
    present: bool
    beside: frozenset[tuple[str, str]]


def state_of(address: str) -> State:
    """The state that an address carries, wherever its page has it."""
    parts = urlsplit(address)
    query = parse_qs(parts.query)
    builds = query.get("build", [])
    own = parse_qs(urlsplit(builds[0]).query) if builds else query
    beside = [*query.get("beside", []), *builds[1:]]
    told = query if parts.path == "/present-bike" else parse_qs(query.get("present", [""])[0])
    return State(
        own={name: own.get(name, [""])[0] for name in OWN},
        present=all(told.get(name) == [value] for name, value in TAPE.items()),
        beside=frozenset(
            (urlsplit(each).path, parse_qs(urlsplit(each).query)["size"][0]) for each in beside
        ),
    )


WHOLE = State(own=OWN, present=True, beside=frozenset({("burdock", "m"), ("knapweed", "s")}))


BUILDS = WHOLE.beside | {("knapweed", "l")}


def built(address: str) -> tuple[str, str]:
    """The build that an address is about, by its model and size."""
    text = parse_qs(urlsplit(address).query).get("build", [address])[0]
    return urlsplit(text).path.rpartition("/")[2], parse_qs(urlsplit(text).query)["size"][0]


def links_of(text: str) -> list[tuple[str, str]]:
    """Every link of a page to a page of the rider's: its words and its address."""
    found = ((" ".join(re.sub(r"<[^>]+>", " ", words).split()), unescape(address))
             for address, words in LINK.findall(text))  # fmt: skip
    return [
        (words, address)
        for words, address in found
        if PAGES.match(address) and not address.endswith((".json", ".csv"))
    ]


def every_page(client: TestClient) -> dict[str, str]:
    """The text of every page of the rider's, reached with everything told, by its address."""
    start = client.get(FULL).text
    links = links_of(start)
    told = [to for words, to in links if words in (
        *PLACES, "All sizes of this build", "The range of this frame", "My builds", "Change it",
        "Rank these by a wished chainstay or gear", "Change your measurements",
    )]  # fmt: skip
    told += [to for _, to in links if to.startswith(("/quote/", "/?"))]
    found = {FULL: start}
    for address in dict.fromkeys(told):
        answer = client.get(address)
        assert answer.status_code == 200, (address, answer.text[:2000])
        found[address] = answer.text
    return found


def lost_in_top_bar(text: str) -> list[str]:
    """Places of the top bar that do not get all that was told."""
    bar = text.partition('id="navigation"')[2].partition("</nav>")[0]
    kept = [words for words, address in links_of(bar) if state_of(address) == WHOLE]
    return [place for place in PLACES if place not in kept]


def lost_in_links(text: str) -> list[str]:
    """Other links; one may change the build's parts, or the model, and loses nothing else."""
    lost = []
    for words, address in links_of(re.sub(r"<template>.*?</template>", "", text, flags=re.DOTALL)):
        found = state_of(address)
        rider = all(found.own[name] == OWN[name] for name in MEASURES)
        of_another = words.startswith(("Change build", "Move first"))  # which has no rider told
        others = found.beside == (BUILDS - {built(address)} if of_another else WHOLE.beside)
        kept = (rider or of_another) and found.present and others
        if not kept and not FOR_OTHERS.search(words):
            lost.append(f"{words}: {address[:300]}")
    return lost


def lost_in_forms(text: str) -> list[str]:
    """Forms that ask for a page of the rider's without the other bikes."""
    lost = []
    for form in re.findall(r'<form [^>]*method="get".*?</form>', text, re.DOTALL):
        sent = [
            (unescape(name), unescape(value))
            for name, value in re.findall(r'<input[^>]*name="([^"]+)"[^>]*?value="([^"]*)"', form)
        ]
        action = re.search(r'action="([^"]*)"', form)
        of_kept_builds = "data-builds-some" in form
        if action and PAGES.match(action[1]) and not of_kept_builds:
            found = state_of(f"{action[1]}?{urlencode(sent)}")
            if not (found.present and found.beside == WHOLE.beside):
                lost.append(action[1])
    return lost


def test_everything_told_goes_along_from_every_page(client: TestClient) -> None:
    pages = every_page(client)
    areas = {urlsplit(page).path.split("/")[1] for page in pages}
    assert areas == {"", "build", "fit", "table", "match", "quote", "side-by-side", "my-builds",
                     "present-bike"}  # fmt: skip
    lost = {
        urlsplit(page).path: (lost_in_top_bar(text), lost_in_links(text), lost_in_forms(text))
        for page, text in pages.items()
    }
    assert lost == dict.fromkeys(lost, ([], [], []))
