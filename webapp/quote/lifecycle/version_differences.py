"""What differs between two versions of a quote, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.units import minus
from webapp.quote.agreed_terms.deal import OFF
from webapp.quote.customer import Customer
from webapp.quote.freezing.bikes import bike_of, heading_of, place_of
from webapp.quote.freezing.content import QuoteContent, Setting
from webapp.quote.freezing.pricing import DISCOUNT
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.storage.read import QuoteView
from webapp.rider.rider_input import RIDER_KEYS


@dataclass(frozen=True, kw_only=True)
class FigureChange:
    """One figure in one state, before and after, as printed."""

    name: str
    unit: str
    state: str
    before: str
    after: str


@dataclass(frozen=True, kw_only=True)
class Differences:
    """All that differs: in sentences, and the figures of the geometry one by one."""

    sentences: tuple[str, ...]
    figures: tuple[FigureChange, ...]


def compare_versions(before: QuoteView, after: QuoteView) -> Differences:
    """Compare two versions of one quote.

    Parameters
    ----------
    before, after : QuoteView

    Returns
    -------
    Differences
        The sentences begin with what is sold, then price, times, checks, words.
    """
    old, new = before.content, after.content
    pairs = tuple(enumerate(zip_longest(before.bikes, after.bikes), start=1))
    sentences = [
        *(said for number, pair in pairs for said in _sold(number, pair, old, new)),
        *_lines(old, new),
        *_of_bikes(pairs, _set_otherwise),
        *_money(old, new),
        *_times(old, new),
        *_of_bikes(pairs, _checks),
        *_of_bikes(pairs, lambda a, b: _rider(a.customer, b.customer)),
        *_words(before, after),
    ]
    figures = (
        figure for _, (a, b) in pairs if a and b for figure in _figures(a.content, b.content)
    )
    return Differences(sentences=tuple(sentences), figures=tuple(figures))


Pair = tuple[QuoteView | None, QuoteView | None]
Told = Callable[[QuoteView, QuoteView], Iterator[str]]


def _sold(number: int, pair: Pair, old: QuoteContent, new: QuoteContent) -> Iterator[str]:
    """What is sold: of a bike that is in both, or that one was added or taken out."""
    before, after = pair
    if before and after:
        yield from _of_bikes([(number, pair)], lambda a, b: _build(a.content, b.content))
    elif after:
        yield tr("Added: {bike}.", bike=heading_of(new, number))
    else:
        yield tr("Taken out: {bike}.", bike=heading_of(old, number))


def _of_bikes(pairs: Iterable[tuple[int, Pair]], told: Told) -> Iterator[str]:
    """What differs in each bike that is in both versions."""
    for number, (before, after) in pairs:
        for said in told(before, after) if before and after else ():
            yield said if number == 1 else tr("Bike {number}: {said}", number=number, said=said)


def _build(old: QuoteContent, new: QuoteContent) -> Iterator[str]:
    a, b = old.build, new.build
    pairs = (
        (tr("Model"), a.model, b.model),
        (tr("Revision"), a.revision, b.revision),
        (tr("Size"), a.size, b.size),
        (tr("Sold"), a.scope_words, b.scope_words),
    )
    for label, was, now in pairs:
        if was != now:
            yield tr("{label}: {now} instead of {was}.", label=label, now=now, was=was)


def _lines(old: QuoteContent, new: QuoteContent) -> Iterator[str]:
    was = {line.key: line for line in old.price.lines}
    now = {line.key: line for line in new.price.lines}
    shared = 1 + min(len(old.further), len(new.further))
    # The frame's line names model, size and revision, which have been said already; so has
    # a bike that is in one of the two alone.
    for key in (
        k for k in dict.fromkeys([*was, *now]) if bike_of(k.removeprefix(OFF))[0] <= shared
    ):
        a, b = was.get(key), now.get(key)
        if a is None and b is not None:
            what = tr("Discount") if key.startswith(OFF) else place_of(key, b.place)
            yield tr(
                "{what} added: {item}, {amount}.", what=what, item=b.item, amount=b.amount.printed
            )
        elif b is None and a is not None:
            what = tr("Discount") if key.startswith(OFF) else place_of(key, a.place)
            yield tr(
                "{what} left out: {item}, {amount}.",
                what=what,
                item=a.item,
                amount=a.amount.printed,
            )
        elif a is not None and b is not None and a != b:
            yield _line_changed(
                place_of(key, a.place), (a.item, a.amount.printed), (b.item, b.amount.printed)
            )


def _line_changed(place: str, was: tuple[str, str], now: tuple[str, str]) -> str:
    if was[0] == now[0]:
        return tr("{place}: {now} instead of {before}.", place=place, now=now[1], before=was[1])
    if was[1] == now[1]:
        return tr("{place}: {now} instead of {before}.", place=place, now=now[0], before=was[0])
    return tr(
        "{place}: {now} instead of {before}, {price} instead of {price_before}.",
        place=place,
        now=now[0],
        before=was[0],
        price=now[1],
        price_before=was[1],
    )


def _set_otherwise(before: QuoteView, after: QuoteView) -> Iterator[str]:
    return _settings(tr("As set"), before.content.settings, after.content.settings)


def _settings(heading: str, old: Sequence[Setting], new: Sequence[Setting]) -> Iterator[str]:
    was = {each.label: each.value for each in old}
    now = {each.label: each.value for each in new}
    for label in dict.fromkeys([*was, *now]):
        if was.get(label) != now.get(label):
            before, after = was.get(label, tr("none")), now.get(label, tr("none"))
            yield tr(
                "{heading}, {setting}: {after}, was {before}.",
                heading=heading,
                setting=label.lower(),
                after=after,
                before=before,
            )


def _money(old: QuoteContent, new: QuoteContent) -> Iterator[str]:
    a, b = old.price, new.price
    if a.price_list != b.price_list:
        yield tr(
            "Prices are from “{now}” instead of “{before}”.",
            now=b.price_list,
            before=a.price_list,
        )
    if (a.tax_name, a.tax_percent) != (b.tax_name, b.tax_percent):
        yield tr(
            "{name} {percent} % instead of {name_before} {percent_before} %.",
            name=b.tax_name,
            percent=b.tax_percent,
            name_before=a.tax_name,
            percent_before=a.tax_percent,
        )
    aside = [{t.label: t.amount for t in p.totals if not t.main} for p in (a, b)]
    agreed = (DISCOUNT, tr("Delivery"), tr("Taken in payment"))
    for label in [each for each in aside[1] if each.startswith(agreed)]:
        if aside[0].get(label) != aside[1][label]:
            yield f"{label}, {aside[1][label]}."
    for label in [each for each in aside[0] if each.startswith(agreed)]:
        if label not in aside[1]:
            yield tr("No longer: {label}, {words}.", label=label, words=aside[0][label])
    if a.gross.minor != b.gross.minor and a.gross.currency == b.gross.currency:
        change = Money(b.gross.minor - a.gross.minor, b.gross.currency)
        sign = "+" if change.minor > 0 else ""
        yield tr(
            "Total {total}, was {before}: {change}.",
            total=b.gross.printed,
            before=a.gross.printed,
            change=f"{sign}{minus(change.format())}",
        )
    if a.deposit != b.deposit:
        yield tr(
            "Deposit {deposit}, was {before}.",
            deposit=b.deposit.printed,
            before=a.deposit.printed,
        )


def _times(old: QuoteContent, new: QuoteContent) -> Iterator[str]:
    if old.valid_until != new.valid_until:
        until, was = day_in_words(new.valid_until), day_in_words(old.valid_until)
        yield tr("Valid until {until}, was {was}.", until=until, was=was)
    if old.lead_time != new.lead_time:
        yield tr(
            "Lead time {now}, was {before}.",
            now=new.lead_time,
            before=old.lead_time,
        )


def _checks(old: QuoteView, new: QuoteView) -> Iterator[str]:
    was = {check.key: check for check in old.checks}
    for check in new.checks:
        before = was.pop(check.key, None)
        if check.outcome != (before.outcome if before else "clear"):
            yield tr(
                "Check “{name}”: {now}, was {before}.",
                name=check.name,
                now=_outcome_words(check),
                before=_outcome_words(before) if before else tr("not checked"),
            )
    for gone in was.values():
        if gone.outcome != "clear":
            yield tr(
                "Check “{name}” does not apply any more, was {outcome}.",
                name=gone.name,
                outcome=_outcome_words(gone),
            )


def _outcome_words(check: FrozenCheck) -> str:
    words = {"clear": tr("clear"), "tight": tr("tight"), "no": tr("no"), "unknown": tr("unknown")}
    return words[check.outcome]


def _words(before: QuoteView, after: QuoteView) -> Iterator[str]:
    a, b = before.content.deal, after.content.deal
    for label, was, now in (
        (tr("Customer's name"), before.customer.name, after.customer.name),
        (tr("Customer's mail address"), before.customer.mail, after.customer.mail),
        (tr("Customer's note"), before.customer.note, after.customer.note),
        (tr("Message to the customer"), a.message, b.message),
        (tr("Note for the workshop"), a.workshop_note, b.workshop_note),
    ):
        if was != now:
            yield _text_changed(label, was, now)


def _text_changed(label: str, was: str, now: str) -> str:
    if not now:
        return tr("{label}: taken out, was “{was}”.", label=label, was=was)
    if not was:
        return tr("{label}: “{now}”.", label=label, now=now)
    return tr("{label}: “{now}”, was “{was}”.", label=label, now=now, was=was)


def _rider(before: Customer, after: Customer) -> Iterator[str]:
    was, now = dict(before.rider), dict(after.rider)
    for key in (key for key in RIDER_KEYS if was.get(key) != now.get(key)):
        label = tr("Rider's {measure}", measure=key.replace("_", " "))
        yield tr(
            "{label}: {now}, was {before}.",
            label=label,
            now=now.get(key, tr("not given")),
            before=was.get(key, tr("not given")),
        )


def _figures(old: QuoteContent, new: QuoteContent) -> Iterator[FigureChange]:
    was = {figure.key: dict(zip(old.states, figure.cells, strict=True)) for figure in old.figures}
    for figure in new.figures:
        for state, cell in zip(new.states, figure.cells, strict=True):
            before = was.get(figure.key, {}).get(state, "")
            if before != cell and before:
                yield FigureChange(
                    name=figure.name, unit=figure.unit, state=state, before=before, after=cell
                )
