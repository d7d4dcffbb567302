"""Drafts: begun from the published revision, edited in the grid, checked, undone, merged."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import Engine

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import publish
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import reading, writing
from webapp.office.imported_tables.lines import rows_of_text
from webapp.office.revisions.drafts import (
    RevisionContent,
    begin_draft,
    locked_revision,
    read_revision,
)
from webapp.office.revisions.paste import paste
from webapp.office.revisions.revision_differences import changelog, differences
from webapp.office.revisions.size_grid import cells_of, save_cells, sizes_from
from webapp.office.revisions.table_check import TableReport, check_sizes
from webapp.office.revisions.undo import redo, saves_of, stacks, undo
from webapp.office.save import one_save

WHO = "Edda"
SHORTER = {"xs": "330", "s": "353", "m": "377", "l": "403", "xl": "431", "xxl": "461"}


def draft(shop: Engine) -> RevisionContent:
    with writing(shop) as session:
        return begin_draft(session, who=WHO, model="knapweed")


def saved(shop: Engine, revision: RevisionContent, **changed: str) -> RevisionContent:
    """Save cells, written as ``m__seat_tube_length``."""
    cells = {name.replace("__", "."): text for name, text in changed.items()}
    with writing(shop) as session, one_save(session):
        now = locked_revision(session, revision.model, revision.number)
        save_cells(session, who=WHO, revision=now, cells={**cells_of(now.sizes), **cells})
    with reading(shop) as session:
        return read_revision(session, revision.model, revision.number)


def report(revision: RevisionContent, **changed: str) -> TableReport:
    cells = {name.replace("__", "."): text for name, text in changed.items()}
    data, problems = sizes_from(revision, {**cells_of(revision.sizes), **cells})
    return check_sizes(revision.sizes, data, revision.data.drawn_with, problems=problems)


def test_a_draft_begins_as_a_copy_of_the_published_one(shop: Engine) -> None:
    begun = draft(shop)
    with reading(shop) as session:
        published = read_revision(session, "knapweed", 2)
    assert (begun.number, begun.state) == (3, "draft")
    assert begun.raw == published.raw
    assert begun.sizes == published.sizes
    with pytest.raises(Conflict, match="revision 3"):
        draft(shop)


def test_saved_cells_change_the_draft_and_nothing_published(shop: Engine) -> None:
    begun = draft(shop)
    after = saved(shop, begun, m__seat_tube_length="370,5")
    assert after.size("m").data.seat_tube_length == 370.5
    assert after.size("s") == begun.size("s")
    assert after.stamp != begun.stamp
    with reading(shop) as session:
        assert load_catalogue(session, "knapweed").size("m").data.seat_tube_length == 402


def test_an_optional_cell_can_be_emptied_and_another_cannot(shop: Engine) -> None:
    begun = draft(shop)
    assert saved(shop, begun, m__post__boss_depth="").size("m").data.post.boss_depth is None
    with pytest.raises(Invalid) as refused:
        saved(shop, begun, m__reach="", s__stack="tall")
    assert {p.field for p in refused.value.problems} == {"m.reach", "s.stack"}


def test_the_table_check_warns_of_a_deliberate_mistake(shop: Engine) -> None:
    begun = draft(shop)
    assert report(begun).outcome != "no"
    assert report(begun).can_be_published
    wrong = report(begun, m__stack="671")
    assert not wrong.can_be_published
    first = wrong.remarks[0]
    assert (first.size, first.outcome) == ("Medium", "no")
    assert any("Drawn stack, size Medium: 617 mm instead of 671" in m for m in first.mends)


def test_a_contradictory_size_is_kept_as_a_draft_but_not_published(shop: Engine) -> None:
    begun = saved(shop, draft(shop), m__stack="671")
    with pytest.raises(Invalid, match="closure"), writing(shop) as session:
        publish(session, who=WHO, model="knapweed", revision=begun.number, on=date(2026, 5, 1))
    with reading(shop) as session:
        assert read_revision(session, "knapweed", begun.number).state == "draft"


def test_a_cell_that_is_no_number_leaves_the_other_sizes_checked(shop: Engine) -> None:
    found = report(draft(shop), s__reach="wide")
    assert [p.field for p in found.problems] == ["s.reach"]
    assert len(found.closures) == 5


def test_undo_takes_back_save_by_save_and_redo_does_them_again(shop: Engine) -> None:
    begun = draft(shop)
    saved(shop, begun, m__reach="474", l__reach="499")
    twice = saved(shop, begun, m__reach="475")
    for step, expected in (
        (undo, ("474", "499")),
        (undo, ("473", "498")),
        (redo, ("474", "499")),
        (redo, ("475", "499")),
    ):
        with writing(shop) as session:
            step(session, who=WHO, revision=locked_revision(session, "knapweed", begun.number))
        with reading(shop) as session:
            cells = cells_of(read_revision(session, "knapweed", begun.number).sizes)
        assert (cells["m.reach"], cells["l.reach"]) == expected
    with reading(shop) as session:
        found = stacks(saves_of(session, twice))
    assert len(found.done) == 2
    assert found.done[1].places == "m, l"
    assert found.undone == ()


def test_undo_stops_at_the_draft_as_it_was_begun(shop: Engine) -> None:
    begun = draft(shop)
    with pytest.raises(Conflict), writing(shop) as session:
        undo(session, who=WHO, revision=begun)


def test_changelog_says_what_changed_in_words(shop: Engine) -> None:
    begun = draft(shop)
    with reading(shop) as session:
        published = read_revision(session, "knapweed", 2)
    same = differences(published, begun)
    assert not any(row.changed for row in same.rows)
    assert (same.added, same.removed, same.others) == ((), (), ())
    after = saved(
        shop,
        begun,
        **{f"{slug}__seat_tube_length": text for slug, text in SHORTER.items()},
        m__reach="476",
        l__reach="500",
    )
    assert changelog(differences(published, after)).splitlines() == [
        "Reach 2 to 3 mm longer in Medium, Large.",
        "Seat tube length 25 mm shorter in every size.",
    ]


def test_a_number_alike_in_every_size_is_told_by_its_values(shop: Engine) -> None:
    begun = draft(shop)
    with reading(shop) as session:
        published = read_revision(session, "knapweed", 2)
    after = saved(shop, begun, **{f"{slug}__slot_length": "26" for slug in SHORTER})
    assert changelog(differences(published, after)) == "Slot length 26 mm instead of 24."


def test_pasting_by_name_and_from_a_corner(shop: Engine) -> None:
    begun = draft(shop)
    cells = cells_of(begun.sizes)
    named = paste(
        rows_of_text("\tS\tMedium\nSeat tube length\t345\t370\n"), begun.sizes, cells
    ).cells
    assert (named["s.seat_tube_length"], named["m.seat_tube_length"]) == ("345", "370")
    line = "\t".join(SHORTER.values())
    spread = paste(rows_of_text(line), begun.sizes, cells, corner="xs.seat_tube_length").cells
    assert [spread[f"{slug}.seat_tube_length"] for slug in SHORTER] == list(SHORTER.values())
    partly = paste(rows_of_text("\tM\tHuge\nReach\t470\t500\nGirth\t1\t2"), begun.sizes, cells)
    assert partly.cells["m.reach"] == "470"
    assert partly.unread == (
        "line 3, Girth: no dimension of ours",
        "Huge: no size of this revision",
    )
    for text, words in (("\tHuge\nReach\t470", "Huge"), ("\tM\nGirth\t1", "Girth"), ("", "")):
        with pytest.raises(Invalid) as refused:
            paste(rows_of_text(text), begun.sizes, cells)
        assert refused.value.value == words
    with pytest.raises(Invalid, match="line 1 goes beyond the grid"):
        paste(rows_of_text("1\t2"), begun.sizes, cells, corner="xxl.reach")
