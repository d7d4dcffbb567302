"""The rider on the bike, to scale."""

from __future__ import annotations

from dataclasses import replace

from markupsafe import Markup

from webapp.builds.evaluation import BuildResult
from webapp.builds.page.picture import figures_drawn
from webapp.builds.points import points_of
from webapp.builds.rider.posture import Pose, RiderOnBuild, crank_angle
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.common.text.language import tr
from webapp.drawing.elevation import Layout, elevation

_FIGURES = ("saddle_height", "effective_seat_angle", "grips_to_rear_axle", "wheelbase")
_LAYOUTS: tuple[Layout, ...] = ("full", "compact")

POSE_WORDS: dict[Pose, str] = {
    "seated-low": tr("seated, pedal at its lowest"),
    "seated-level": tr("seated, pedals level"),
    "standing": tr("standing, pedals level"),
}


def rider_drawing(result: BuildResult, rider: RiderOnBuild, pose: Pose) -> Markup:
    """Side elevation of a build with its rider, for wide and for narrow screens.

    Parameters
    ----------
    result : BuildResult
    rider : RiderOnBuild
    pose : Pose

    Returns
    -------
    Markup
        Two ``<svg>``; all text in them is escaped.
    """
    points = replace(points_of(result, state=SAGGED), crank_angle=crank_angle(pose))
    known = figures_drawn(result, state=SAGGED)
    drawings = (
        elevation(
            points,
            {key: known[key] for key in _FIGURES if key in known},
            title=tr(
                "{name}, size {name_2}, with its rider, {value}",
                name=result.catalogue.model.name,
                name_2=result.assembly.size.name,
                value=POSE_WORDS[pose],
            ),
            layout=layout,
            name="rider",
            rider=rider.drawn(pose),
        )
        for layout in _LAYOUTS
    )
    return Markup("".join(drawings))  # noqa: S704  # the drawing escapes every text it is given
