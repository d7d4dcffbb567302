"""Every cockpit and every seat of a model, and which of them go with which parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.bike import Cockpit, Handlebar, Stem, places_on_axis
from geometry.checks import Rule, judge_rule
from geometry.core import FloatArray
from geometry.search import Fronts, Refusal, Seats
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.checks import rules_for
from webapp.builds.fitting.roles import roles_of, roles_with
from webapp.builds.solving.seat_range import seat_range
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import HandlebarData, PostData, SaddleData, StemData
from webapp.match.stances import COCKPIT, FRONT_PLACES, SEAT_PLACES, Stance

RAIL_STEP = 5.0
"""Steps in which a saddle is tried along its rails [mm]."""

_BAR = ("width", "rise", "backsweep", "upsweep", "sweep_start", "grip_from_end", "forward")


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """Two parts of a cockpit or a seat, and the number they are set to.

    Parameters
    ----------
    parts : (AnyPart, AnyPart)
        Stem and bar, or post and saddle.
    at : float [mm]
        Spacers, or the saddle's place on its rails.
    """

    parts: tuple[AnyPart, AnyPart]
    at: float

    @property
    def price(self) -> int:
        """Of both parts, in minor units as listed."""
        return sum(part.price.minor for part in self.parts if part.price)

    @property
    def mass(self) -> float | None:
        """Of both parts [kg]; None where one's is not known."""
        one, other = (part.data.mass for part in self.parts)
        return None if one is None or other is None else one + other


def parts_of(catalogue: Catalogue, place: str, fixed: Mapping[str, str]) -> list[AnyPart]:
    """Parts with a price that a place may take."""
    kind = PLACE_OF[place].kind
    if place in fixed:
        return [catalogue.part(kind, fixed[place])]
    return [part for part in catalogue.offered(kind) if part.price]


def all_fronts(catalogue: Catalogue, fixed: Mapping[str, str]) -> list[Fitted]:
    """Every stem with every bar on every height of spacers."""
    limits = catalogue.revision.data.spacers
    heights = np.arange(0.0, limits.most + 1e-9, limits.step).tolist()
    stems, bars = (parts_of(catalogue, place, fixed) for place in FRONT_PLACES)
    return [Fitted(parts=(stem, bar), at=at) for stem in stems for bar in bars for at in heights]


def all_seats(catalogue: Catalogue, fixed: Mapping[str, str]) -> list[Fitted]:
    """Every post with every saddle at every step of its rails."""
    posts, saddles = (parts_of(catalogue, place, fixed) for place in SEAT_PLACES)
    return [
        Fitted(parts=(post, saddle), at=at)
        for post in posts
        for saddle in saddles
        for at in _rails(saddle.of(SaddleData).data)
    ]


