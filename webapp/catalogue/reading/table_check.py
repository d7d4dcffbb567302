"""The one table check: of a draft in the office, of a published table, and in JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from types import MappingProxyType

from geometry.bike import closure
from geometry.core import GeometryError
from geometry.verify import DrawnSize, Finding, TableCheck, check_table
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.schema.frames import DrawnWithData, SizeData
from webapp.catalogue.schema.stated import STATED
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.text.units import number, signed_number

FURTHER = MappingProxyType(
    {
        "mass": tr("Mass"),
        "post.depth": tr("Post depth"),
        "post.boss_depth": tr("Bottle boss depth"),
        "riders.shortest": tr("Shortest rider"),
        "riders.tallest": tr("Tallest rider"),
    }
)
"""Columns that cannot be computed from the drawing, checked across sizes, with their names."""

FURTHER_UNITS = MappingProxyType({key: "kg" if key == "mass" else "mm" for key in FURTHER})


def drawn_size(name: str, data: SizeData, drawn_with: DrawnWithData) -> DrawnSize:
    """One size as the table check takes it.

    Parameters
    ----------
    name : str
    data : SizeData
    drawn_with : DrawnWithData
        Of the revision.

    Returns
    -------
    geometry.verify.DrawnSize

    Raises
    ------
    GeometryError
        For numbers that cannot belong to one frame.
    """
    return DrawnSize(
        name=name,
        frame=frame_of(data, drawn_with),
        published=data.stated.known if data.stated else {},
        further=_further(data),
    )


def _further(data: SizeData) -> dict[str, float]:
    known = {
        "mass": data.mass,
        "post.depth": data.post.depth,
        "post.boss_depth": data.post.boss_depth,
        "riders.shortest": data.riders.shortest if data.riders else None,
        "riders.tallest": data.riders.tallest if data.riders else None,
    }
    return {key: float(value) for key, value in known.items() if value is not None}


def checked_table(sizes: Iterable[tuple[str, SizeData]], drawn_with: DrawnWithData) -> TableCheck:
    """Check the sizes of a revision against themselves and each other.

    Parameters
    ----------
    sizes : iterable of (name, SizeData)
        From small to large.
    drawn_with : DrawnWithData
        Of the revision.

    Returns
    -------
    geometry.verify.TableCheck

    Raises
    ------
    GeometryError
        For a size that cannot close or stand at all.
    """
    return check_table([drawn_size(name, data, drawn_with) for name, data in sizes])


def contradictions(
    sizes: Sequence[tuple[str, SizeData]], drawn_with: DrawnWithData
) -> list[Problem]:
    """What keeps a revision from being published: numbers that cannot be true together.

    Parameters
    ----------
    sizes : sequence of (slug, SizeData)
    drawn_with : DrawnWithData
        Of the revision.

    Returns
    -------
    list of Problem
        A problem's field begins with the size's slug.
    """
    found, whole = [], []
    for slug, data in sizes:
        try:
            checked_table([(slug, data)], drawn_with)
            whole.append((slug, data))
        except GeometryError as error:
            at = error.field.removeprefix("sizes.0.").removeprefix("frame.")
            found.append(Problem.of(error, f"{slug}.{at}"))
    if whole:
        sure = [one for one in checked_table(whole, drawn_with).findings if one.outcome == "no"]
        known = dict(whole)
        found += [_problem(one, known[one.size], drawn_with) for one in sure if one.what != "slip"]
    return found


def _problem(finding: Finding, data: SizeData, drawn_with: DrawnWithData) -> Problem:
    gap = tr("{gap} mm", gap=signed_number(finding.how_much, 2))
    if finding.what == "closure":
        turn = float(closure(frame_of(data, drawn_with)).head_angle)
        remedy = tr(
            "at most {limit} mm, which rounding can do; a head angle of {closing:.2f}° would close "
            "the drawing",
            limit=number(finding.limit, 1),
            closing=data.head_angle + turn,
        )
        return Problem(f"{finding.size}.closure", gap, remedy)
    remedy = tr(
        "what the drawing gives, within {limit} mm of rounding", limit=number(finding.limit, 1)
    )
    at = f"stated.{finding.field}" if finding.field in STATED else finding.field
    return Problem(f"{finding.size}.{at}", gap, remedy)
