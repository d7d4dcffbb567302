"""The form of an outcome, read: which bike was ridden, how it stood, and what was said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.outcomes.tables import AFTER_MONTHS, AFTER_RIDE, MOMENTS
from webapp.rider.rider_input import RIDER_KEYS, UNKEPT, Rider, read_rider

LENGTHS: Mapping[str, int] = {"short": -1, "right": 0, "long": 1}
HEIGHTS: Mapping[str, int | None] = {"": None, "low": -1, "right": 0, "high": 1}
BODY_FIELDS = tuple(name for name in RIDER_KEYS if name not in (*UNKEPT, "style", "taste"))
"""Fields of the form that tell of the body."""


@dataclass(frozen=True, kw_only=True)
class TypedOutcome:
    """An outcome as typed; ``rider`` is None without consent or measurements."""

    moment: str
    size_ridden: str
    size_bought: str
    choice: BuildChoice
    style: str
    length: int
    height: int | None
    rider: Rider | None


def read_outcome(
    catalogue: Catalogue, quoted: BuildChoice, texts: Mapping[str, str]
) -> TypedOutcome:
    """Read an outcome's form.

    Parameters
    ----------
    catalogue : Catalogue
        Of the bike's revision.
    quoted : BuildChoice
        The bike as quoted; what the form does not ask stays as it is there.
    texts : mapping of field to text

    Returns
    -------
    TypedOutcome

    Raises
    ------
    Invalid
        With everything that cannot be used, and for what contradicts itself unless it is
        said to be so.
    """
    gathering = Gathering()
    sizes = [size.slug for size in catalogue.sizes]
    moment = gathering.take(lambda: _one_of("moment", texts, MOMENTS))
    ridden = gathering.take(lambda: _one_of("size_ridden", texts, sizes))
    bought = gathering.take(lambda: _one_of("size_bought", texts, ["", *sizes]))
    length = gathering.take(lambda: _one_of("length", texts, list(LENGTHS)))
    height = gathering.take(lambda: _one_of("height", texts, list(HEIGHTS)))
    known = [each.slug for each in (*catalogue.styles, *catalogue.former_styles)]
    style = gathering.take(lambda: _one_of("style", texts, known))
    parts = {
        kind: gathering.take(
            lambda k=kind: _one_of(k, texts, [p.slug for p in catalogue.parts.get(k, ())])  # type: ignore[misc]
        )
        for kind in ("stem", "handlebar")
    }
    spacers = gathering.take(lambda: _spacers(texts.get("spacers", "")))
    rider = gathering.take(lambda: _rider(catalogue, texts))
    gathering.finish()
    if moment == AFTER_MONTHS and not bought:
        raise Invalid("size_bought", "", tr("the size that has been ridden these months"))
    if not texts.get("sure"):
        _contradiction(sizes, str(moment), str(ridden), str(bought), LENGTHS[str(length)])
    judged = bought if moment == AFTER_MONTHS else ridden
    choice = replace(
        quoted,
        size=str(judged),
        parts=MappingProxyType({**quoted.parts, **{k: str(v) for k, v in parts.items()}}),
        spacers=float(spacers or 0.0),
        slot=min(quoted.slot, catalogue.size(str(judged)).data.slot_length),
        saddle_height=None,
        rider=None,
    )
    return TypedOutcome(
        moment=str(moment),
        size_ridden=str(ridden),
        size_bought=str(bought),
        choice=choice,
        style=str(style),
        length=LENGTHS[str(length)],
        height=HEIGHTS[str(height)],
        rider=rider,
    )


def _one_of(name: str, texts: Mapping[str, str], allowed: list[str] | tuple[str, ...]) -> str:
    given = texts.get(name, "")
    if given not in allowed:
        raise Invalid(name, given[:60], tr("choose one of those offered"))
    return given


_MOST_SPACERS = 100.0


def _spacers(text: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= _MOST_SPACERS:
        remedy = tr("a number from 0 to {most:g} mm", most=_MOST_SPACERS)
        raise Invalid("spacers", text[:60], remedy)
    return round(value)


def _rider(catalogue: Catalogue, texts: Mapping[str, str]) -> Rider | None:
    """The rider's measurements where they agreed; nothing typed is read where they did not."""
    if not texts.get("consent"):
        return None
    query = {name: [texts[name]] for name in (*BODY_FIELDS, "style") if texts.get(name)}
    rider = read_rider(catalogue, query).strict()
    if not rider.known:
        remedy = tr("a height or an inseam, or leave the consent unticked")
        raise Invalid("stature", "", remedy)
    return rider


def _contradiction(sizes: list[str], moment: str, ridden: str, bought: str, length: int) -> None:
    """Contradictions in the form between the ride and the sale."""
    if moment != AFTER_RIDE or not bought or bought == ridden or length == 0:
        return
    larger = sizes.index(bought) > sizes.index(ridden)
    if larger and length > 0:
        remedy = tr("a smaller size than the one found too long, or tick that it is so")
    elif not larger and length < 0:
        remedy = tr("a larger size than the one found too short, or tick that it is so")
    else:
        return
    raise Invalid("size_bought", bought, remedy)
