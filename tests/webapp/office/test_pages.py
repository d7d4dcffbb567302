"""The office's pages: guarded, refused with reasons, two people at one draft."""

from __future__ import annotations

import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.accounts.tables import STAFF
from webapp.office.pages import PAGES

AT = "/office/models/knapweed/3"


def hidden(page: str, name: str) -> str:
    """Value of a hidden field."""
    from html import unescape

    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, name
    return unescape(found[1])


def grid(client: TestClient, **changed: str) -> dict[str, str]:
    """The grid's form as it stands, with cells changed."""
    page = client.get(AT).text
    cells = dict(re.findall(r'name="((?:xs|s|m|l|xl|xxl)\.[a-z_.]+)" value="([^"]*)"', page))
    own = {name.replace("__", "."): text for name, text in changed.items()}
    return {"stamp": hidden(page, "stamp"), "base": hidden(page, "base"), **cells, **own}


@pytest.fixture
def draft(builder: TestClient) -> TestClient:
    """A builder with a draft of the Knapweed."""
    builder.post("/office/models/knapweed/draft", follow_redirects=False)
    return builder


def test_every_route_of_the_office_is_the_builders_alone(client: TestClient, app: FastAPI) -> None:
    seen = 0
    for route in (route for pages in PAGES for route in pages.router.routes):
        path = re.sub(r"\{number\}", "2", getattr(route, "path", ""))
        path = re.sub(r"\{\w+\}", "knapweed", path)
        for method in getattr(route, "methods", ()):
            if method == "HEAD":
                continue
            answer = client.request(method, path, follow_redirects=False)
            assert answer.status_code == 303, (method, path)
            assert answer.headers["location"].startswith("/sign-in"), path
            seen += 1
    assert seen >= 14


def test_staff_may_not_work_in_the_office(builder: TestClient, app: FastAPI) -> None:
    from webapp.accounts.tables import Account
    from webapp.common.storage.database import writing

    with writing(app.state.engine) as session:
        from sqlmodel import select

        for account in session.exec(select(Account).where(Account.name == "Edda")).all():
            account.role = STAFF
            session.add(account)
    assert builder.get("/office").status_code == 403


def test_pages_open(draft: TestClient) -> None:
    for path in ("/office", "/office/models/knapweed", AT, f"{AT}/shared", f"{AT}/size/m",
                 f"{AT}/effect", f"{AT}/publish", "/office/models/burdock/1",
                 "/office/models/burdock/1/effect"):  # fmt: skip
        answer = draft.get(path)
        assert answer.status_code == 200, path
        assert answer.headers["cache-control"] == "no-store"
    assert draft.get("/office/models/knapweed/9").status_code == 404
    assert draft.get("/office/models/nothing").status_code == 404


def test_a_grid_is_kept_and_a_wrong_cell_comes_back_as_typed(draft: TestClient) -> None:
    kept = draft.post(f"{AT}/sizes", data=grid(draft, m__reach="474"), follow_redirects=False)
    assert kept.status_code == 303
    assert 'name="m.reach" value="474"' in draft.get(AT).text
    wrong = draft.post(f"{AT}/sizes", data=grid(draft, m__reach="far", s__stack="610"))
    assert wrong.status_code == 422
    assert 'name="m.reach" value="far"' in wrong.text
    assert 'name="s.stack" value="610"' in wrong.text
    assert "from 280 to 620 mm" in wrong.text
    assert 'name="s.stack" value="609"' in draft.get(AT).text


def test_a_draft_is_kept_with_a_note(draft: TestClient) -> None:
    """It stands on the draft and in the list, is merged and undone as cells are."""
    words = "Longer reach < 480, ask Edda"
    form = grid(draft, m__reach="474", draft_note=words)
    assert draft.post(f"{AT}/sizes", data=form, follow_redirects=False).status_code == 303
    for address in (AT, "/office/models/knapweed", "/office"):
        assert "Longer reach &lt; 480, ask Edda" in draft.get(address).text
    met = draft.post(f"{AT}/sizes", data=form | {"draft_note": "Mine"})
    assert (met.status_code, "Note to this draft" in met.text) == (409, True)
    long = draft.post(f"{AT}/sizes", data=grid(draft, draft_note="x" * 501))
    assert (long.status_code, "at most 500 characters" in long.text) == (422, True)
    assert "x" * 501 in long.text
    proposed = draft.get(f"{AT}/publish").text
    assert "ask Edda" not in proposed
    draft.post(f"{AT}/undo")
    page = draft.get(AT).text
    assert re.search(r'<textarea[^>]* name="draft_note"[^>]*></textarea>', page)
    assert 'name="m.reach" value="474"' not in page


def test_the_check_answers_with_its_part_and_keeps_nothing(draft: TestClient) -> None:
    form = grid(draft, m__stack="671")
    answer = draft.post(f"{AT}/check", data=form, headers={"HX-Request-Type": "partial"})
    assert "contradicts itself" in answer.text
    assert "<html" not in answer.text
    assert 'name="m.stack" value="617"' in draft.get(AT).text


