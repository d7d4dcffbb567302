"""The fit in words: what fits, which of two to choose, why, and what would help.

Every text is a whole sentence with its values, so that it can be put into another
language as it stands.
"""

from __future__ import annotations

from geometry.sizing import Reason
from webapp.common.text.language import tr
from webapp.common.text.reader import said_height, said_length
from webapp.fit.answer import FitAnswer, SizeFit
from webapp.fit.changes import Change
from webapp.fit.other_ways import Way

FELT = 3.0
"""Smaller differences of length are not felt and are not mentioned [mm]."""

FELT_ANGLE = 1.5
"""The same of an angle [deg]."""


def hundred(chance: float) -> int:
    """A chance [1] as so many in 100.

    >>> hundred(0.836)
    84
    """
    return round(100.0 * chance)


def listed(names: tuple[str, ...]) -> str:
    """Names in a row.

    >>> listed(("Small", "Medium", "Large"))
    'Small, Medium and Large'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def headline(answer: FitAnswer) -> str:
    """What fits, in one sentence."""
    if not answer.sizes:
        return tr("None of these sizes fits: the legs are too short for the cranks.")
    if answer.named is None:
        return tr("None of these sizes fits.")
    if answer.verdict == "between":
        return tr("{listed} both fit.", listed=listed(tuple(size.name for size in answer.leading)))
    if answer.named.fits == "as_sold":
        return tr("{name} fits.", name=answer.named.name)
    return tr("{name} fits with changes.", name=answer.named.name)


def which(answer: FitAnswer) -> tuple[str, ...]:
    """Which size to choose, or why none fits: the lines under the headline."""
    named = answer.named
    if named is None:
        return _why_none(answer)
    if answer.verdict == "between":
        smaller, larger = answer.leading
        return (
            tr(
                "{beside_middle} It is the shorter one, and quicker to turn.",
                beside_middle=_beside_middle(smaller),
            ),
            tr(
                "{beside_middle} It is the longer one, and steadier.",
                beside_middle=_beside_middle(larger),
            ),
        )
    if named.fits == "with_changes":
        changed = " ".join(change_words(each) for each in named.changes)
        return (
            tr(
                "{beside_middle} What to change: {changed}",
                beside_middle=_beside_middle(named),
                changed=changed,
            ),
        )
    return (_beside_middle(named), *_next_best(answer, named))


def _beside_middle(size: SizeFit) -> str:
    """How far a size is from the length this rider needs."""
    if abs(size.too_long) < FELT:
        return tr("{name} is as long as you need.", name=size.name)
    if size.too_long > 0:
        return tr(
            "{name} is {mm} longer than you need.", name=size.name, mm=said_length(size.too_long)
        )
    return tr(
        "{name} is {mm} shorter than you need.", name=size.name, mm=said_length(size.too_long)
    )


def _next_best(answer: FitAnswer, named: SizeFit) -> tuple[str, ...]:
    """The neighbouring size a rider is likeliest to choose instead, where one is likely enough."""
    rest = [size for size in answer.sizes if size is not named]
    if not rest:
        return ()
    other = max(rest, key=lambda size: size.best)
    if hundred(other.best) < 1 or other.fits == "no":
        return ()
    step = other.too_long - named.too_long
    if step > 0:
        return (
            tr(
                "One size up, {name}, puts the grips {mm} further from you.",
                name=other.name,
                mm=said_length(step),
            ),
        )
    return (
        tr(
            "One size down, {name}, brings the grips {mm} closer to you.",
            name=other.name,
            mm=said_length(step),
        ),
    )


def _why_none(answer: FitAnswer) -> tuple[str, ...]:
    """Why no size fits: the reasons against the nearest one."""
    if not answer.sizes:
        return ()
    nearest = min(answer.sizes, key=lambda size: abs(size.too_long))
    return tuple(
        reason_words(reason, nearest.name)
        for reason in nearest.sized.reasons
        if reason.outcome == "no"
    )


def reason_words(reason: Reason, size: str) -> str:
    """One reason for or against a size, as a sentence.

    >>> reason_words(Reason("straddle_room", 32.4, 50.0, "no"), "Small")
    'Small leaves 32 mm of room over the top tube when you stand over it; it should be 50 mm.'
    """
    if reason.code == "length":
        return _length_words(reason, size)
    if reason.code == "saddle_height":
        return _saddle_words(reason, size)
    if reason.code == "toe_room":
        return _toe_words(reason, size)
    if reason.value < 0:
        return tr(
            "The top tube of {size} is {mm} too high for you to stand over.",
            size=size,
            mm=said_length(reason.value),
        )
    room = said_length(reason.value)
    if reason.outcome == "clear":
        return tr("There is {room} of room over the top tube when you stand over it.", room=room)
    if reason.outcome == "tight":
        return tr(
            (
                "There is {room} of room over the top tube when you stand over it: enough, "
                "but not much."
            ),
            room=room,
        )
    return tr(
        (
            "{size} leaves {room} of room over the top tube when you stand over it; it should be "
            "{mm}."
        ),
        size=size,
        room=room,
        mm=said_length(reason.limit),
    )


def _length_words(reason: Reason, size: str) -> str:
    if abs(reason.value) < FELT:
        return tr("As long as you need, within 3 mm.")
    if reason.outcome == "clear" and reason.value > 0:
        return tr("{mm} longer than you need, which is near enough.", mm=said_length(reason.value))
    if reason.outcome == "clear":
        return tr("{mm} shorter than you need, which is near enough.", mm=said_length(reason.value))
    if reason.value > 0:
        return tr(
            "{size} is {mm} longer than you need: a long reach to the grips.",
            size=size,
            mm=said_length(reason.value),
        )
    return tr(
        "{size} is {mm} shorter than you need: upright, with little room to move.",
        size=size,
        mm=said_length(reason.value),
    )


def _saddle_words(reason: Reason, size: str) -> str:
    if reason.outcome == "tight":
        if reason.value > 0:
            return tr(
                (
                    "The posts {size} is sold with end {mm} below your saddle height; "
                    "another one reaches it."
                ),
                size=size,
                mm=said_length(reason.value),
            )
        return tr(
            (
                "The posts {size} is sold with end {mm} above your saddle height; "
                "another one goes low enough."
            ),
            size=size,
            mm=said_length(reason.value),
        )
    if reason.value > 0:
        return tr("No post offered is long enough for your saddle height on {size}.", size=size)
    return tr("No post offered goes low enough for your saddle height on {size}.", size=size)


def _toe_words(reason: Reason, size: str) -> str:
    """Room between toe and front wheel, said only where it is short.

    >>> _toe_words(Reason("toe_room", 92.0, 89.0, "tight"), "Small")
    'Your toe passes the turned front wheel by 92 mm on Small: enough, but not much.'
    """
    if reason.outcome == "tight":
        return tr(
            "Your toe passes the turned front wheel by {room} on {size}: enough, but not much.",
            room=said_length(reason.value),
            size=size,
        )
    return tr(
        "On {size} with this crank the turned front wheel comes too near to your toe: {room} is "
        "left, it should be {least}.",
        size=size,
        room=said_length(reason.value),
        least=said_length(reason.limit),
    )


def change_words(change: Change) -> str:
    """One change from how a size is sold, with its price."""
    if change.part is None:
        return tr(
            "{spacers:g} mm of spacers instead of {before:g} mm, at no cost.",
            spacers=change.spacers,
            before=change.before,
        )
    if change.price is None:
        return tr("{name}, price on request.", name=change.part.name)
    if change.price.minor == 0:
        return tr("{name}, at the same price.", name=change.part.name)
    if change.price.minor > 0:
        return tr("{name}, {format} more.", name=change.part.name, format=change.price.format())
    return tr("{name}, {format} less.", name=change.part.name, format=(-change.price).format())


def fits_words(size: SizeFit) -> str:
    """Whether one size fits, and how surely."""
    sure = hundred(size.sized.fits_chance)
    if size.fits == "as_sold":
        return tr(
            "Fits as sold, as it does for {sure} in 100 riders with your measurements.", sure=sure
        )
    if size.fits == "with_changes":
        changed = " ".join(change_words(each) for each in size.changes)
        return tr("Fits with changes: {changed}", changed=changed)
    return tr("Does not fit.")


def best_words(size: SizeFit) -> str:
    """How many riders would choose one size; why some do although it does not fit."""
    if size.fits == "no" and hundred(size.best) == 0:
        return ""
    if size.fits == "no":
        return tr(
            "It would suit {hundred} in 100 riders with your measurements: those who are built "
            "or sit differently from most.",
            hundred=hundred(size.best),
        )
    return tr("Of 100 such riders {hundred} would choose it.", hundred=hundred(size.best))


def way_words(way: Way) -> str:
    """Other parts or another frame on which a size fits."""
    sizes = listed(way.names)
    if way.kind == "fork":
        return tr("With the {name} {sizes} would fit.", name=way.name, sizes=sizes)
    if way.kind == "wheels":
        return tr("On {name} wheels {sizes} would fit.", name=way.name, sizes=sizes)
    return tr("The {name} would fit you in {sizes}.", name=way.name, sizes=sizes)


def chart_words(answer: FitAnswer, names: dict[str, str]) -> str:
    """What the builder's size chart says, and why the answer differs."""
    if not answer.by_chart:
        return tr("The builder’s size chart ends before your height.")
    by_chart = names[answer.by_chart]
    height = said_height(round(answer.height, -1))
    if answer.named is None or answer.named.slug == answer.by_chart:
        return tr(
            "The builder’s size chart says {by_chart} at {height}.",
            by_chart=by_chart,
            height=height,
        )
    why = _difference(answer)
    if any(size.slug == answer.by_chart for size in answer.leading):
        return tr(
            "The builder’s size chart says {by_chart} at {height}, which fits you too. {why}",
            by_chart=by_chart,
            height=height,
            why=why,
        )
    return tr(
        "The builder’s size chart says {by_chart} at {height}. {why}",
        by_chart=by_chart,
        height=height,
        why=why,
    )


