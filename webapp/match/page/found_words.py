"""The result of a search in sentences: what was found, and why the rest was not."""

from __future__ import annotations

from webapp.builds.fitting.checks import label_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr, trn
from webapp.common.text.reader import said_bike_mass, said_length
from webapp.common.text.units import number, with_unit
from webapp.match.all_builds import LOWEST_SADDLE
from webapp.match.stances import UNPRICED, UNWEIGHED
from webapp.match.wish import MASS, PRICE, Loosened, Matched


def reason_of(code: str) -> str:
    """Why combinations fail, in words, by the code of the reason."""
    own = {
        UNPRICED: tr("a part without a price"),
        UNWEIGHED: tr("a part whose mass is not known"),
        LOWEST_SADDLE: tr("the saddle does not go as low as you want"),
    }
    return own[code] if code in own else label_of(code)


def found_words(found: Matched) -> str:
    """How many ways were looked through."""
    return trn(
        "{ways} possible build was compared.",
        "{ways} possible builds were compared.",
        found.combinations,
        ways=f"{found.combinations:,}",
    )


def failed_words(found: Matched) -> list[str]:
    """How many of them fail what, the most first."""
    return [
        tr("{count} of them do not go together: {check}.", count=f"{n:,}", check=reason_of(code))
        for code, n in sorted(found.failed.items(), key=lambda pair: -pair[1])
    ]


def loosened_words(catalogue: Catalogue, found: Matched) -> list[str]:
    """Which bound to loosen to what, and how near that gets."""
    return [_loosened(catalogue, each) for each in found.loosen]


def _loosened(catalogue: Catalogue, each: Loosened) -> str:
    away = said_length(each.distance)
    if each.name == PRICE:
        return tr(
            "With a price up to {to:.0f} {currency} the nearest build is {distance} away.",
            to=each.to,
            currency=catalogue.currency,
            distance=away,
        )
    if each.name == MASS:
        return tr("With a mass of {to} the nearest build is {distance} away.",
                  to=said_bike_mass(each.to, 2), distance=away)  # fmt: skip
    if each.name == "lead_time":
        return tr("With {to:g} weeks to wait the nearest build is {distance} away.",
                  to=each.to, distance=away)  # fmt: skip
    if each.name == "fork_travel":
        return tr("With a fork of {to:g} mm of travel the nearest build is {distance} away.",
                  to=each.to, distance=away)  # fmt: skip
    figure = entry(each.name)
    to = with_unit(number(each.to, figure.decimals), figure.unit)
    return tr("With {figure} of {to} the nearest build is {distance} away.",
              figure=figure.name, to=to, distance=away)  # fmt: skip
