"""The fit in words: cautions, what each measurement brought, what would settle it."""

from __future__ import annotations

from itertools import pairwise

from geometry.rider import BodyCaution, Landmark
from geometry.sizing import Reason
from webapp.common.text.language import tr
from webapp.common.text.units import KG_PER_POUND, MM_PER_INCH, number
from webapp.fit.advice import FitAnswer, Rung, SizeFit
from webapp.rider.rider_input import MEASURES, ReadRider, Rider
from webapp.rider.summary import IN_SENTENCE

_ADULT = 1450.0
"""Below this stature a rider may well be a child [mm]; the sentence says "may"."""


def hundred(chance: float) -> int:
    """A chance [1] as so many in 100.

    >>> hundred(0.836)
    84
    """
    return round(100.0 * chance)


def size_words(size: SizeFit) -> str:
    """What holds of one size, in one line."""
    return tr(
        "Acceptable in {hundred} of 100, best in {hundred_2}.",
        hundred=hundred(size.acceptable),
        hundred_2=hundred(size.best),
    )


def reason_line(reason: Reason) -> str:
    """A reason as a line of a list, its gravity said in words."""
    text = reason.text[0].upper() + reason.text[1:]
    lead = {"no": tr("Does not suit: "), "tight": "Tight: ", "clear": ""}[reason.outcome]
    return f"{lead}{reason.text if lead else text}"


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
    >>> from webapp.fit.advice import Rung
    >>> first = Rung(landmark="stature", size="Medium", chance=0.61, none=0.0)
    >>> second = Rung(landmark="crotch_height", size="Medium", chance=0.84, none=0.0)
    >>> for line in ladder((first, second)):
    ...     print(line)
    With your stature alone: Medium, 61 in 100.
    With your inseam the answer went from 61 to 84 in 100: Medium.
    """
    if len(rungs) < 2:  # noqa: PLR2004  # nothing to compare with
        return ()
    first = rungs[0]
    said = [
        tr("With your {value} alone: {told}.", value=IN_SENTENCE[first.landmark], told=_told(first))
    ]
    for before, after in pairwise(rungs):
        name = IN_SENTENCE[after.landmark]
        said.append(
            tr(
                "With your {name} the answer went from {hundred} to {hundred_2} in 100: {size}.",
                name=name,
                hundred=hundred(_sure(before)),
                hundred_2=hundred(_sure(after)),
                size=_size(after),
            )
        )
    return tuple(said)


def _sure(rung: Rung) -> float:
    return max(rung.chance, rung.none)


def _size(rung: Rung) -> str:
    return tr("none of these sizes") if rung.none > rung.chance else rung.size


def _told(rung: Rung) -> str:
    return tr("{size}, {hundred} in 100", size=_size(rung), hundred=hundred(_sure(rung)))


def next_words(answer: FitAnswer) -> str:
    """What would settle the size best, and by how much; empty when nothing would."""
    if not answer.measure_next:
        return ""
    best = answer.measure_next[0]
    again = tr(", measured against a wall") if best.landmark == "stature" else ""
    return tr(
        (
            "What would help most: your {value}{again}. The size would then be "
            "right in about {hundred} of 100, now "
            "{hundred_2}."
        ),
        value=IN_SENTENCE[best.landmark],
        again=again,
        hundred=hundred(best.probability),
        hundred_2=hundred(best.probability - best.gain),
    )


def given_words(rider: Rider) -> str:
    """What an answer goes by, in a sentence.

    >>> given_words(Rider(stature=1720, inseam=815))
    'Worked out from your stature and inseam.'
    """
    names = [IN_SENTENCE[each.landmark] for each in MEASURES if rider.value(each.name) is not None]
    listed = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
    return tr("Worked out from your {listed}.", listed=listed)


def next_field(answer: FitAnswer) -> str:
    """Name of the field that would settle most; empty when nothing would."""
    if not answer.measure_next:
        return ""
    landmark: Landmark = answer.measure_next[0].landmark
    return next(measure.name for measure in MEASURES if measure.landmark == landmark)


def cautions(answer: FitAnswer) -> tuple[str, ...]:
    """Doubts about the answer, in sentences."""
    said = [_caution(each) for each in answer.cautions]
    stature = answer.rider.stature
    if stature is not None and stature < _ADULT:
        said.append(
            tr(
                "The bodies this rests on are those of adults. A child’s are built otherwise, "
                "and a growing rider is best measured in person."
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
    return tuple(said)


def _caution(caution: BodyCaution) -> str:
    if caution.landmark is None:
        return tr(
            "These measurements are rarely found together in one person. "
            "Please look at them again: a slip of the tape is likelier."
        )
    name = IN_SENTENCE.get(caution.landmark, caution.landmark)
    unit = "kg" if caution.landmark == "weight" else "mm"
    side = "above" if caution.value > caution.limit else "below"
    return tr(
        (
            "Your {name} is {side} that of nearly all the adults measured "
            "({limit:.0f} {unit}): what follows from it is extrapolated."
        ),
        name=name,
        side=side,
        limit=caution.limit,
        unit=unit,
    )


def read_as(read: ReadRider, name: str) -> str:
    """How a field was read, said beside it: in the unit typed it could have meant another."""
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
