"""The working drawing of a computed build."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

from markupsafe import Markup

from webapp.builds.evaluation import BuildResult
from webapp.builds.page.figure_rows import OF_COCKPIT_AND_SADDLE
from webapp.builds.points import points_of
from webapp.builds.rider.posture import SEATED, crank_angle, rider_on
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.schema.part_kinds import FinishData
from webapp.common.text.language import tr
from webapp.drawing.elevation import Layout, elevation
from webapp.drawing.labels import NAMES
from webapp.drawing.outline import Outline
from webapp.drawing.points import BikePoints, RiderPoints
from webapp.drawing.traced import Traced, traced

LAYOUTS: tuple[Layout, ...] = ("full", "compact")


def figures_drawn(result: BuildResult, *, state: str = UNLOADED) -> dict[str, float]:
    """The figures [mm or deg] a build's drawing carries, in one state."""
    known = {**result.states[state].figures, "saddle_height": float(result.assembly.seat.height)}
    left_out = OF_COCKPIT_AND_SADDLE if result.choice.scope != "bike" else frozenset()
    return {key: known[key] for key in NAMES if key in known and key not in left_out}


def finish_of(result: BuildResult) -> str:
    """Colour of the frame on a drawing, #rrggbb; empty where no finish is chosen."""
    part = result.assembly.parts.get("finish")
    return part.data.ink if part is not None and isinstance(part.data, FinishData) else ""


def drawing_of(
    result: BuildResult,
    *,
    layout: Layout,
    state: str = UNLOADED,
    changed: Set[str] = frozenset(),
    ghost: Outline | None = None,
) -> Markup:
    """The side elevation of a build as SVG, safe to put into a page.

    With its rider, where the build has one, seated with the pedal at its lowest.

    Parameters
    ----------
    result : BuildResult
    layout : {"full", "compact"}
        All dimensions, or the few that stay legible on a phone.
    state : str
        One of ``result.states``.
    changed : set of str
        Keys of figures that carry the revision triangle.
    ghost : Outline, optional
        A bike drawn behind it.

    Returns
    -------
    Markup
    """
    subject = _subject(result, state)
    return _safe(_drawn(result, subject, layout=layout, changed=changed, ghost=ghost))


def _safe(svg: str) -> Markup:
    return Markup(svg)  # noqa: S704  # the drawing escapes every text it is given


@dataclass(frozen=True, kw_only=True)
class _Subject:
    """What is drawn of a build in one state, the same on every sheet."""

    state: str
    points: BikePoints
    figures: Mapping[str, float]
    rider: RiderPoints | None


def _subject(result: BuildResult, state: str) -> _Subject:
    rider = result.choice.rider if state == UNLOADED else None
    on = rider_on(result, rider, state=state) if rider and rider.known else None
    return _Subject(
        state=state,
        points=points_of(result, state=state, crank_angle=crank_angle(SEATED))
        if on
        else points_of(result, state=state).as_sold(result.choice.scope),
        figures=figures_drawn(result, state=state),
        rider=on.drawn(SEATED) if on else None,
    )


def _drawn(
    result: BuildResult,
    subject: _Subject,
    *,
    layout: Layout,
    changed: Set[str] = frozenset(),
    ghost: Outline | None = None,
    drawn: Traced | None = None,
) -> str:
    return elevation(
        subject.points,
        subject.figures,
        title=tr(
            "{model}, size {size}, {state}",
            model=result.catalogue.model.name,
            size=result.assembly.size.name,
            state=subject.state,
        ),
        layout=layout,
        name="elevation",
        standover_ahead=result.catalogue.revision.data.standover_at,
        rider=subject.rider,
        finish=finish_of(result),
        changed=changed,
        ghost=ghost,
        drawn=drawn,
    )


def both_layouts(
    result: BuildResult, *, state: str = UNLOADED, ghost: Outline | None = None
) -> Markup:
    """The drawing for wide and for narrow screens; the style shows the one that fits."""
    subject = _subject(result, state)
    points, finish = subject.points, finish_of(result)
    drawn = traced(points, subject.figures, subject.rider, ghost=ghost, finish=finish)
    both = (_drawn(result, subject, layout=each, ghost=ghost, drawn=drawn) for each in LAYOUTS)
    return _safe("".join(both))
