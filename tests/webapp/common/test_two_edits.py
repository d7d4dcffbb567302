"""Two people's changes of one form, against the rule written out for every case there is."""

from __future__ import annotations

import itertools

import pytest

from webapp.common.errors import Invalid
from webapp.common.two_edits import (
    Clash,
    Taken,
    as_base,
    base_of,
    edit_form,
    merge,
    merged_if_changed,
    stamp_of,
)

CASES = list(itertools.product(["", "one", "two", "three"], repeat=3))


@pytest.mark.parametrize(("was", "theirs", "mine"), CASES)
def test_a_field_is_of_one_of_three_kinds(was: str, theirs: str, mine: str) -> None:
    """Changed by one alone: that stands. Changed alike: so be it. Changed differently: a clash."""
    merged = merge({"reach": was}, {"reach": theirs}, {"reach": mine}, label=str.upper)
    i_changed, they_changed = mine != was, theirs != was
    both_differently = i_changed and they_changed and mine != theirs
    assert merged.fields == {"reach": mine if i_changed else theirs}
    assert merged.clashes == (
        (Clash(name="reach", label="REACH", was=was, theirs=theirs, mine=mine),)
        if both_differently
        else ()
    )
    assert merged.taken == (
        (Taken(name="reach", label="REACH", was=was, now=theirs),)
        if they_changed and not i_changed
        else ()
    )


def test_fields_that_only_one_form_has_are_empty_in_the_others() -> None:
    merged = merge({"gone": "1"}, {"theirs": "2"}, {"mine": "3"})
    assert merged.fields == {"gone": "", "theirs": "2", "mine": "3"}
    assert list(merged.fields) == ["gone", "theirs", "mine"]
    assert (merged.clashes, [one.name for one in merged.taken]) == ((), ["theirs"])


def test_nothing_is_merged_while_the_content_is_what_was_opened() -> None:
    now = {"reach": "450", "stack": "641"}
    sent = {"stamp": stamp_of(now), "base": "no page sends this", "reach": "460"}
    assert merged_if_changed(sent, now) is None
    assert merged_if_changed(sent | {"stamp": "parts"}, now, stamp="parts") is None
    with pytest.raises(Invalid):  # the stamp of more than these fields is another one
        merged_if_changed(sent, now, stamp="parts")


def test_a_changed_form_is_merged_in_the_fields_that_exist_now() -> None:
    opened = {"reach": "450", "stack": "641", "dropped": "9"}
    sent = {"stamp": stamp_of(opened), "base": as_base(opened), "reach": "455", "dropped": "8"}
    merged = merged_if_changed(sent, {"reach": "450", "stack": "639", "new": "1"})
    assert merged is not None
    # What the form did not send is as it was opened; what was not there then was empty.
    assert merged.fields == {"reach": "455", "stack": "639", "new": "1"}
    assert (merged.clashes, [one.name for one in merged.taken]) == ((), ["stack", "new"])


def test_fields_of_my_own_stand_for_those_sent() -> None:
    opened = {"weight": "2.5"}
    sent = {"stamp": stamp_of(opened), "base": as_base(opened), "weight": "2,4 kg"}
    merged = merged_if_changed(sent, {"weight": "2.6"}, {"weight": "2.4"}, label=lambda _: "Weight")
    assert merged is not None
    (clash,) = merged.clashes
    assert (clash.label, clash.was, clash.theirs, clash.mine) == ("Weight", "2.5", "2.6", "2.4")


def test_the_hidden_fields_of_a_page() -> None:
    now = {"reach": "450"}
    fresh = edit_form(now)
    assert (fresh.stamp, base_of({"base": fresh.base})) == (stamp_of(now), now)
    assert (fresh.clashes, fresh.taken) == ((), ())
    assert edit_form(now, stamp="parts").stamp == "parts"
    refused = edit_form(now, {"stamp": "old", "base": '{"reach":"440"}'}, stamp="parts")
    assert (refused.stamp, refused.base) == ("old", '{"reach":"440"}')
    merged = merge({"a": "1", "b": "1"}, {"a": "2", "b": "2"}, {"a": "3", "b": "1"})
    met = edit_form(now, None, merged)
    assert (met.clashes, met.taken) == (merged.clashes, merged.taken)
    assert [one.name for one in met.clashes] == ["a"]
    assert [one.name for one in met.taken] == ["b"]


def test_a_stamp_follows_the_content_and_not_its_order() -> None:
    assert stamp_of({"a": "1", "b": "2"}) == stamp_of({"b": "2", "a": "1"})
    assert len({stamp_of({"a": "1"}), stamp_of({"a": "2"}), stamp_of({"b": "1"})}) == 3
    assert len(stamp_of({})) == 20
    assert stamp_of({"a": "\ud800"}) != stamp_of({"a": "\ud801"})  # halves of a pair, typed badly
    assert as_base({"b": "é", "a": "1"}) == '{"a":"1","b":"\\u00e9"}'


@pytest.mark.parametrize("base", ["", "[]", '"reach"', "{"])
def test_a_base_that_no_page_has_sent_is_refused(base: str) -> None:
    with pytest.raises(Invalid) as refused:
        base_of({"base": base})
    assert refused.value.field == "base"
    assert base_of({}) == {}
    assert base_of({"base": '{"reach":450}'}) == {"reach": "450"}
