"""A part that is no longer made still opens in old addresses, and is not sold any more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType

import pytest

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.builds.page.context import build_page
from webapp.catalogue.reading.views import AnyPart, Catalogue


def changed(catalogue: Catalogue, kind: str, change: Callable[[AnyPart], AnyPart]) -> Catalogue:
    """The catalogue with every part of one kind passed through ``change``."""
    parts = {**catalogue.parts, kind: tuple(map(change, catalogue.parts[kind]))}
    return replace(catalogue, parts=MappingProxyType(parts))


@pytest.fixture
def without_saddle(trail: Catalogue) -> Catalogue:
    """The usual saddle retired, another named in its stead."""
    usual = trail.standard("saddle")
    assert usual is not None
    other = next(part for part in trail.offered("saddle") if part.slug != usual.slug)

    def retire(part: AnyPart) -> AnyPart:
        gone = part.slug == usual.slug
        return replace(part, retired=True, replaced_by=other.slug) if gone else part

    return changed(trail, "saddle", retire)


def test_old_address_opens_and_cannot_be_ordered(
    trail: Catalogue, without_saddle: Catalogue
) -> None:
    usual = trail.standard("saddle")
    assert usual is not None
    read = read_choice(without_saddle, {"saddle": [usual.slug]})
    result = compute(without_saddle, read.strict())
    assert not result.can_be_ordered
    (failed,) = result.failed
    assert failed.reason == f"{usual.name} is no longer made"
    other = next(part for part in without_saddle.parts["saddle"] if not part.retired)
    assert other.name in failed.remedy
    page = build_page(without_saddle, read, result)
    assert not page.can_be_ordered
    assert page.checks.failing[0].reason.endswith("is no longer made.")


def test_the_usual_build_takes_another(without_saddle: Catalogue) -> None:
    assert compute(without_saddle, read_choice(without_saddle, {}).strict()).can_be_ordered


def test_frame_alone_does_not_care(trail: Catalogue, without_saddle: Catalogue) -> None:
    usual = trail.standard("saddle")
    assert usual is not None
    query = {"saddle": [usual.slug], "scope": ["frame"]}
    assert compute(without_saddle, read_choice(without_saddle, query).strict()).can_be_ordered
