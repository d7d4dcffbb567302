"""Everything held about a customer, to be read: what the JSON file holds, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.accounts.people import Person
from webapp.common.text.language import tr

_DEEPEST = 4
_LABELS = {
    "accepted_version": tr("version accepted"),
    "at": tr("when"),
    "body": tr("text"),
    "by": tr("by"),
    "consents": tr("agreed to"),
    "content": tr("what it says"),
    "customer": tr("customer"),
    "events": tr("what happened"),
    "fit": tr("how the bike fits"),
    "given_on": tr("since"),
    "made": tr("made"),
    "made_by": tr("made by"),
    "mail": tr("mail address"),
    "mails": tr("mails"),
    "number": tr("number"),
    "outcomes": tr("what was said of the bike"),
    "phone": tr("telephone"),
    "price_group": tr("prices of"),
    "quotes": tr("quotes"),
    "rider": tr("measurements"),
    "sent_version": tr("version sent"),
    "tax_number": tr("VAT number"),
    "to": tr("to"),
    "versions": tr("versions"),
    "withdrawn_on": tr("taken back"),
}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line with its depth; a name without a value heads what follows it."""

    depth: int
    name: str
    text: str


@dataclass(frozen=True, kw_only=True)
class HeldPage:
    """Everything held about one customer."""

    person: Person
    heading: str
    back: str
    lines: tuple[Line, ...]


def held_page(held: Mapping[str, Any], person: Person, *, name: str, back: str) -> HeldPage:
    """The page of what `webapp.quote.storage.privacy.customer_as_json` gives."""
    heading = tr("Everything kept about {name}", name=name)
    lines = tuple(_lines(_readable(held), 0))
    return HeldPage(person=person, heading=heading, back=back, lines=lines)


def _readable(value: Any) -> Any:
    """The same, with the frozen content of bikes shortened: its figures say nothing of a person."""
    if isinstance(value, Mapping) and {"build", "price"} <= value.keys():
        build, price = value["build"], value["price"]
        bike = tr(
            "{model}, {size}, revision {revision}",
            model=build["model"], size=build["size"], revision=build["revision"],
        )  # fmt: skip
        short = {"bike": bike, "total": price["gross"]["printed"], "agreed": value["deal"]}
        return short | {"lines": [f"{line['place']}: {line['item']}" for line in price["lines"]]}
    if isinstance(value, Mapping):
        return {name: _readable(each) for name, each in value.items()}
    return [_readable(each) for each in value] if isinstance(value, list) else value


def _lines(value: Any, depth: int, name: str = "") -> Iterator[Line]:
    """One line for each plain value; empty ones are left out."""
    if isinstance(value, Mapping):
        if name and any(_said(each) for each in value.values()):
            yield Line(depth=depth, name=name, text="")
        for key, each in value.items():
            yield from _lines(
                each, min(depth + bool(name), _DEEPEST), _LABELS.get(key, key.replace("_", " "))
            )
    elif isinstance(value, list) and value and not any(isinstance(v, Mapping) for v in value):
        told = (" ".join(map(str, v)) if isinstance(v, list) else str(v) for v in value)
        yield Line(depth=depth, name=name, text="; ".join(told))
    elif isinstance(value, list):
        for index, each in enumerate(value, start=1):
            yield from _lines(each, depth, f"{name} {index}")
    elif _said(value):
        yield Line(depth=depth, name=name, text=str(value))


def _said(value: Any) -> bool:
    return value not in ("", None, [], {}, False)
