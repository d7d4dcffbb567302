"""The sheet of a frame names what its figures assume, and sets nothing that is not sold."""

from __future__ import annotations

import io

import pypdf
import pytest
from sqlalchemy import Engine

from tests.webapp.quote.conftest import Ask
from webapp.builds.choice.places import PLACE_OF
from webapp.quote.printing.pdf import quote_pdf, sheet_data

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


@pytest.mark.parametrize(("scope", "assumed"), [("frame", 5), ("frameset", 4)])
def test_the_sheet_names_and_draws_what_is_assumed_and_leaves_out_what_is_not_sold(
    ask: Ask, engine: Engine, scope: str, assumed: int
) -> None:
    """Assumed parts have the line of adjacent parts; saddle, bar and crank are not drawn."""
    quote = ask(engine, size="m", scope=scope)
    drawing = quote.content.drawing
    for drawn in (drawing.full, drawing.compact, drawing.paper, drawing.small):
        assert drawn.count('class="adjacent') == assumed
        for part in ("saddle", "cockpit", "post", "crank"):
            assert f"part-{part}" not in drawn
    whole = ask(engine, size="m").content.drawing
    assert "adjacent" not in whole.paper
    assert "part-saddle" in whole.paper
    paper = quote_pdf(quote, link="https://shop.example/q/x", paper="A4")
    first = " ".join(pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text().split())
    for setting in quote.content.settings:
        assert setting.value in first