def test_two_people_at_one_draft_lose_nothing(draft: TestClient) -> None:
    mine = grid(draft, m__reach="476", l__reach="501")
    theirs = grid(draft, m__reach="474", s__reach="449")
    assert draft.post(f"{AT}/sizes", data=theirs, follow_redirects=False).status_code == 303
    told = draft.post(f"{AT}/sizes", data=mine)
    assert told.status_code == 409
    assert 'name="m.reach" value="476"' in told.text  # changed by both: mine, with theirs beside it
    assert "take theirs, 474" in told.text
    assert 'name="s.reach" value="449"' in told.text  # theirs alone
    assert 'name="l.reach" value="501"' in told.text  # mine alone
    assert 'name="m.reach" value="474"' in draft.get(AT).text  # nothing kept yet
    again = {
        **mine,
        "s.reach": "449",
        "stamp": hidden(told.text, "stamp"),
        "base": hidden(told.text, "base"),
        "theirs:m.reach": "474",
        "take:m.reach": "yes",
    }
    assert draft.post(f"{AT}/sizes", data=again, follow_redirects=False).status_code == 303
    page = draft.get(AT).text
    assert 'name="m.reach" value="474"' in page
    assert 'name="l.reach" value="501"' in page


def test_a_table_is_pasted_without_a_script(draft: TestClient) -> None:
    form = grid(draft) | {"do": "paste", "table": "\tM\tL\nSeat tube length\t370\t395"}
    answer = draft.post(f"{AT}/sizes", data=form)
    assert answer.status_code == 200
    assert 'name="m.seat_tube_length" value="370"' in answer.text
    form["table"] = "\tM\nGirth\t370"
    refused = draft.post(f"{AT}/sizes", data=form)
    assert refused.status_code == 422
    assert "Girth" in refused.text


def test_publishing_refuses_a_contradiction_and_a_draft_that_has_moved(draft: TestClient) -> None:
    draft.post(f"{AT}/sizes", data=grid(draft, m__stack="671"))
    look = draft.get(f"{AT}/publish").text
    assert "cannot be published" in look
    stamp = hidden(look, "stamp")
    form = {"stamp": stamp, "changelog": "Words."}
    assert draft.post(f"{AT}/publish", data=form).status_code == 422
    draft.post(f"{AT}/sizes", data=grid(draft, m__stack="617"))
    assert draft.post(f"{AT}/publish", data=form).status_code == 409
    form["stamp"] = hidden(draft.get(f"{AT}/publish").text, "stamp")
    assert draft.post(f"{AT}/publish", data=form, follow_redirects=False).status_code == 303
    assert "Revision 3" in draft.get("/table/knapweed").text
    assert draft.post(f"{AT}/sizes", data={"stamp": ""}).status_code == 409
    assert draft.post(f"{AT}/publish", data=form).status_code == 409


def test_withdrawing_needs_a_reason_and_old_addresses_say_it(draft: TestClient) -> None:
    at = "/office/models/knapweed/1/withdraw"
    assert draft.post(at, data={"reason": " "}).status_code == 422
    reason = "The slot was too short for a chain."
    assert draft.post(at, data={"reason": reason}, follow_redirects=False).status_code == 303
    assert reason in draft.get("/table/knapweed?rev=1").text


def test_shared_data_and_sizes_are_kept_by_their_forms(draft: TestClient) -> None:
    page = draft.get(f"{AT}/shared").text
    names = re.findall(r'<input class="field-control" id="f-[^"]+" name="([^"]+)"', page)
    assert "drawn_with.front_radius" in names
    from webapp.catalogue.schema.frames import RevisionData
    from webapp.common.storage.database import reading
    from webapp.office.forms.data_form import texts_of
    from webapp.office.revisions.drafts import read_revision

    app = draft.app
    with reading(app.state.engine) as session:  # type: ignore[attr-defined]
        texts = texts_of(RevisionData, read_revision(session, "knapweed", 3).raw)
    form = texts | {"note": "Cast dropouts.", "stamp": hidden(page, "stamp"),
                    "base": hidden(page, "base")}  # fmt: skip
    assert draft.post(f"{AT}/shared", data=form, follow_redirects=False).status_code == 303
    assert "Cast dropouts." in draft.get(f"{AT}/shared").text
    stale = draft.post(f"{AT}/shared", data=form | {"note": "Forged dropouts."})
    assert stale.status_code == 409
    assert "Forged dropouts." in stale.text
    bad = form | {"post_diameter": "thick", "stamp": hidden(stale.text, "stamp")}
    refused = draft.post(f"{AT}/shared", data=bad)
    assert refused.status_code == 422
    assert 'value="thick"' in refused.text


def test_sizes_are_added_and_taken_out_and_undo_brings_them_back(draft: TestClient) -> None:
    form = {"size_name": "Medium long", "like": "m"}
    assert draft.post(f"{AT}/add-size", data=form, follow_redirects=False).status_code == 303
    assert "Medium long" in draft.get(AT).text
    assert draft.post(f"{AT}/add-size", data=form).status_code == 409
    draft.post(f"{AT}/size/medium-long/remove")
    assert "Medium long" not in draft.get(AT).text
    draft.post(f"{AT}/undo")
    assert "Medium long" in draft.get(AT).text
    draft.post(f"{AT}/redo")
    assert "Medium long" not in draft.get(AT).text
