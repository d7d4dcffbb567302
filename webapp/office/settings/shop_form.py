"""The form of the shop's settings in the builder's words, and back again.

The data name parts and models by their addresses and money in the currency's smallest
coin. On the form a part is chosen by place and name, a model by its name, money is typed
as on every other page, and names in addresses are made from the names people read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from sqlmodel import Session, col, select

from webapp.builds.choice.places import NONE, PLACE_OF, PLACES
from webapp.catalogue.schema.shop import ShopSettings
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import ACTIVE, FrameModel, Part
from webapp.common.errors import Gathering, Invalid, Problem
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.slugs import slug_of
from webapp.common.text.typed_numbers import read_amount
from webapp.common.web.choices import Option
from webapp.office.forms.data_form import form_of, raw_of, texts_of
from webapp.office.forms.field import DataField, DataGroup
from webapp.office.settings.sections import Section

AT = "settings"
PART_LIST = "parts-of-the-shop"
"""The page's list of parts, which fields of parts propose from."""

_NAMED_ROWS = re.compile(r"((?:destinations|fit\.flexibility|fit\.discomfort)\.\d+)\.")
_LISTS = re.compile(r"destinations|starting_points|price_rules|fit\.(flexibility|discomfort)")
_PART = re.compile(r"(.+\.parts\.\d+)\.part")
_PLACE = re.compile(r".+\.parts\.\d+\.place")
_MODEL = re.compile(r"(?:price_rules|starting_points)\.\d+\.model")
_MONEY = re.compile(r"price_rules\.\d+\.minor")
_MINUS = ("-", "−")
_TICK = "confirm_before_order"
_MOST = 10_000_000  # in the smallest coin, as `PriceRule` has it


@dataclass(frozen=True, kw_only=True)
class ShopForm:
    """What the form knows besides the settings: the currency, the shop's parts and models.

    ``parts`` are all parts by what they are called on the form, as place and slug;
    ``offered`` are those that are proposed.
    """

    currency: str
    parts: Mapping[str, tuple[str, str]]
    offered: tuple[str, ...]
    models: tuple[Option, ...]

    def texts(self, data: Mapping[str, object], section: Section) -> dict[str, str]:
        """Every field of a section as it is shown, by its name."""
        every = texts_of(ShopSettings, data)
        stored = {name: text for name, text in every.items() if section.holds(name)}
        called = {part: label for label, part in self.parts.items()}
        shown: dict[str, str] = {}
        for name, text in stored.items():
            if _PLACE.fullmatch(name):
                continue
            of_part = _PART.fullmatch(name)
            if of_part and text:
                key = (stored[f"{of_part[1]}.place"], text)
                shown[name] = called.get(key, f"{_place_words(key[0])}: {text}")
            elif _MONEY.fullmatch(name) and text:
                shown[name] = Money(int(text), self.currency).typed()
            else:
                shown[name] = text
        return shown

    def read(
        self, texts: Mapping[str, str], data: Mapping[str, object], section: Section
    ) -> ShopSettings:
        """The settings, with a section as typed and the others as saved.

        Raises
        ------
        Invalid
            With one problem for each field at fault, named as on the form.
        """
        found = {name: text.strip() for name, text in texts.items() if section.holds(name)}
        found |= dict.fromkeys(_unticked(found, section), "no")
        gathering = Gathering()
        for name, text in tuple(found.items()):
            if _PART.fullmatch(name) and text:
                found |= gathering.take(lambda n=name, t=text: self._part(n, t)) or {}  # type: ignore[misc]
            elif _MONEY.fullmatch(name) and text:
                found[name] = gathering.take(lambda n=name, t=text: self._money(n, t)) or ""  # type: ignore[misc]
        gathering.finish()
        typed = raw_of(ShopSettings, found | _slugs(found))
        try:
            return checked(ShopSettings, section.put_into(data, typed), at=AT)
        except Invalid as error:
            raise Invalid.of(_at_its_field(each) for each in error.problems) from error

    def _part(self, name: str, text: str) -> dict[str, str]:
        place, part = self.parts.get(text, ("", ""))
        if not part or (part == NONE and name.startswith("price_rules.")):
            example = self.offered[0] if self.offered else tr("Stem: short")
            remedy = tr("a part from the list, as in {example}", example=example)
            raise Invalid(f"{AT}.{name}", text, remedy)
        return {name: part, name.removesuffix("part") + "place": place}

    def _money(self, name: str, text: str) -> str:
        amount = read_amount(f"{AT}.{name}", text.lstrip("-−"), self.currency)
        most = Money(_MOST, self.currency)
        if most < amount:
            raise Invalid(f"{AT}.{name}", text, tr("at most {most}", most=most.format()))
        minor = amount.minor
        return str(-minor if text.startswith(_MINUS) else minor)

    def group(
        self,
        data: Mapping[str, object],
        section: Section,
        typed: Mapping[str, str],
        errors: Mapping[str, str],
    ) -> DataGroup:
        """The form of a section as kept, with these texts and refusals in it."""
        left_out = section.left_out
        form = form_of(ShopSettings, data, typed=typed, errors=errors, leave_out=left_out)
        reworded = self._reworded(form)
        of_fit = [each for each in reworded.groups if each.name == "fit"]
        return of_fit[0] if of_fit else reworded  # a section of it needs no box around itself

    def _reworded(self, group: DataGroup) -> DataGroup:
        fields = (self._field(each) for each in group.fields if not _PLACE.fullmatch(each.name))
        groups = tuple(self._reworded(each) for each in group.groups)
        if group.name.endswith(".parts"):
            return _in_one_box(group, [each.fields[0] for each in groups])
        if _LISTS.fullmatch(group.name):
            groups = _folded(groups)
        return replace(group, fields=tuple(fields), groups=groups)

    def _field(self, field: DataField) -> DataField:
        if _is_slug(field.name):
            return replace(field, kind="hidden", hint="")
        if _PART.fullmatch(field.name):
            return replace(field, hint="", proposed=PART_LIST)
        if _MODEL.fullmatch(field.name):
            every = tr("every model") if field.name.startswith("price_rules") else tr("not chosen")
            known = any(field.value in ("", each.value) for each in self.models)
            kept = () if known else (Option(value=field.value, label=field.value),)
            options = (Option(value="", label=every), *self.models, *kept)
            return replace(field, label=tr("Model"), kind="choice", hint="", options=options)
        if _MONEY.fullmatch(field.name):
            hint = tr("with a minus sign it is taken off")
            label = tr("Added to the price")
            return replace(field, kind="text", label=label, hint=hint, unit=self.currency)
        return field