def _rails(saddle: SaddleData) -> list[float]:
    back, ahead = int(saddle.rail_back // RAIL_STEP), int(saddle.rail_forward // RAIL_STEP)
    return [step * RAIL_STEP for step in range(-back, ahead + 1)]


def fronts_of(fitted: Sequence[Fitted]) -> Fronts:
    """Where the grips of every cockpit lie, from the headset's top."""
    stems = [each.parts[0].of(StemData).data for each in fitted]
    bars = [each.parts[1].of(HandlebarData).data for each in fitted]
    stem = {n: _column(stems, n) for n in ("length", "angle", "clamp_height")}
    bar = {n: _column(bars, n) for n in _BAR}
    cockpit = Cockpit(
        stem=Stem(**stem),
        handlebar=Handlebar(**bar),
        spacers=np.array([each.at for each in fitted]),
    )
    up, forward = places_on_axis(cockpit).grips
    return Fronts(up=np.asarray(up), forward=np.asarray(forward))


def seats_of(stances: Sequence[Stance], fitted: Sequence[Fitted]) -> Seats:
    """Every seat with the saddle heights it reaches on every stance."""
    posts = [each.parts[0].of(PostData).data for each in fitted]
    stacks = [each.parts[1].of(SaddleData).data.stack for each in fitted]
    # The same for all saddles of one height on one post: asked once for each, however many.
    kinds = [(each.parts[0].slug, stack) for each, stack in zip(fitted, stacks, strict=True)]
    asked = dict(zip(kinds, fitted, strict=True))
    place = {kind: number for number, kind in enumerate(asked)}
    found = np.array([[_reach(stance, each) for each in asked.values()] for stance in stances])
    reach = found[:, [place[kind] for kind in kinds]]
    return Seats(
        setback=_column(posts, "offset"),
        rail=np.array([each.at for each in fitted]),
        saddle_stack=np.array(stacks),
        lowest=reach[:, :, 0],
        highest=reach[:, :, 1],
    )


def _reach(stance: Stance, fitted: Fitted) -> tuple[float, float]:
    """Lowest and highest saddle of a seat."""
    post, saddle = fitted.parts
    data, stack = post.of(PostData).data, saddle.of(SaddleData).data.stack
    assembly = stance.setup.assembly
    seat = replace(assembly.seat, post_offset=data.offset, saddle_stack=stack)
    reach = seat_range(stance.standing, assembly.build, seat, post=data, size=assembly.size.data)
    return reach.lowest, reach.highest


def refusals(
    stances: Sequence[Stance], fronts: Sequence[Fitted], seats: Sequence[Fitted]
) -> list[Refusal]:
    """Failures by stance alone, and by the rules between a cockpit or seat and the rest."""
    each = np.arange(len(stances))
    codes = dict.fromkeys(code for stance in stances for code in stance.failing)
    found = [
        Refusal(
            code=code,
            along="stance",
            fails=np.array([[code in stance.failing] for stance in stances]),
            group=each,
        )
        for code in codes
    ]
    found += _by_rules(stances, fronts, FRONT_PLACES)
    return found + _by_rules(stances, seats, SEAT_PLACES)


def _by_rules(
    stances: Sequence[Stance], fitted: Sequence[Fitted], places: tuple[str, str]
) -> list[Refusal]:
    """Rules between the two parts, and between either and the rest of the bike."""
    first: dict[tuple[tuple[str, str], ...], int] = {}
    group = [first.setdefault(_rest(stance), len(first)) for stance in stances]
    shown = [stances[group.index(at)] for at in range(len(first))]
    rules = [rule for rule in rules_for("bike") if _roles(rule) & set(places)]
    rules = [rule for rule in rules if "positions" not in _roles(rule)]
    pairs = {(one.slug, other.slug): (one, other) for one, other in (f.parts for f in fitted)}
    known: dict[_Asked, bool] = {}
    failing = [_failing(stance, rules, places, pairs.values(), known) for stance in shown]
    keys = [(f.parts[0].slug, f.parts[1].slug) for f in fitted]
    return [
        Refusal(
            code=rule.code,
            along="front" if places == FRONT_PLACES else "seat",
            fails=np.array([[rule.code in row[key] for key in keys] for row in failing]),
            group=np.array(group),
        )
        for rule in rules
    ]


_Parts = tuple[tuple[str, str], ...]
_Asked = tuple[int, tuple[str, ...], _Parts]
"""A rule by its number, the parts of a cockpit or seat that it reads, and all others."""


def _rest(stance: Stance) -> tuple[tuple[str, str], ...]:
    """All parts but those of the cockpit."""
    parts = stance.setup.choice.parts
    return tuple((place, slug) for place, slug in parts.items() if place not in COCKPIT)


def _roles(rule: Rule) -> set[str]:
    return {rule.left.partition(".")[0], rule.right.partition(".")[0]}


def _failing(
    stance: Stance,
    rules: Sequence[Rule],
    places: tuple[str, str],
    pairs: Iterable[tuple[AnyPart, AnyPart]],
    known: dict[_Asked, bool],
) -> dict[tuple[str, str], set[str]]:
    """By pairs of parts, codes of the rules that they fail on a stance.

    A rule is evaluated once for the parts it reads (``known``), whatever the other parts are.
    """
    assembly = stance.setup.assembly
    own = roles_of(stance.setup.catalogue, assembly)
    rest = _rest(stance)
    read = [
        (rule, [at for at, place in enumerate(places) if place in _roles(rule)],
         rest if _roles(rule) - set(places) else ())
        for rule in rules
    ]  # fmt: skip
    found = {}
    for pair in pairs:
        slugs, roles, failed = (pair[0].slug, pair[1].slug), None, set()
        for number, (rule, at, beside) in enumerate(read):
            asked = (number, tuple(slugs[n] for n in at), beside)
            if asked not in known:
                if roles is None:
                    parts = dict(zip(places, pair, strict=True))
                    changed = replace(assembly, parts={**assembly.parts, **parts})
                    roles = own
                    for place in parts:
                        roles = roles_with(roles, changed, place)
                check = judge_rule(rule, roles)
                known[asked] = check is not None and check.outcome == "no"
            if known[asked]:
                failed.add(rule.code)
        found[slugs] = failed
    return found


def _column(data: Sequence[object], name: str) -> FloatArray:
    return np.array([getattr(each, name) for each in data], dtype=np.float64)
