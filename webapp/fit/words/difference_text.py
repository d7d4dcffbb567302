"""What the larger of two sizes that both fit changes, in sentences."""

from __future__ import annotations

from webapp.builds.rider.posture_rows import RIDDEN_MEANING
from webapp.common.text.language import tr
from webapp.common.text.reader import said_length
from webapp.fit.answer import FitAnswer
from webapp.fit.words.advice_text import FELT, FELT_ANGLE


def differences(answer: FitAnswer) -> tuple[tuple[str, str, float, str], ...]:
    """Between two sizes that fit: code, sentence, value and unit of what the larger changes."""
    if answer.verdict != "between":
        return ()
    smaller, larger = answer.leading
    found = []
    longer = larger.too_long - smaller.too_long
    found.append(
        (
            "length",
            tr(
                "On {name} the grips are {longer} further ahead than on {name_2}.",
                name=larger.name,
                longer=said_length(longer),
                name_2=smaller.name,
            ),
            longer,
            "mm",
        )
    )
    for name, (more, less) in RIDDEN_MEANING.items():
        change = larger.posture[name] - smaller.posture[name]
        if abs(change) >= FELT_ANGLE:
            words = (more if change > 0 else less).format(f"{abs(change):.0f}°")
            found.append(
                (name, tr("On {name} you {words}.", name=larger.name, words=words), change, "°")
            )
    rooms = [size.reason("straddle_room") for size in (smaller, larger)]
    if rooms[0] and rooms[1] and abs(change := rooms[1].value - rooms[0].value) >= FELT:
        way = "less" if change < 0 else "more"
        found.append(
            (
                "straddle_room",
                tr(
                    "{name} has {change} {way} room over the top tube.",
                    name=larger.name,
                    change=said_length(change),
                    way=way,
                ),
                change,
                "mm",
            )
        )
    return tuple(found)