def shop_form(session: Session, currency: str) -> ShopForm:
    """The form with the shop's parts and models as they are now."""
    query = select(Part.kind, Part.slug, Part.name, Part.state).order_by(col(Part.name))
    found = session.exec(query).all()
    parts: dict[str, tuple[str, str]] = {}
    offered: list[str] = []
    for place in PLACES:
        rows = [row for row in found if row[0] == place.kind]
        names = [row[2] for row in rows]
        for _kind, slug, name, state in rows:
            label = f"{place.label}: {name}"
            label = label if names.count(name) == 1 else f"{label} ({slug})"
            parts[label] = (place.name, slug)
            if state == ACTIVE:
                offered.append(label)
        if place.optional:
            parts[tr("{place}: none", place=place.label)] = (place.name, NONE)
            offered.append(tr("{place}: none", place=place.label))
    models = session.exec(select(FrameModel).order_by(col(FrameModel.name))).all()
    named = tuple(Option(value=each.slug, label=each.name) for each in models)
    return ShopForm(currency=currency, parts=parts, offered=tuple(offered), models=named)


def _folded(entries: tuple[DataGroup, ...]) -> tuple[DataGroup, ...]:
    """Entries of a list folded to their names, except refused ones and a first one."""
    names = {field.name: field.value for each in entries for field in each.fields}
    named = (
        replace(each, label=names.get(f"{each.name}.name", "") or each.label) for each in entries
    )
    several = len(entries) > 1
    return tuple(replace(each, folded=several and not _has_errors(each)) for each in named)


def _has_errors(group: DataGroup) -> bool:
    return any(f.error for f in group.fields) or any(map(_has_errors, group.groups))


def _in_one_box(group: DataGroup, parts: list[DataField]) -> DataGroup:
    """A list of parts as fields beside each other, with an empty last one to add a part."""
    named = (
        replace(each, label=tr("Part {number}", number=number))
        for number, each in enumerate(parts[:-1], 1)
    )
    another = (replace(each, label=tr("Another part"), required=False) for each in parts[-1:])
    note = tr("Type a word of a part’s name and choose. An emptied part is left out.")
    return replace(group, fields=(*named, *another), groups=(), note=note)


def _place_words(place: str) -> str:
    return PLACE_OF[place].label if place in PLACE_OF else place


def _is_slug(name: str) -> bool:
    return bool(_NAMED_ROWS.match(name)) and name.endswith(".slug")


def _unticked(texts: Mapping[str, str], section: Section) -> Iterator[str]:
    """Boxes that are not ticked, which browsers do not send; empty entries are left out."""
    if section.holds(_TICK) and not texts.get(_TICK):
        yield _TICK
    for row in _named_rows(texts):
        if row.startswith("destinations.") and _says_something(texts, row):
            ticks = (f"{row}.{each}" for each in ("tax_included", "needs_tax_number"))
            yield from (name for name in ticks if not texts.get(name))


def _slugs(texts: Mapping[str, str]) -> dict[str, str]:
    """Names in addresses: kept for an entry, made for a new one, removed with an emptied one."""
    found: dict[str, str] = {}
    taken: dict[str, set[str]] = {}
    for row in _named_rows(texts):
        used = taken.setdefault(row.rpartition(".")[0], set())
        used |= {texts.get(f"{row}.slug", "")}
    for row in _named_rows(texts):
        if not _says_something(texts, row):
            found |= {name: "" for name in texts if name.startswith(f"{row}.")}
        elif not texts.get(f"{row}.slug"):
            used = taken[row.rpartition(".")[0]]
            found[f"{row}.slug"] = slug_of(texts.get(f"{row}.name", ""), taken=used)
            used.add(found[f"{row}.slug"])
    return found


def _named_rows(texts: Mapping[str, str]) -> tuple[str, ...]:
    rows = (_NAMED_ROWS.match(name) for name in texts)
    return tuple(dict.fromkeys(row[1] for row in rows if row))


def _says_something(texts: Mapping[str, str], row: str) -> bool:
    """Whether an entry has more than its name in addresses and its boxes."""
    return any(
        text and text not in {"yes", "no"} and not _is_slug(name)
        for name, text in texts.items()
        if name.startswith(f"{row}.")
    )


def _at_its_field(problem: Problem) -> Problem:
    """Move the refusal of a missing list of parts to its first part."""
    at = f"{problem.field}.0.part" if problem.field.endswith(".parts") else problem.field
    return Problem(at, problem.value, problem.remedy)
