"""The effect of an edit over every build, held against builds solved one by one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import Engine

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import of_parts
from webapp.builds.fitting.checks import fit_checks
from webapp.builds.solving.figures import solve_states
from webapp.builds.solving.solver_inputs import assemble
from webapp.catalogue.reading.assumed import with_assumed
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import reading, writing
from webapp.office.effect.figures import figure_changes
from webapp.office.effect.open_quotes import touched_quotes
from webapp.office.effect.orderable_builds import SHARES, combinations, judge_all
from webapp.office.effect.summary import FIGURES, Effect, effect_of
from webapp.office.revisions.drafts import begin_draft, locked_revision
from webapp.office.revisions.size_grid import cells_of, save_cells

WHO = "Edda"


def edited(shop: Engine, **cells: str) -> tuple[Catalogue, Catalogue]:
    """The published Knapweed and a draft with some cells changed."""
    with writing(shop) as session:
        number = begin_draft(session, who=WHO, model="knapweed").number
        revision = locked_revision(session, "knapweed", number)
        changed = {name.replace("__", "."): text for name, text in cells.items()}
        save_cells(
            session, who=WHO, revision=revision, cells={**cells_of(revision.sizes), **changed}
        )
    with reading(shop) as session:
        return (
            load_catalogue(session, "knapweed", 2),
            load_catalogue(session, "knapweed", number, drafts=True),
        )


def figure(effect: Effect, key: str) -> tuple[int, int, int, int]:
    return next(each for each in effect.figures if each.key == key).counts


def test_a_revision_beside_itself_changes_nothing(trail: Catalogue) -> None:
    effect = effect_of(trail, trail)
    assert effect.builds == 270  # 6 sizes, 5 forks, 3 pairs of wheels, 3 axle positions
    assert effect.before == effect.after == effect.both > 100
    assert effect.flips == ()
    assert effect.droppers == ()
    assert not any((effect.figures, effect.gone, effect.come))


@pytest.mark.parametrize("figure_key", FIGURES)
def test_the_matrix_gives_what_each_build_gives(
    trail: Catalogue, catalogues: dict[tuple[str, int], Catalogue], figure_key: str
) -> None:
    """Independent way: each build assembled and solved alone."""
    before = catalogues["knapweed", 1]
    forks, combined = combinations(trail)
    sizes = [size.slug for size in before.sizes]
    found = figure_changes(before, trail, sizes, forks, (combined, combined)).of(figure_key)
    for s, f, w, p in ((0, 0, 0, 0), (4, 3, 2, 2), (2, 1, 1, 1)):
        one = combined[f * 3 + w].choice
        values = []
        for catalogue in (before, trail):
            slot = SHARES[p] * catalogue.size(sizes[s]).data.slot_length
            choice = replace(one, revision=catalogue.revision.number, size=sizes[s], slot=slot)
            assembly = assemble(catalogue, choice)
            solved = solve_states(assembly, standover_at=catalogue.revision.data.standover_at)
            values.append(solved["unloaded"].figures[figure_key])
        assert found[s, f, w, p, 0] == pytest.approx(values[1] - values[0], abs=1e-6)


def test_reach_of_one_size_moves_the_builds_of_that_size_alone(shop: Engine) -> None:
    effect = effect_of(*edited(shop, m__reach="476", m__stack="617"))
    same, little, more, much = figure(effect, "reach")
    assert little == 0
    assert much == 0
    assert more * 5 == same  # one size of six
    reach = next(each for each in effect.figures if each.key == "reach")
    # The longest fork turns the frame by 3° from its drawing, and by 0.013° less with a front
    # centre 3 mm longer: 0.14 mm at a stack of 617 on top of the 3 mm drawn.
    assert 3.0 < reach.most < 3.15
    assert reach.most_at.words.startswith("Medium")
    assert "rev=2" in reach.most_at.address


def test_checks_that_flip_are_told_with_their_builds(shop: Engine) -> None:
    """A shallow bore: the usual dropper no longer goes in far enough."""
    effect = effect_of(*edited(shop, m__post__depth="60", m__post__boss_depth=""))
    lost = [flip for flip in effect.flips if flip.worse]
    assert lost
    assert effect.after < effect.before
    assert all(build.words.startswith("Medium") for flip in lost for build in flip.builds)
    assert effect.flips[0].worse


def test_shorter_seat_tubes_take_longer_droppers(shop: Engine) -> None:
    """A seat tube 25 mm shorter with the same bore lowers every saddle by 25 mm."""
    effect = effect_of(*edited(shop, m__seat_tube_length="377"))
    (row,) = effect.droppers
    assert row.size == "Medium"
    longer = [(a or 0.0, b or 0.0) for _, a, b in row.cells if a != b]
    assert any(after > before for before, after in longer)


def test_open_quotes_are_told_what_would_change(shop: Engine, ask_for_medium: str) -> None:
    before, after = edited(shop, m__reach="476")
    with reading(shop) as session:
        (touched,) = touched_quotes(session, before, after, today=date(2026, 3, 2))
        assert touched_quotes(session, before, after, today=date(2027, 1, 1)) == ()
    assert (touched.number, touched.size, touched.revision) == (ask_for_medium, "Medium", 2)
    assert touched.changes[1] == "+3.1"
    with reading(shop) as session:
        tourer = load_catalogue(session, "burdock")
        assert touched_quotes(session, tourer, tourer, today=date(2026, 3, 2)) == ()


@pytest.fixture
def ask_for_medium(shop: Engine) -> str:
    """The number of a quote for a Medium."""
    from tests.webapp.quote.conftest import CUSTOMER, MOMENT
    from webapp.quote.lifecycle.request import ask_for_quote

    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["m"]}).strict()
    with writing(shop) as session:
        return ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=MOMENT).number


def test_checks_judged_once_for_all_axle_positions_are_right_at_each(trail: Catalogue) -> None:
    """Independent way: every check of a build judged by itself at its own axle position."""
    judged = judge_all(trail, combinations(trail)[1])
    for place, one in list(judged.items())[::7]:
        assembly = assemble(trail, one.choice)
        setup = Setup(catalogue=trail, choice=one.choice, assembly=assembly)
        alone = {check.code: check.outcome for check in of_parts(setup)}
        assert {code: one.checks[code].outcome for code in alone} == alone, place


def test_a_shop_of_frames_and_forks_is_judged_by_what_it_sells(trail: Catalogue) -> None:
    """As the page of each build judges it: what is assumed, and a whole bike, are not looked at."""
    sold = {kind: views if kind == "fork" else () for kind, views in trail.parts.items()}
    frames = replace(trail, parts=with_assumed(sold, trail.revision.data, trail.sizes))
    judged = judge_all(frames, combinations(frames)[1])
    assert judged
    for place, one in judged.items():
        assembly = assemble(frames, one.choice)
        setup = Setup(catalogue=frames, choice=one.choice, assembly=assembly)
        page = {check.code: check.outcome for check in fit_checks(setup)}
        assert {code: check.outcome for code, check in one.checks.items()} == page, place
