"""Chains and belts against printed tables, worked handbook examples and numeric integration.

Marks: [R] read in the source named, [E] from an excerpt of it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core.errors import InvalidInput, NoSolution
from geometry.drive.loop import (
    CHAIN_PITCH,
    Drive,
    centre_distance,
    derailleur_chain_links,
    loop_length,
)

teeth = st.integers(9, 60)
centres = st.floats(350.0, 520.0)
drives = st.sampled_from(["chain", "belt"])


@pytest.mark.parametrize(
    ("z", "expect"),
    [(11, 45.08), (16, 65.10), (18, 73.14), (20, 81.18), (32, 129.57), (34, 137.64), (44, 178.02)],
)
def test_two_half_inch_sprockets_touch_at_their_pitch_diameter(z: int, expect: float) -> None:
    """[E] printed sprocket table; its 1-inch values, given to 0.001 in, halved.

    Half a thousandth of an inch, halved, and half the last digit here: 0.0064 + 0.005 mm.
    """
    loop_length(expect + 0.0114, ring=z, sprocket=z)
    with pytest.raises(NoSolution):
        loop_length(expect - 0.0114, ring=z, sprocket=z)


def handbook_length(centre: float, ring: int, sprocket: int) -> float:
    """Loop length [pitches] in the handbooks' form, ``2C + (n+N)/2 + ((N−n)/2π)²/C``."""
    return 2 * centre + (ring + sprocket) / 2 + ((ring - sprocket) / (2 * np.pi)) ** 2 / centre


def test_chain_length_of_a_worked_example_and_back() -> None:
    """[R] Mott, Machine Elements in Mechanical Design, 4th ed., ex. 7-3: 17 and 65 teeth.

    The handbook's form gives 102.945 for 30 pitches and 30.5447 pitches, 15.272 in, for
    104. The exact loop is longer by 0.011 pitches, for which 104 pitches must be
    lengthened before they close at the handbook's centres: printed to 0.0005 in each
    length and 0.00005 in C, it is known to 0.0006; and the excess falls with 1/C,
    by 0.0002.
    """
    assert handbook_length(30.0, 65, 17) == pytest.approx(102.945, abs=0.0005)
    assert handbook_length(30.5447, 65, 17) == pytest.approx(104.0, abs=0.0001)
    exact = loop_length(30 * 12.7, ring=65, sprocket=17)
    assert exact == pytest.approx(102.956, abs=0.0005)
    lengthened = 104 + 102.956 - 102.945
    back = centre_distance(lengthened, ring=65, sprocket=17)
    assert back / 12.7 == pytest.approx(30.5447, abs=0.0008)
    assert back / 25.4 == pytest.approx(15.272, abs=0.0009)


def test_chain_length_of_a_second_example() -> None:
    """[E] 20 and 63 teeth at 36 pitches: 114.8; 114 pitches close at 35.59."""
    assert loop_length(36 * 12.7, ring=63, sprocket=20) == pytest.approx(114.8, abs=0.05)
    assert centre_distance(114, ring=63, sprocket=20) / 12.7 == pytest.approx(35.59, abs=0.005)


@pytest.mark.parametrize(
    ("sprocket", "ring", "pitches", "printed", "within"),
    [(17, 65, 30.0, 102.945, 0.0005), (20, 63, 36.0, 114.8, 0.05), (20, 63, 35.59, 114.0, 0.01)],
)
def test_the_exact_loop_stays_beside_the_handbooks_form(
    sprocket: int, ring: int, pitches: float, printed: float, within: float
) -> None:
    """Printed: [R] Mott, ex. 7-3 (102.945), and [E] (114.8; 35.59 for 114).

    The form is a series cut short: with N − n = 48 at 30 pitches the exact loop is longer
    by about a hundredth of a pitch, never by more than two.
    """
    approximate = handbook_length(pitches, ring, sprocket)
    assert approximate == pytest.approx(printed, abs=within)
    exact = loop_length(pitches * CHAIN_PITCH, ring=ring, sprocket=sprocket)
    assert exact == pytest.approx(approximate, abs=0.02)


def test_open_belt() -> None:
    """[R] Shigley, Mechanical Engineering Design, ch. 17: D 18, d 6, C 96 in.

    Pulleys of 1800 and 600 teeth of pitch π/100 in have just those diameters.
    """
    pitch = np.pi / 100
    pitches = loop_length(96.0, ring=1800, sprocket=600, drive="belt", pitch=pitch)
    assert pitches * pitch == pytest.approx(230.074, abs=0.0006)