def _difference(answer: FitAnswer) -> str:
    """Which measurement of the rider leads to another size than the chart's."""
    limits = [
        reason for size in answer.sizes if size.slug == answer.by_chart
        for reason in size.sized.reasons
        if reason.code != "length"
        and reason.outcome != "clear"
        and (reason.code != "toe_room" or reason.outcome == "no")
    ]  # fmt: skip
    larger = _larger_than_chart(answer)
    effects = [each for each in answer.effects if (each.mm > 0) == larger and abs(each.mm) >= FELT]
    if effects:
        return effect_words(effects[0].landmark, effects[0].mm)
    if limits and limits[0].code == "straddle_room":
        return tr("The room over its top tube makes the difference.")
    if limits and limits[0].code == "toe_room":
        return tr("The room between toe and front wheel makes the difference.")
    if limits:
        return tr("Your saddle height makes the difference.")
    if answer.rider.taste:
        return tr("Your preference makes the difference.")
    if answer.by_body > 0:
        return tr("Fork, wheels and your riding ask for {mm} more.", mm=said_length(answer.by_body))
    return tr("Fork, wheels and your riding ask for {mm} less.", mm=said_length(answer.by_body))


def _larger_than_chart(answer: FitAnswer) -> bool:
    """Whether the size named first is larger than the chart's; sizes run from small to large."""
    slugs = [size.slug for size in answer.sizes]
    return answer.named is not None and slugs.index(answer.named.slug) > slugs.index(
        answer.by_chart
    )


_EFFECTS: dict[str, tuple[str, str]] = {
    "crotch_height": (
        tr("Your legs are short for your height, so your trunk is long: that asks for {} more."),
        tr("Your legs are long for your height, so your trunk is short: that asks for {} less."),
    ),
    "span": (
        tr("Your arms are long for your height: that asks for {} more."),
        tr("Your arms are short for your height: that asks for {} less."),
    ),
    "weight": (
        tr("Your weight beside your height asks for {} more."),
        tr("Your weight beside your height asks for {} less."),
    ),
}
"""Sentences on how a measurement changes the length needed: more, less."""


def effect_words(landmark: str, millimetres: float) -> str:
    """How one measurement changes the length needed, compared with most riders of that height.

    >>> effect_words("span", 8.2)
    'Your arms are long for your height: that asks for 8 mm more.'
    """
    more, less = _EFFECTS[landmark]
    return (more if millimetres > 0 else less).format(said_length(millimetres))
