"""How sure the fit is, in words: what each measurement brought, what would settle it, cautions."""

from __future__ import annotations

from itertools import pairwise

from geometry.rider import TOLD_STATURE_BIAS, TROUSERS_BELOW, BodyCaution, Landmark
from webapp.common.text.language import tr
from webapp.common.text.reader import said_length, said_mass, said_measure
from webapp.common.text.units import KG_PER_POUND, MM_PER_INCH, number
from webapp.fit.answer import FitAnswer, Rung
from webapp.fit.run import TASTE_STEPS
from webapp.fit.words.advice_text import FELT, hundred, listed
from webapp.rider.rider_input import MEASURES, ReadRider, Rider
from webapp.rider.summary import IN_SENTENCE

_ADULT = 1450.0
"""Below this height a rider may well be a child [mm]; the sentence says "may"."""

_LESS_SURE = 2
"""A fall of the chance by this much is mentioned: the measurement made the answer less sure [in
100].
"""


def ladder(rungs: tuple[Rung, ...]) -> tuple[str, ...]:
    """How each measurement narrowed the answer, one sentence for each.

    Parameters
    ----------
    rungs : tuple of Rung
        The least measurements first.

    Returns
    -------
    tuple of str
        Empty when only one measurement is known.

    Examples
    --------
    >>> first = Rung(landmark="stature", fits=("Medium",), size="Medium", chance=0.48,
    ...     length=430.0, moved=0.0)
    >>> second = Rung(landmark="crotch_height", fits=("Medium",), size="Medium", chance=0.54,
    ...     length=431.0, moved=1.0)
    >>> for line in ladder((first, second)):
    ...     print(line)
    With your height alone, 48 in 100 would choose Medium.
    With your crotch height it is 54 in 100 for Medium.
    """
    if len(rungs) < 2:  # noqa: PLR2004  # nothing to compare with
        return ()
    first = rungs[0]
    said = [
        tr(
            "With your {value} alone, {hundred} in 100 would choose {size}.",
            value=IN_SENTENCE[first.landmark],
            hundred=hundred(first.chance),
            size=_size(first),
        )
    ]
    said += [_step(before, after) for before, after in pairwise(rungs)]
    return tuple(said)


def _step(before: Rung, after: Rung) -> str:
    name = IN_SENTENCE[after.landmark]
    told = tr(
        "With your {name} it is {hundred} in 100 for {size}.",
        name=name,
        hundred=hundred(after.chance),
        size=_size(after),
    )
    if hundred(before.chance) - hundred(after.chance) < _LESS_SURE:
        return told
    if len(after.fits) > 1 and abs(after.moved) >= FELT:
        return tr(
            (
                "{told} That is less sure, because your {name} changes the length you need "
                "by {mm}, to between {listed}."
            ),
            told=told,
            name=name,
            mm=said_length(after.moved),
            listed=listed(after.fits),
        )
    if abs(after.moved) >= FELT:
        return tr(
            (
                "{told} That is less sure, because your {name} is unusual for your height and "
                "changes the length you need by {mm}."
            ),
            told=told,
            name=name,
            mm=said_length(after.moved),
        )
    return tr(
        "{told} That is less sure, because your {name} leaves less room for the next size.",
        told=told,
        name=name,
    )


def _size(rung: Rung) -> str:
    return rung.size or tr("none of these sizes")


def next_words(answer: FitAnswer) -> str:
    """What would settle the size best, and by how much; empty when nothing would."""
    if not answer.measure_next:
        return ""
    best = answer.measure_next[0]
    again = tr(", measured against a wall") if best.landmark == "stature" else ""
    again = tr(", measured from the floor") if best.landmark == "crotch_height" else again
    return tr(
        (
            "What would help most: your {value}{again}. We would then name the "
            "size you choose in about {hundred} of 100, now "
            "{hundred_2}."
        ),
        value=IN_SENTENCE[best.landmark],
        again=again,
        hundred=hundred(best.probability),
        hundred_2=hundred(best.probability - best.gain),
    )


def next_field(answer: FitAnswer) -> str:
    """Name of the field that would settle most; empty when nothing would."""
    if not answer.measure_next:
        return ""
    landmark: Landmark = answer.measure_next[0].landmark
    return next(measure.name for measure in MEASURES if measure.landmark == landmark)


