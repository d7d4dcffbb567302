"""The page *Side by side*: what is shown, what is refused, and that nothing is lost."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from fastapi.testclient import TestClient
from httpx import Response

PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}
TWO = ("knapweed?size=m", "knapweed?size=l&fork=suspension-150")


def address(*builds: str, **more: str) -> str:
    return "/side-by-side?" + urlencode([("build", build) for build in builds] + [*more.items()])


def balloons(answer: Response) -> int:
    return answer.text.count('class="compare-build"')


def links(answer: Response) -> list[str]:
    found = re.findall(r'href="(/side-by-side\?[^"]+)"', answer.text)
    return [unescape(each) for each in found]


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_one_to_four_builds_are_shown(client: TestClient, count: int) -> None:
    builds = [*TWO, "burdock", "knapweed?rev=1&slot=14"][:count]
    answer = client.get(address(*builds, state="sagged", align="rear-axle"))
    assert answer.status_code == 200
    assert balloons(answer) == count
    assert answer.text.count('class="compare-sentence"') == count - 1


def test_without_builds_the_page_offers_some(client: TestClient) -> None:
    answer = client.get("/side-by-side")
    assert answer.status_code == 200
    for start in links(answer):
        shown = client.get(start)
        assert shown.status_code == 200
        assert balloons(shown) == 1


def test_words_come_before_drawing_before_table(client: TestClient) -> None:
    text = client.get(address(*TWO)).text
    order = ["compare-sentence", "<svg xmlns", "Every figure", 'id="f-build"']
    assert [text.index(each) for each in order] == sorted(text.index(each) for each in order)
    assert "line-b" in text


def test_every_link_of_the_page_opens(client: TestClient) -> None:
    answer = client.get(address(*TWO))
    found = sorted(set(links(answer)))
    assert len(found) > 20
    for each in found:
        assert client.get(each).status_code == 200, each


def test_move_first_makes_another_one_a(client: TestClient) -> None:
    answer = client.get(address(*TWO))
    first = re.search(r'<a href="([^"]+)"[^>]*id="first-B"', answer.text)
    assert first is not None
    swapped = client.get(unescape(first[1]))
    names = re.findall(r'class="compare-name">([^<]+)<', swapped.text)
    assert names == ["Knapweed, size Large", "Knapweed, size Medium"]


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        ("nothing?size=m", "Model “nothing”"),
        ("knapweed?rev=77", "“77”"),
        ("knapweed?rev=x", "Revision “x”"),
        (
            "knapweed?fork=wings",
            "Fork “wings” cannot be used: one of these: suspension fork 29, 130 mm",
        ),
        ("knapweed?slot=99", "Axle position “99” cannot be used: a number from 0 to 24 mm"),
        ("knapweed?size=m&size=l", "Size “Medium, Large” cannot be used: give it once"),
        ("knapweed?wings=1", "wings “1” cannot be used: no part of a build"),
        ("https://elsewhere.example/build/knapweed", "another site"),
        ("what?", "Model “what”"),
        ("/table/knapweed", "paste the link of a build page"),
        ("\x00\uffff=&&&", "“"),
        ("<script>alert(1)</script>", "paste the link"),
        ("knapweed?" + "&".join(f"a{n}=1" for n in range(150)), "more fields"),
        ("x" * 5000, "at most 2000"),
    ],
)
def test_bad_build_gets_a_message_at_its_field_and_hides_no_other(
    client: TestClient, bad: str, message: str
) -> None:
    answer = client.get(address(TWO[0], bad, TWO[1]))
    assert answer.status_code == 422
    assert balloons(answer) == 2
    text = unescape(answer.text)
    assert '<a href="#f-build-2">' in text
    at_field = re.search(r'id="f-build-2-error">(.*?)</p>', text, re.DOTALL)
    assert at_field is not None
    assert message in at_field[1]
    assert "<script>alert" not in answer.text
    sent = parse_qs(urlsplit(answer.headers["HX-Replace-Url"]).query)
    assert sent["build"][2] == bad.strip()


def test_fifth_build_waits_in_its_field(client: TestClient) -> None:
    answer = client.get(address(*TWO, *TWO, "burdock?size=l"))
    assert answer.status_code == 422
    assert balloons(answer) == 4
    assert 'value="burdock?size=l"' in answer.text
    assert "at most 4 builds: remove one first" in answer.text


RIDDEN = "way=tape&wheelbase=1180"


def test_a_build_whose_place_the_bike_ridden_now_has_waits_and_comes_in(client: TestClient) -> None:
    builds = [*TWO, "knapweed?size=xl", "burdock?size=l"]
    beside = [("beside", each) for each in builds[1:]]
    opened = client.get(f"/build/{builds[0]}&{urlencode([('present', RIDDEN), *beside])}")
    navigation = re.search(r'<a href="(/side-by-side\?[^"]+)"', opened.text)
    assert navigation is not None
    answer = client.get(unescape(navigation[1]))
    assert answer.status_code == 200
    assert balloons(answer) == 4
    text = unescape(answer.text)
    assert "Burdock, size Large waits: the bike you ride now has the fourth place." in text
    assert "error-summary" not in text
    hidden = re.findall(r'type="hidden" name="build" value="burdock\?', answer.text)
    kept = parse_qs(urlsplit(answer.headers["HX-Replace-Url"]).query)["build"]
    assert (len(hidden), len(kept)) == (1, 4)
    for letter in "ABCD":  # the bike ridden now is D
        remove = re.search(rf'<a href="([^"]+)"[^>]*id="remove-{letter}"', answer.text)
        assert remove is not None
        after = client.get(unescape(remove[1]))
        assert (after.status_code, balloons(after)) == (200, 4)
        assert "Burdock, size Large" in after.text
        assert "waits:" not in after.text
    leave = re.search(r'<a href="([^"]+)"[^>]*id="leave-waiting"', answer.text)
    assert leave is not None
    left = client.get(unescape(leave[1]))
    assert (left.status_code, balloons(left)) == (200, 4)
    assert "Burdock" not in left.text[left.text.index('id="compare"') :]
    assert "waits:" not in left.text


def test_only_a_build_that_can_be_shown_waits(client: TestClient) -> None:
    odd = client.get(address(*TWO, "burdock", "knapweed?slot=99", present=RIDDEN))
    assert (odd.status_code, balloons(odd)) == (422, 4)
    assert "a number from 0 to 24 mm" in odd.text
    five = client.get(address(*TWO, "burdock", "burdock?size=l", "knapweed?slot=9", present=RIDDEN))
    assert (five.status_code, balloons(five)) == (422, 4)
    text = unescape(five.text)
    assert text.count("waits:") == 1
    assert '<a href="#f-build-4">' in text
    assert 'value="knapweed?slot=9"' in text


@pytest.mark.parametrize(
    ("more", "field"),
    [({"align": "saddle"}, "align"), ({"state": "flying"}, "state"), ({"wings": "1"}, "build")],
)
def test_wrong_view_is_said_and_the_usual_one_shown(
    client: TestClient, more: dict[str, str], field: str
) -> None:
    answer = client.get(address(*TWO, **more))
    assert answer.status_code == 422
    assert balloons(answer) == 2
    assert f'<a href="#f-{field}">' in answer.text
    assert f'id="f-{field}"' in answer.text


def test_too_many_fields_are_refused(client: TestClient) -> None:
    assert client.get(address(*["knapweed"] * 300)).status_code == 422


def test_pasted_link_joins_the_others_and_the_address_is_canonical(client: TestClient) -> None:
    pasted = "http://testserver/build/knapweed?size=l&slot=3,50"
    answer = client.get(address("knapweed?size=m", pasted), headers=PARTIAL)
    assert answer.status_code == 200
    canonical = answer.headers["HX-Replace-Url"]
    builds = parse_qs(urlsplit(canonical).query)["build"]
    assert builds[1].startswith("knapweed?rev=2&size=l&scope=bike&")
    assert "slot=3.5" in builds[1]
    assert client.get(canonical).headers["HX-Replace-Url"] == canonical


def test_a_view_that_is_none_is_told_in_words(client: TestClient) -> None:
    said = unescape(client.get(address(*TWO, align="x")).text)
    assert (
        "Laid over each other at “x” cannot be used: one of these: bottom bracket; rear axle"
        in said
    )
    twice = client.get(f"{address(*TWO)}&align=bb&align=rear-axle").text
    assert "“bottom bracket, rear axle” cannot be used: give it once" in unescape(twice)


def test_empty_field_of_the_form_is_no_build(client: TestClient) -> None:
    answer = client.get(address(*TWO, ""))
    assert answer.status_code == 200
    assert balloons(answer) == 2


def test_part_fetched_is_the_part_included(client: TestClient) -> None:
    for query in (address(*TWO, state="sagged"), address("knapweed", "bad"), "/side-by-side"):
        part = client.get(query, headers=PARTIAL)
        assert "<html" not in part.text
        whole = " ".join(client.get(query).text.split())
        for piece in re.split(r"<hx-partial[^>]*>|</hx-partial>", part.text):
            assert " ".join(piece.split()) in whole


def test_same_build_twice_is_said(client: TestClient) -> None:
    assert "B is the same build as A." in client.get(address("knapweed", "knapweed?size=m")).text


def test_parts_that_do_not_go_together_are_shown_with_a_caution(client: TestClient) -> None:
    answer = client.get(address("knapweed", "knapweed?tyre_rear=64-584"))
    assert answer.status_code == 200
    assert "Its parts do not go together: rear tyre on its rim." in answer.text


def test_drawing_has_its_words(client: TestClient) -> None:
    text = unescape(client.get(address(*TWO, align="rear-axle")).text)
    assert "laid over each other with the rear axle in common" in text
    assert "A, continuous line: Knapweed, size Medium, suspension fork 29, 130 mm" in text
    assert "B, dashed line: Knapweed, size Large" in text


def test_legend_tells_builds_of_one_name_apart(client: TestClient) -> None:
    builds = ("knapweed", "knapweed?slot=20", "burdock?size=l")
    legend = client.get(address(*builds)).text.partition('class="build-legend"')[2]
    names = re.findall(r"<span>([^<]+)</span>", legend.partition("</ul>")[0])
    assert names == [
        "Knapweed, size Medium, axle at 0 mm of its slot",
        "Knapweed, size Medium, axle at 20 mm of its slot",
        "Burdock, size Large",
    ]


def test_to_a_build_and_back_every_build_is_still_there(client: TestClient) -> None:
    compared = unescape(client.get(address(*TWO, "burdock?size=l&stature=1780")).text)
    main_menu = re.findall(r'href="(/build/[^"]+)"', compared)
    assert main_menu
    for link in {each for each in main_menu if "beside=" in each}:
        page = unescape(client.get(link).text)
        assert page.count('type="hidden" name="beside"') == 2
        assert "Something in this request" not in page
        changed = unescape(client.get(f"{link}&state=sagged").text)
        for shown in (page, changed):
            back = re.findall(r'href="(/side-by-side\?[^"]+)"', shown)
            assert back
            for each in back:
                assert balloons(client.get(each)) == 3
    assert len({each for each in main_menu if "beside=" in each}) >= 3


def test_what_is_no_build_is_not_taken_beside_one(client: TestClient) -> None:
    odd = "&".join(f"beside={each}" for each in ("%3Cscript%3E", "a%20b", "x" * 3000, "burdock"))
    page = unescape(client.get(f"/build/knapweed?{odd}").text)
    assert re.findall(r'name="beside" value="([^"]*)"', page) == ["burdock"]
