"""What the table check found, in words."""

from __future__ import annotations

import dataclasses
from typing import get_args

from geometry.examples import trail_hardtail
from geometry.verify import RELATIONS, DrawnSize, Finding, What, check_table
from webapp.common.text.glossary import glossary_sentences
from webapp.geometry_table.finding_sentences import FOUND_BY, finding_name, finding_remedy


def found(**published: float) -> Finding:
    size = DrawnSize(name="M", frame=trail_hardtail(), published=published)
    return check_table([size]).findings[0]


def test_one_value_that_would_mend_it_is_named_with_both_numbers() -> None:
    finding = found(wheelbase=1190.0)
    assert finding_name(finding) == "Wheelbase"
    told = "wheelbase of size M: 1180 mm instead of 1190 mm would correct it"
    assert finding_remedy(finding) == told


def test_an_angle_has_its_sign_without_a_space() -> None:
    finding = found(wheelbase=1190.0)
    best = dataclasses.replace(finding.mends[0], key="frame.head_angle", then=64.5, now=65.0)
    told = finding_remedy(dataclasses.replace(finding, mends=(best,)))
    assert told == "drawn head angle of size M: 64.5° instead of 65° would correct it"


def test_where_no_single_value_would_mend_it_the_size_is_to_be_drawn_again() -> None:
    nothing = dataclasses.replace(found(wheelbase=1190.0), mends=())
    assert finding_remedy(nothing) == "no single value would correct it: draw this size again"
    assert finding_remedy(dataclasses.replace(nothing, outcome="clear")) == ""


def test_a_column_that_decreases_names_both_sizes() -> None:
    frame = trail_hardtail()
    lower = dataclasses.replace(frame, reach=frame.reach - 20.0)
    sizes = [DrawnSize(name="M", frame=frame), DrawnSize(name="L", frame=lower)]
    orders = [one for one in check_table(sizes).findings if one.what == "order"]
    assert orders, "a lower reach in the larger size is found"
    told = {finding_remedy(one) for one in orders}
    assert "drawn reach should not decrease from size M to size L" in told


def test_every_kind_of_comparison_and_every_relation_has_its_words() -> None:
    assert set(FOUND_BY) == set(get_args(What))
    texts = {text for _, text in glossary_sentences()}
    assert {relation.name for relation in RELATIONS} <= texts