def given_words(rider: Rider) -> str:
    """What an answer is based on, in a sentence.

    >>> given_words(Rider(stature=1720, inseam=815))
    'Worked out from your height and crotch height.'
    """
    names = [IN_SENTENCE[each.landmark] for each in MEASURES if rider.value(each.name) is not None]
    return tr("Worked out from your {listed}.", listed=listed(tuple(names)))


def spread_words(answer: FitAnswer) -> str:
    """Each uncertainty separately, compared with the step between sizes."""
    if answer.spreads is None:
        return ""
    found = answer.spreads
    return tr(
        (
            "What you have not measured adds ±{body:.0f} mm of doubt, differences in taste "
            "between riders of the same build ±{taste:.0f} mm, and what our body model leaves "
            "out ±{model:.0f} mm. One size is {step:.0f} mm longer than the next smaller."
        ),
        body=found.body,
        taste=found.taste,
        model=found.model,
        step=answer.step,
    )


def read_body_words(rider: Rider) -> tuple[str, ...]:
    """How measurements were read that do not mean exactly what they say."""
    said = []
    if rider.stature is not None and rider.stature_by == "memory":
        low, high = sorted(TOLD_STATURE_BIAS.values())
        said.append(
            tr(
                "A height from memory runs {value:.0f} to {value_2:.0f} cm high on average; "
                "that is allowed for.",
                value=low / 10,
                value_2=high / 10,
            )
        )
    if rider.inseam is not None and rider.inseam_by == "trousers":
        said.append(
            tr(
                "The inseam of trousers is taken as {value:.1f} cm less than floor "
                "to crotch, give or take 2 cm.",
                value=TROUSERS_BELOW / 10,
            )
        )
    return tuple(said)


def taste_words(answer: FitAnswer) -> str:
    """The effect of the rider's wish; empty where there is none."""
    moved = TASTE_STEPS[answer.rider.taste] * answer.step
    if moved > 0:
        return tr(
            "Your wish for longer and steadier adds {moved} to the length you need.",
            moved=said_length(moved),
        )
    if moved < 0:
        return tr(
            "Your wish for shorter and livelier takes {moved} off the length you need.",
            moved=said_length(moved),
        )
    return ""


def cautions(answer: FitAnswer) -> tuple[str, ...]:
    """Doubts about the answer, in sentences."""
    said = [_caution(each) for each in answer.cautions]
    stature = answer.rider.stature
    if stature is not None and stature < _ADULT:
        said.append(
            tr(
                "Our body data are those of adults. Children are built differently, and a "
                "growing rider is best measured in person."
            )
        )
    if answer.too_heavy is not None:
        said.append(
            tr(
                "The builder permits {too_heavy:g} kg for rider and luggage together. "
                "Please ask before ordering.",
                too_heavy=answer.too_heavy,
            )
        )
    said += [each.caution for each in answer.answers if each.caution]
    return tuple(said)


def _caution(caution: BodyCaution) -> str:
    if caution.landmark is None:
        return tr(
            "These measurements are rarely found together in one person. "
            "Please look at them again: a slip of the tape is likelier, or the inseam of "
            "trousers taken for floor to crotch."
        )
    name = IN_SENTENCE.get(caution.landmark, caution.landmark)
    limit = (said_mass if caution.landmark == "weight" else said_measure)(caution.limit)
    if caution.value > caution.limit:
        return tr(
            "Your {name} is above that of nearly all the adults measured ({limit}): what follows "
            "from it is extrapolated.",
            name=name,
            limit=limit,
        )
    return tr(
        "Your {name} is below that of nearly all the adults measured ({limit}): what follows "
        "from it is extrapolated.",
        name=name,
        limit=limit,
    )


def read_as(read: ReadRider, name: str) -> str:
    """How a field was read, shown beside it where another unit was possible."""
    value = getattr(read.rider, name)
    if value is None:
        return ""
    if name == "weight":
        return tr(
            "{value} kg, {number} lb",
            value=number(value, 0),
            number=number(value / KG_PER_POUND, 0),
        )
    inches = value / MM_PER_INCH
    return tr("{number} cm, {inches} in", number=number(value / 10), inches=number(inches))
