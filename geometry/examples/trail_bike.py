"""One invented frame and build, for the examples in docstrings.

Plausible numbers of no real bicycle: a trail hardtail with a sliding axle.
"""

from __future__ import annotations

from geometry.bike import Build, Cockpit, DrawnWith, Fork, Frame, Handlebar, Stem, TopTube


def trail_fork() -> Fork:
    """A suspension fork with 125 mm of travel.

    >>> trail_fork().travel
    125.0
    """
    return Fork(axle_to_crown=520.0, offset=48.0, travel=125.0)


def trail_hardtail() -> Frame:
    """A medium trail hardtail, drawn with `trail_fork`.

    >>> trail_hardtail().slot_length
    16.0
    """
    return Frame(
        reach=470.0,
        stack=643.271,
        head_angle=68.0,
        head_tube_length=110.0,
        seat_tube_angle=75.0,
        seat_tube_offset=0.0,
        seat_tube_length=430.0,
        chainstay_length=430.0,
        bb_drop=66.0,
        slot_length=16.0,
        slot_angle=2.0,
        drawn_with=DrawnWith(
            fork=trail_fork(),
            lower_headset_stack=12.0,
            front_radius=370.0,
            rear_radius=370.0,
        ),
        top_tube=TopTube(below_head_tube_top=40.0, along_seat_tube=390.0, diameter=34.9),
    )


def trail_build(slot_position: float = 0.0) -> Build:
    """`trail_hardtail` with the fork and wheels it is drawn with.

    Parameters
    ----------
    slot_position : float [mm]
        Of the rear axle.

    Returns
    -------
    Build

    Examples
    --------
    >>> trail_build(10.0).slot_position
    10.0
    """
    return Build(
        frame=trail_hardtail(),
        fork=trail_fork(),
        lower_headset_stack=12.0,
        front_radius=370.0,
        rear_radius=370.0,
        slot_position=slot_position,
    )


def trail_cockpit() -> Cockpit:
    """A short stem and a wide bar with a little rise.

    >>> trail_cockpit().spacers
    10.0
    """
    return Cockpit(
        stem=Stem(length=50.0),
        handlebar=Handlebar(width=780.0, rise=20.0, backsweep=8.0, upsweep=5.0),
        upper_headset_stack=9.0,
        spacers=10.0,
    )
