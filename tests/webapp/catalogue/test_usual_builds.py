"""The builder's usual build of every size opens clear, and can be ordered."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue

REVISIONS = [("knapweed", 1), ("knapweed", 2), ("burdock", 1)]


@pytest.mark.parametrize("key", REVISIONS)
def test_every_usual_build_is_clear_and_orderable(
    catalogues: Mapping[tuple[str, int], Catalogue], key: tuple[str, int]
) -> None:
    catalogue = catalogues[key]
    for size in catalogue.sizes:
        read = read_choice(catalogue, {"size": [size.slug]})
        result = compute(catalogue, read.strict())
        found = {check.code: check.outcome for check in result.checks}
        assert set(found.values()) <= {"clear", None}, (size.slug, not_clear(found))
        assert result.can_be_ordered, size.slug


def not_clear(found: Mapping[str, str | None]) -> dict[str, str | None]:
    return {code: outcome for code, outcome in found.items() if outcome != "clear"}


def test_every_published_revision_is_looked_at(
    catalogues: Mapping[tuple[str, int], Catalogue],
) -> None:
    assert sorted(catalogues) == sorted(REVISIONS)