def test_open_belt_holds_both_pulleys_by_the_printed_wrap_angles() -> None:
    """[R] Shigley, ch. 17: D 18, d 6, C 96 in; 3.2667 and 3.0165 rad.

    The straight runs and the two arcs by those angles make the length that is computed.
    """
    slope = np.arcsin((18.0 - 6.0) / (2.0 * 96.0))
    assert np.pi + 2.0 * slope == pytest.approx(3.2667, abs=0.00006)
    assert np.pi - 2.0 * slope == pytest.approx(3.0165, abs=0.00006)
    pitch = np.pi / 100
    length = pitch * loop_length(96.0, ring=1800, sprocket=600, drive="belt", pitch=pitch)
    arcs = length - 2.0 * np.sqrt(96.0**2 - 6.0**2)
    assert arcs == pytest.approx(9.0 * 3.2667 + 3.0 * 3.0165, abs=12 * 0.00005)


def pitch_radius(teeth: int, drive: Drive) -> float:
    """Of a polygon with so many sides, or of a circle as long as so many teeth [pitches]."""
    return float(0.5 / np.sin(np.pi / teeth)) if drive == "chain" else teeth / (2 * np.pi)


def integrated_length(centre: float, ring: int, sprocket: int, drive: Drive) -> float:
    """Loop length [pitches] by integrating the convex outline of both pitch circles.

    The outline's length is the integral of its support function over all
    directions, which knows nothing of tangent angles. Where it rests on a chain
    wheel it advances by teeth, not by arc: N teeth a turn.
    """
    direction = (np.arange(400_000) + 0.5) * (2 * np.pi / 400_000)
    radius_ring = pitch_radius(ring, drive)
    radius_sprocket = pitch_radius(sprocket, drive)
    from_ring = radius_ring + 0.0 * direction
    from_sprocket = radius_sprocket + centre * np.cos(direction)
    on_ring = from_ring > from_sprocket
    support = np.where(on_ring, from_ring, from_sprocket)
    chords = np.where(
        on_ring, radius_ring - ring / (2 * np.pi), radius_sprocket - sprocket / (2 * np.pi)
    )
    return float((support - chords).sum() * (2 * np.pi / 400_000))


@pytest.mark.parametrize("drive", ["chain", "belt"])
@pytest.mark.parametrize(
    ("centre", "ring", "sprocket"), [(33.4, 32, 20), (30.0, 65, 17), (33.0, 18, 18), (34.0, 12, 40)]
)
def test_loop_against_numeric_integration(
    centre: float, ring: int, sprocket: int, drive: Drive
) -> None:
    exact = loop_length(centre, ring=ring, sprocket=sprocket, drive=drive, pitch=1.0)
    assert exact == pytest.approx(integrated_length(centre, ring, sprocket, drive), abs=2e-4)


def test_chain_lies_round_polygons_about_as_long() -> None:
    """The hull of the two toothed polygons, over all ways they can be turned."""
    from scipy.spatial import ConvexHull

    ring, sprocket, centre = 32, 20, 33.4

    def polygon(z: int, phase: float) -> Any:
        angle = 2 * np.pi * (np.arange(z) + phase) / z
        return 0.5 / np.sin(np.pi / z) * np.column_stack([np.cos(angle), np.sin(angle)])

    phases = np.linspace(0, 1, 8, endpoint=False)
    lengths = [
        ConvexHull(np.vstack([polygon(ring, a), polygon(sprocket, b) - [centre, 0]])).area
        for a in phases
        for b in phases
    ]
    assert loop_length(centre, ring=ring, sprocket=sprocket, pitch=1.0) == pytest.approx(
        np.mean(lengths), abs=0.02
    )


@given(centre=centres, ring=teeth, sprocket=teeth, drive=drives)
def test_centre_distance_undoes_loop_length(
    centre: float, ring: int, sprocket: int, drive: Drive
) -> None:
    length = loop_length(centre, ring=ring, sprocket=sprocket, drive=drive)
    back = centre_distance(length, ring=ring, sprocket=sprocket, drive=drive)
    assert back == pytest.approx(centre, rel=1e-13)


@given(ring=teeth, sprocket=teeth, drive=drives, share=st.floats(0.0, 0.2))
def test_round_trip_down_to_touching_wheels(
    ring: int, sprocket: int, drive: Drive, share: float
) -> None:
    touching = CHAIN_PITCH * (pitch_radius(ring, drive) + pitch_radius(sprocket, drive))
    centre = touching * (1 + 1e-9 + share)
    length = loop_length(centre, ring=ring, sprocket=sprocket, drive=drive)
    assert centre_distance(length, ring=ring, sprocket=sprocket, drive=drive) == pytest.approx(
        centre, rel=1e-12
    )


@given(pitches=st.integers(110, 150), ring=teeth, sprocket=teeth)
def test_more_teeth_bring_the_centres_together(pitches: int, ring: int, sprocket: int) -> None:
    here = centre_distance(pitches, ring=ring, sprocket=sprocket)
    assert centre_distance(pitches, ring=ring + 1, sprocket=sprocket) < here
    assert centre_distance(pitches, ring=ring, sprocket=sprocket + 1) < here


