"""Everything geometry can say has one sentence, made of the values it carries."""

from __future__ import annotations

import dataclasses
import typing
from enum import Enum
from string import Formatter

import pytest

from geometry.checks import AllMissing, Compared, NotStated, Source
from geometry.core import AnyOf, Statement
from geometry.drive import HalfLink, RingAtMost
from tests.webapp.common.text.every_statement import every_statement
from webapp.builds.fitting.sentences import CHECK_SENTENCES
from webapp.common.remedies import REMEDIES
from webapp.common.text.statements import Sentences

TOPICS = (CHECK_SENTENCES, REMEDIES)
SAID_WITH_THE_RULE = {AllMissing, Compared, NotStated}
"""Their words stand with each rule of fit (tests/webapp/builds/fitting/test_rule.py)."""


def test_every_statement_has_its_sentence_in_one_place() -> None:
    told = [kind for topic in TOPICS for kind in topic.of]
    assert len(told) == len(set(told)), "two sentences for one statement"
    assert set(told) | SAID_WITH_THE_RULE == set(every_statement())


def test_every_sentence_names_the_values_that_its_statement_carries() -> None:
    for topic in TOPICS:
        for kind, sentence in topic.of.items():
            named = {name for _, name, _, _ in Formatter().parse(sentence) if name is not None}
            carried = {field.name for field in dataclasses.fields(kind)}
            assert named == carried, kind.__name__


def words_in(kind: type[Statement]) -> set[type[Enum]]:
    hints = typing.get_type_hints(kind).values()
    return {hint for hint in hints if isinstance(hint, type) and issubclass(hint, Enum)}


def test_every_word_that_a_statement_can_carry_is_known() -> None:
    for topic in TOPICS:
        enums = {enum for kind in topic.of for enum in words_in(kind)}
        missing = [word for enum in enums for word in enum if word not in topic.words]
        assert not missing
    assert all(source in CHECK_SENTENCES.words for source in Source)


def test_ways_are_told_one_after_the_other() -> None:
    topic = Sentences({RingAtMost: "at most {most:g}", HalfLink: "a half link"})
    ways = AnyOf(ways=(HalfLink(), RingAtMost(most=33.0)))
    assert topic.say(ways) == "a half link, or at most 33"


def test_a_statement_without_its_sentence_is_an_error_and_not_an_empty_line() -> None:
    with pytest.raises(KeyError):
        Sentences({}).say(HalfLink())
