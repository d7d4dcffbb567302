"""The drawing of a measured bike: what was read, and how far that is from the drawing."""

from __future__ import annotations

from markupsafe import Markup

from webapp.builds.points import points_of
from webapp.common.text.language import tr
from webapp.drawing.elevation import Layout, elevation
from webapp.drawing.labels import NAMES
from webapp.office.bench.check import BenchFinding
from webapp.office.bench.words import signed


def bench_picture(finding: BenchFinding) -> Markup:
    """The build with every reading that has a place on the drawing, its residual behind it.

    Parameters
    ----------
    finding : BenchFinding

    Returns
    -------
    Markup
        For wide and for narrow screens; the style shows the one that fits.
    """
    return _drawn(finding, "full") + _drawn(finding, "compact")


def _drawn(finding: BenchFinding, layout: Layout) -> Markup:
    read = {one.key: one for one in finding.report.readings if one.key in NAMES}
    result = finding.result
    svg = elevation(
        points_of(result, state=finding.state),
        {key: one.value for key, one in read.items()},
        title=tr(
            "{model}, size {size}, as measured",
            model=result.catalogue.model.name,
            size=result.assembly.size.name,
        ),
        layout=layout,
        name="bench",
        standover_ahead=result.catalogue.revision.data.standover_at,
        beside={key: f"({signed(key, one.residual)})" for key, one in read.items()},
    )
    return Markup(svg)  # noqa: S704  # the drawing escapes every text it is given
