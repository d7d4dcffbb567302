"""How much the present bike changed the answer, in words."""

from __future__ import annotations

from webapp.common.text.language import tr
from webapp.fit.answer import FitAnswer


def evidence_words(answer: FitAnswer) -> str:
    """How much the present bike changed the answer; empty where it changed nothing."""
    found = answer.evidence
    if found is None:
        return ""
    if found.told >= 0:
        return tr(
            "You sit right on the bike you have: that makes the length you need {told:.0f} mm "
            "longer and surer, ±{after:.0f} instead of ±{before:.0f} mm; {size} goes from "
            "{earlier:.0f} to {chance:.0f} in 100.",
            told=found.told, after=2 * found.after, before=2 * found.before, size=found.size,
            earlier=100 * found.chance_before, chance=100 * found.chance,
        )  # fmt: skip
    return tr(
        "You sit right on the bike you have: that makes the length you need {told:.0f} mm shorter "
        "and surer, ±{after:.0f} instead of ±{before:.0f} mm; {size} goes from {earlier:.0f} to "
        "{chance:.0f} in 100.",
        told=-found.told, after=2 * found.after, before=2 * found.before, size=found.size,
        earlier=100 * found.chance_before, chance=100 * found.chance,
    )  # fmt: skip
