"""What differs between two bikes, in sentences: what a rider feels most comes first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.builds.choice.places import PLACE_OF
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr, trn
from webapp.common.text.money import Money
from webapp.common.text.units import number, with_unit
from webapp.compare.bikes import Compared
from webapp.compare.noticeable_differences import FEELS, Feel

MOST_SAID = 5  # figures in one sentence; the table has them all
MOST_PARTS = 4

# Said after the parts that change how a bike rides.
_LOOKS = PLACE_OF["finish"].label


@dataclass(frozen=True, kw_only=True)
class Felt:
    """One difference a rider feels: the figure, by how much, how many steps that is."""

    feel: Feel
    by: float
    count: float


def felt_differences(first: Mapping[str, float], other: Mapping[str, float]) -> tuple[Felt, ...]:
    """Differences of another bike's figures against the first's that a rider feels.

    Parameters
    ----------
    first, other : mapping of key to float
        Lengths [mm], angles [deg].

    Returns
    -------
    tuple of Felt
        Most felt first; differences below their step, or of what is not known, are left out.

    Examples
    --------
    >>> figures = {feel.key: 70.0 for feel in FEELS}
    >>> [(f.feel.key, f.by) for f in felt_differences(figures, figures | {"head_angle": 68.9})]
    [('head_angle', -1.1)]
    """
    found = []
    for feel in FEELS:
        if not all(key in bike for key in (feel.key, *feel.follows) for bike in (first, other)):
            continue
        by = round(other[feel.key] - first[feel.key], 6)
        beyond = by - sum(other[key] - first[key] for key in feel.follows)
        if min(abs(by), abs(beyond)) >= feel.step:
            found.append(Felt(feel=feel, by=by, count=abs(beyond) / feel.step))
    return tuple(sorted(found, key=lambda felt: -felt.count))


def sentence(letter: str, first: Compared, other: Compared, *, state: str) -> str:
    """How another bike differs from the first, A, as a rider feels it.

    Parameters
    ----------
    letter : str
        The other's letter.
    first, other : Compared
    state : str
        The state in which both are compared.

    Returns
    -------
    str
        One sentence, or two where the prices cannot be compared.
    """
    felt = felt_differences(first.figures(state), other.figures(state))
    said = [
        _phrase(felt_one, letter if at == 0 else "") for at, felt_one in enumerate(felt[:MOST_SAID])
    ]
    price = price_phrase(first.price, other.price)
    if not said:
        alike = tr(
            "{letter} is like A: no figure differs by as much as a rider feels", letter=letter
        )
        return tr("{alike}; it {price}.", alike=alike, price=price) if price else f"{alike}."
    if price:
        said.append(tr("it {price}", price=price))
    if len(said) == 1:
        return f"{said[0]}."
    return tr("{first}, and {last}.", first=", ".join(said[:-1]), last=said[-1])


def _phrase(felt: Felt, letter: str) -> str:
    """With a letter, the phrase begins the sentence and names the bikes compared."""
    feel = felt.feel
    change = feel.more if felt.by > 0 else feel.less
    amount = _amount(feel.key, abs(felt.by))
    if feel.way == "has":
        if letter:
            return tr(
                "{letter} has {amount} {change} {noun} than A",
                letter=letter,
                amount=amount,
                change=change,
                noun=feel.noun,
            )
        return tr("it has {amount} {change} {noun}", amount=amount, change=change, noun=feel.noun)
    if not letter:
        return tr(
            "its {noun} {way} {amount} {change}",
            noun=feel.noun,
            way=feel.way,
            amount=amount,
            change=change,
        )
    if " " in change:
        return tr(
            "{letter}’s {noun} {way} {amount} {change}, compared with A’s",
            letter=letter,
            noun=feel.noun,
            way=feel.way,
            amount=amount,
            change=change,
        )
    return tr(
        "{letter}’s {noun} {way} {amount} {change} than A’s",
        letter=letter,
        noun=feel.noun,
        way=feel.way,
        amount=amount,
        change=change,
    )


def _amount(key: str, size: float) -> str:
    unit = entry(key).unit
    return with_unit(number(size, 1 if unit == "°" else 0), unit)


def price_phrase(first: Money | None, other: Money | None) -> str:
    """How much more or less another bike costs; empty where that cannot be said.

    >>> price_phrase(Money(100, "EUR"), Money(12100, "EUR"))
    'costs 120.00 EUR more'
    """
    if first is None or other is None or first.currency != other.currency:
        return ""
    if first == other:
        return tr("costs the same")
    if first < other:
        return tr("costs {amount} more", amount=(other - first).format())
    return tr("costs {amount} less", amount=(first - other).format())


def price_caution(letter: str, first: Compared, other: Compared) -> str:
    """Why two prices are not compared, or compare different things; empty when all is well."""
    if first.price is None or other.price is None:
        return tr("The prices are not compared: one of them is not known.")
    if first.price.currency != other.price.currency:
        return tr(
            "The prices are not compared: A is priced in {first_currency}, "
            "{letter} in {other_currency}.",
            first_currency=first.price.currency,
            letter=letter,
            other_currency=other.price.currency,
        )
    if first.sold_as != other.sold_as:
        return tr(
            "Its price is for the {other}, that of A for the {first}.",
            other=other.sold_as,
            first=first.sold_as,
        )
    return ""


def parts_sentence(first: Compared, other: Compared) -> str:
    """Which parts another bike has instead of the first's; empty when there are none."""
    differing = [
        (place, name) for place, name in other.parts.items() if first.parts.get(place, name) != name
    ]
    if not differing:
        return ""
    said = [
        tr(
            "{place}: {part} instead of {before}",
            place=place.lower(),
            part=name,
            before=first.parts[place],
        )
        for place, name in sorted(differing, key=lambda part: part[0] == _LOOKS)[:MOST_PARTS]
    ]
    rest = len(differing) - MOST_PARTS
    if rest > 0:
        said.append(trn("{count} more part differs", "{count} more parts differ", rest))
    words = f"{'; '.join(said)}."
    return words[0].upper() + words[1:]