@given(centre=centres, ring=teeth, sprocket=teeth, drive=drives)
def test_ring_and_sprocket_may_change_places(
    centre: float, ring: int, sprocket: int, drive: Drive
) -> None:
    one = loop_length(centre, ring=ring, sprocket=sprocket, drive=drive)
    assert loop_length(centre, ring=sprocket, sprocket=ring, drive=drive) == pytest.approx(
        one, rel=1e-14
    )


def test_equal_wheels_have_two_straight_runs_and_one_turn() -> None:
    assert loop_length(400.0, ring=18, sprocket=18) == pytest.approx(2 * 400 / 12.7 + 18)
    assert centre_distance(80, ring=18, sprocket=18) == pytest.approx(31 * 12.7)


def test_arrays_give_what_single_builds_give() -> None:
    ring, sprocket = np.array([[30], [32], [34]]), np.array([16, 18, 20, 22])
    table = centre_distance(104, ring=ring, sprocket=sprocket)
    assert isinstance(table, np.ndarray)
    assert table.shape == (3, 4)
    assert table[1, 2] == centre_distance(104, ring=32, sprocket=20)


@pytest.mark.parametrize("value", [float("nan"), -1.0, 0.0, 18.5, "many"])
def test_bad_teeth_are_named(value: object) -> None:
    with pytest.raises(InvalidInput) as caught:
        loop_length(400.0, ring=value, sprocket=18)  # type: ignore[arg-type]
    assert caught.value.field == "ring"


def test_the_bad_row_of_an_array_is_named() -> None:
    with pytest.raises(InvalidInput) as caught:
        centre_distance(104, ring=np.array([32.0, np.nan]), sprocket=18)
    assert caught.value.index == (1,)


def test_impossible_loops_are_refused() -> None:
    with pytest.raises(NoSolution, match="wheels of drive apart"):
        loop_length(80.0, ring=32, sprocket=20)
    with pytest.raises(NoSolution, match="pitches"):
        centre_distance(40, ring=32, sprocket=20)
    with pytest.raises(InvalidInput, match="drive"):
        loop_length(400.0, ring=32, sprocket=16, drive="shaft")  # type: ignore[arg-type]


@pytest.mark.parametrize("drive", ["chain", "belt"])
def test_the_unit_of_length_does_not_matter(drive: Drive) -> None:
    """A loop is a shape: told in metres it has the pitches it has in millimetres."""
    wheels: dict[str, Any] = {"ring": 34, "sprocket": 16, "drive": drive}
    pitches = loop_length(431.0, pitch=11.0, **wheels)
    assert loop_length(0.431, pitch=0.011, **wheels) == pytest.approx(pitches, rel=1e-12)
    assert centre_distance(pitches, pitch=0.011, **wheels) == pytest.approx(0.431, rel=1e-9)


def test_belt_pulleys_touch_where_their_teeth_make_two_circles() -> None:
    """By definition: a pitch circle is as long as its teeth, and two touch at half their sum."""
    touching = (50 + 24) * 11.0 / (2.0 * np.pi)
    wheels: dict[str, Any] = {"ring": 50, "sprocket": 24, "drive": "belt", "pitch": 11.0}
    assert loop_length(touching * 1.001, **wheels) > 0
    with pytest.raises(NoSolution, match="centre"):
        loop_length(touching * 0.999, **wheels)


def test_wheels_of_five_teeth_are_the_smallest() -> None:
    assert loop_length(100.0, ring=5, sprocket=5) == pytest.approx(200.0 / CHAIN_PITCH + 5.0)
    with pytest.raises(InvalidInput, match="sprocket"):
        loop_length(100.0, ring=5, sprocket=4)


def test_derailleur_chain_is_the_least_even_count_that_holds_the_loop_and_two_links() -> None:
    """[E] the trade's rule, at two hundred centre distances a tenth of a link apart."""
    centres = 400.0 + CHAIN_PITCH / 20.0 * np.arange(200.0)
    loops = np.asarray(loop_length(centres, ring=32, sprocket=49))
    links = np.asarray(derailleur_chain_links(centre=centres, ring=32, sprocket=49))
    assert np.all(links % 2.0 == 0.0)
    assert np.all(links - 2.0 >= loops)
    assert np.all(links - 4.0 < loops)


def test_derailleur_chain_is_even_and_two_longer_than_the_loop() -> None:
    """[E] the trade's rule: largest to largest, + 2 links."""
    loop = loop_length(425.0, ring=32, sprocket=49)
    links = derailleur_chain_links(centre=425.0, ring=32, sprocket=49)
    assert links % 2 == 0
    assert 2.0 <= links - loop < 4.0
    longer = derailleur_chain_links(
        centre=np.array([425.0, 425.0 + CHAIN_PITCH]), ring=32, sprocket=49
    )
    assert longer[1] - longer[0] == 2.0  # type: ignore[index]
