"""The drawing of a measured bike: where each reading is taken, and how far it was off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup
from sqlmodel import Session

from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.points import points_of
from webapp.common.errors import DomainError
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.drawing.dimensioning.bike_dimensions import Layout
from webapp.drawing.guides.bench_guide import bench_guide
from webapp.office.bench.build_choice import build_of_query
from webapp.office.bench.check import measurable
from webapp.office.bench.readings import NUMBERS


def bench_picture(
    result: BuildResult, state: str, report: Mapping[str, Any] | None = None
) -> Markup:
    """The build with every reading that can be taken by its number, residuals behind them.

    Parameters
    ----------
    result : BuildResult
    state : str
        The state it was measured in.
    report : mapping, optional
        What was found, as it is kept.

    Returns
    -------
    Markup
        For wide and for narrow screens; the style shows the one that fits.
    """
    places = measurable(result, state)
    return _drawn(result, state, report, places)


def picture_of_record(
    session: Session, model: str, build: str, state: str, report: Mapping[str, Any]
) -> Markup | None:
    """The drawing of a kept check; None where its build can no longer be made."""
    try:
        result = compute(*build_of_query(session, model, build))
    except DomainError:
        return None
    return _drawn(result, state, report, ()) if state in result.states else None


def _drawn(
    result: BuildResult, state: str, report: Mapping[str, Any] | None, places: Sequence[str]
) -> Markup:
    """For wide and for narrow screens: every place of these, and every reading."""
    read = {one["key"]: one for one in report["readings"]} if report else {}
    keys = dict.fromkeys([*places, *(key for key in read if key in NUMBERS)])
    layouts: tuple[Layout, ...] = ("full", "compact")
    return Markup("").join(_sheet(result, state, read, list(keys), layout) for layout in layouts)


def _sheet(
    result: BuildResult,
    state: str,
    read: Mapping[str, Mapping[str, Any]],
    shown: list[str],
    layout: Layout,
) -> Markup:
    off = {key: f"({one['off']})" for key, one in read.items()}
    svg = bench_guide(
        points_of(result, state=state),
        {key: (NUMBERS[key], off.get(key, "")) for key in shown},
        title=tr(
            "{model}, size {size}, as measured",
            model=result.catalogue.model.name,
            size=result.assembly.size.name,
        ),
        words=_words(shown, off),
        layout=layout,
        standover_ahead=result.catalogue.revision.data.standover_at,
        beyond={key for key, one in read.items() if one["beyond"]},
    )
    return Markup(svg)  # noqa: S704  # the drawing escapes every text it is given


def _words(shown: list[str], off: Mapping[str, str]) -> str:
    return "; ".join(
        f"{NUMBERS[key]} {entry(key).name} {off.get(key, '')}".strip() for key in shown
    )
