"""What a draft's frame can be, beside the published revision."""

from __future__ import annotations

import re

from fastapi.testclient import TestClient

from tests.webapp.office.test_pages import AT, grid


def rows(client: TestClient, address: str) -> dict[str, list[str]]:
    """Values by figure: least and most of the revision, then of the one before."""
    text = client.get(address).text
    found = re.findall(r'<tr><th scope="row">([^<]+)<(.*?)</tr>', text, re.DOTALL)
    return {name: re.findall(r"<td>(?:<a [^>]+>)?([^<]+)<", row) for name, row in found}


def test_a_longer_reach_moves_its_range_and_no_other_size(builder: TestClient) -> None:
    builder.post("/office/models/knapweed/draft", follow_redirects=False)
    same = rows(builder, f"{AT}/range?size=m")
    assert len(same) == 9
    assert {name: row[:2] for name, row in same.items()} == {n: r[2:] for n, r in same.items()}
    builder.post(f"{AT}/sizes", data=grid(builder, m__reach="480"), follow_redirects=False)
    moved = rows(builder, f"{AT}/range?size=m")["Reach"]
    least, most, least_before, most_before = (float(each.split()[0]) for each in moved)
    assert moved[2:] == same["Reach"][2:]
    assert least - least_before > 5
    assert most - most_before > 5
    others = rows(builder, f"{AT}/range?size=s")["Reach"]
    assert others[:2] == others[2:]


def test_ends_of_the_published_one_open_and_the_draft_leads_here(builder: TestClient) -> None:
    builder.post("/office/models/knapweed/draft", follow_redirects=False)
    assert f'href="{AT}/range"' in builder.get(AT).text
    text = builder.get(f"{AT}/range").text
    ends = re.findall(r'href="(/build/knapweed\?[^"]+)"', text)
    assert len(ends) == 18
    assert builder.get(ends[0].replace("&amp;", "&")).status_code == 200
    assert builder.get(f"{AT}/range?size=giant").status_code == 404
