"""The sheet of a frame names what its figures assume, and sets nothing that is not sold."""

from __future__ import annotations

import pytest
from sqlalchemy import Engine

from tests.webapp.quote.conftest import Ask
from webapp.builds.choice.places import PLACE_OF
from webapp.quote.printing.pdf import sheet_data

UNSOLD = {
    "Saddle height",
    "Spacers",
    "Chain",
    "Belt",
    "Slack of the chain",
    "Stem",
    "Post insertion",
}
ASSUMED = {
    "frame": ("fork", "headset", "rim_front", "tyre_front", "rim_rear", "tyre_rear"),
    "frameset": ("rim_front", "tyre_front", "rim_rear", "tyre_rear"),
    "bike": (),
}
COCKPIT = {"effective_seat_angle", "grip_height", "saddle_above_ground", "grips_to_rear_axle"}


@pytest.mark.parametrize("scope", ["frame", "frameset", "bike"])
def test_what_is_assumed_is_named_and_what_is_not_sold_is_not_set(
    ask: Ask, engine: Engine, scope: str
) -> None:
    content = ask(engine, size="m", scope=scope).content
    assumed = {PLACE_OF[name].label for name in ASSUMED[scope]}
    for told in (content.settings, content.assembly):
        named = {each.label for each in told if each.note.startswith("assumed by the figures")}
        assert named == assumed
        assert all(each.value for each in told)
    labels = {each.label for each in (*content.settings, *content.assembly)}
    if scope != "bike":
        assert not labels & UNSOLD
    else:
        assert {"Saddle height", "Spacers", "Stem", "Post insertion"} <= labels


@pytest.mark.parametrize("scope", ["frame", "frameset"])
def test_no_figure_or_drawing_of_a_frame_tells_of_a_saddle_not_sold(
    ask: Ask, engine: Engine, scope: str
) -> None:
    quote = ask(engine, size="m", scope=scope)
    content = quote.content
    assert not COCKPIT & {figure.key for figure in content.figures}
    assert {"head_angle", "reach", "stack", "trail", "bb_height"} <= {
        f.key for f in content.figures
    }
    assert "saddle height" not in content.drawing.words.lower()
    assert sheet_data(quote, link="https://shop.example/q/x", paper="A4")["first_ride"] == ()
    assert "Fork sag" not in {each.label for each in content.settings} or scope == "frameset"
