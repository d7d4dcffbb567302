"""A catalogue from a folder of text files, through the same validation as any edit.

What cannot be used is told in words with the file and the line it stands in, and then
nothing is kept. `webapp.catalogue.folder_dump` writes what is read here.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from sqlmodel import Session

from webapp.catalogue.marks.kept import keep_mark
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import DRAFT, PUBLISHED, WITHDRAWN
from webapp.catalogue.writing.change_log import keep
from webapp.catalogue.writing.costs import put_cost
from webapp.catalogue.writing.models import publish, put_draft, put_model, put_size, withdraw
from webapp.catalogue.writing.parts import (
    put_frame_price,
    put_offer,
    put_part,
    put_part_price,
    put_price_list,
    retire_part,
)
from webapp.catalogue.writing.price_scopes import KINDS, put_scope
from webapp.catalogue.writing.shop import put_settings, put_style, put_trade_name
from webapp.common.errors import DomainError, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money


def load_folder(session: Session, folder: Path, *, who: str) -> None:
    """Fill an empty catalogue from a folder of text files.

    Parameters
    ----------
    session : Session
        A writing session; the whole load is one transaction.
    folder : Path
        With ``shop.toml``, ``terms.toml``, one folder a model and the ``parts_*.toml``.
    who : str
        By whom the edits are.

    Raises
    ------
    Invalid
        For the first thing in the files that cannot be used.
    """
    _Loader(session, folder, who).load()


class _Loader:
    """Loads one folder; prices are text in the currency of the list they stand in."""

    def __init__(self, session: Session, folder: Path, who: str) -> None:
        self.session, self.folder, self.who = session, folder, who
        self.listed, self.currency = "", ""

    def load(self) -> None:
        mark = self.mark()
        with self.file(self.folder / "shop.toml") as shop:
            self.currency = shop["price_list"]["currency"]
            settings = self.settings(shop["settings"])
            settings["look"] = {**settings.get("look", {}), "mark": mark}
            put_settings(self.session, who=self.who, data=settings)
            for kind in KINDS:
                for scope in shop.get(f"price_{kind}", ()):
                    put_scope(self.session, who=self.who, kind=kind, **_whole(scope))
            self.use_list(shop["price_list"])
            for position, style in enumerate(shop.get("style", ())):
                put_style(self.session, who=self.who, position=position, **style)
        if (self.folder / "terms.toml").exists():
            with self.file(self.folder / "terms.toml") as terms:
                joints = terms.get("joints", {})
                for code, name in terms.get("names", {}).items():
                    put_trade_name(
                        self.session,
                        who=self.who,
                        code=code,
                        name=name,
                        joint=joints.get(code, ""),
                    )
        models = sorted(self.folder.glob("*/model.toml"), reverse=True)
        for position, file in enumerate(models):
            self.model(file, position)
        files = sorted(self.folder.glob("parts_*.toml"))
        for file in files:
            with self.file(file) as raw:
                self.parts(raw)
        for file in sorted(self.folder.glob("prices_*.toml")):
            with self.file(file) as raw:
                self.further_prices(raw)

        self.costs(self.folder / "costs.toml")

    @contextmanager
    def file(self, file: Path) -> Iterator[dict[str, Any]]:
        """One file's content; an error names its line."""
        where = file.relative_to(self.folder).as_posix()
        try:
            text = file.read_text("utf-8")
            raw = tomllib.loads(text)
        except FileNotFoundError:
            raise Invalid(where, None, tr("a file of that name in the folder")) from None
        except UnicodeDecodeError:
            raise Invalid(where, None, tr("text in UTF-8")) from None
        except tomllib.TOMLDecodeError as error:
            raise Invalid(where, None, tr("text as TOML: {error}", error=error)) from None
        try:
            yield raw
        except DomainError as error:
            raise Invalid.of(_placed(where, text, each) for each in error.problems) from None
        except (KeyError, TypeError, AttributeError, ValueError) as error:
            remedy = tr("every field the format asks for; missing or odd: {error}", error=error)
            raise Invalid(where, None, remedy) from None

    def mark(self) -> str:
        """The fingerprint of the mark that stands beside the texts; empty where there is none."""
        found = [self.folder / f"mark.{ending}" for ending in ("svg", "png")]
        file = next((each for each in found if each.exists()), None)
        if file is None:
            return ""
        try:
            return keep_mark(self.session, file.read_bytes())
        except Invalid as error:
            raise Invalid(file.name, None, error.remedy) from None

    def settings(self, data: dict[str, Any]) -> dict[str, Any]:
        """The shop's settings, the amounts of package prices in money."""
        rules = [
            rule | {"minor": self.minor(amount, f"settings.price_rules.{place}", "amount")}
            for place, rule in enumerate(map(dict, data.get("price_rules", ())))
            for amount in [rule.pop("amount")]
        ]
        return data | {"price_rules": rules}

    def use_list(self, data: dict[str, Any]) -> None:
        put_price_list(self.session, who=self.who, **data)
        self.listed, self.currency = data["slug"], data["currency"]

    def minor(self, text: str, what: str, field: str = "price") -> int:
        try:
            return Money.parse(str(text), self.currency).minor
        except ValueError:
            raise Invalid(f"{what}.{field}", text, tr("an amount such as 129.00")) from None

    def costs(self, file: Path) -> None:
        if file.exists():
            with self.file(file) as raw:
                for key, text in raw.get("costs", {}).items():
                    self.cost(key, str(text))

    def cost(self, key: str, text: str) -> None:
        amount, _, currency = text.rpartition(" ")
        try:
            minor = Money.parse(amount, currency).minor
        except (ValueError, KeyError):
            raise Invalid(key, text, tr("an amount such as 75.00 EUR")) from None
        put_cost(self.session, who=self.who, key=key, minor=minor, currency=currency)

    def frame_price(self, model: str, text: str, size: str = "") -> None:
        minor = self.minor(text, f"{model}.{size}" if size else model)
        put_frame_price(
            self.session, who=self.who, price_list=self.listed, model=model, size=size, minor=minor
        )

    def part_price(self, kind: str, slug: str, text: str) -> None:
        minor = self.minor(text, f"{kind}.{slug}")
        put_part_price(
            self.session, who=self.who, price_list=self.listed, kind=kind, slug=slug, minor=minor
        )

    def model(self, file: Path, position: int) -> None:
        with self.file(file) as raw:
            slug, state = raw["slug"], raw.pop("state", "")
            row = put_model(
                self.session,
                who=self.who,
                slug=slug,
                name=raw["name"],
                summary=raw.get("summary", ""),
                position=raw.get("position", position),
            )
            if state:
                keep(self.session, row, who=self.who, key=slug, state=state)
            if "frame_price" in raw:
                self.frame_price(slug, raw["frame_price"])
            for size, surcharge in raw.get("size_surcharge", {}).items():
                self.frame_price(slug, surcharge, size)
        for revision in sorted(file.parent.glob("revision_*.toml")):
            with self.file(revision) as content:
                self.revision(slug, content)

    def revision(self, model: str, raw: dict[str, Any]) -> None:
        session, who, state = self.session, self.who, raw.get("state", PUBLISHED)
        words = raw.get("changelog", "")
        draft = put_draft(session, who=who, model=model, data=raw["data"], changelog=words)
        if draft.number != raw["number"]:
            # A deleted draft leaves a gap in the numbers: old addresses rely on them.
            keep(session, draft, who=who, key=f"{model}/{raw['number']}", number=raw["number"])
        shared = raw.get("every_size", {})
        for position, size in enumerate(raw.get("size", ())):
            names = {key: size.pop(key) for key in ("slug", "name")}
            put_size(
                session,
                who=who,
                model=model,
                revision=draft.number,
                position=position,
                data=shared | size,
                **names,
            )
        if state == DRAFT:
            return
        day: date = raw["published_on"]
        publish(session, who=who, model=model, revision=draft.number, on=day)
        if state == WITHDRAWN:
            on, reason = raw.get("withdrawn_on", day), raw.get("withdrawn_reason", "")
            withdraw(session, who=who, model=model, revision=draft.number, reason=reason, on=on)

    def parts(self, raw: dict[str, Any]) -> None:
        gone: list[tuple[str, str, str | None]] = []
        for position, (kind, part) in enumerate(_listed(raw)):
            slug, name = part.pop("slug"), part.pop("name")
            price, places = part.pop("price", None), part.pop("place", {})
            models, usual = part.pop("for", []), part.pop("usual_for", [])
            retired, instead = part.pop("retired", False), part.pop("replaced_by", None)
            put_part(self.session, who=self.who, kind=kind, slug=slug, name=name, data=part)
            if price is not None:
                self.part_price(kind, slug, price)
            for model in models:
                put_offer(
                    self.session,
                    who=self.who,
                    model=model,
                    kind=kind,
                    slug=slug,
                    position=places.get(model, position),
                    standard=model in usual,
                )
            if retired:
                gone.append((kind, slug, instead))
        for kind, slug, instead in gone:
            retire_part(self.session, who=self.who, kind=kind, slug=slug, replaced_by=instead)

    def further_prices(self, raw: dict[str, Any]) -> None:
        self.use_list(raw["price_list"])
        for key, text in raw.get("frames", {}).items():
            model, _, size = key.partition("/")
            self.frame_price(model, text, size)
        for key, text in raw.get("parts", {}).items():
            kind, _, slug = key.partition("/")
            self.part_price(kind, slug, text)


def _whole(scope: dict[str, Any]) -> dict[str, Any]:
    return {**scope, "countries": tuple(scope.get("countries", ()))}


def _listed(raw: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for kind, parts in raw.items():
        if kind not in PART_KINDS:
            raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
        for part in parts:
            yield kind, part


def _placed(where: str, text: str, problem: Any) -> Any:
    """A problem with the file and the line that it is about."""
    line = line_of(text, problem.field.split("."))
    told = tr("{file}, line {line}: {field}", file=where, line=line, field=problem.field)
    return replace(problem, field=told)


def line_of(text: str, steps: list[str]) -> int:
    """The line a field of the data stands in, as near as its path tells.

    Examples
    --------
    >>> line_of('[[size]]\\nslug = "s"\\n[[size]]\\nslug = "m"\\nreach = 9', ["m", "reach"])
    5
    """
    lines, at = text.splitlines(), 0
    for step in steps:
        own = re.escape(step)
        named = re.compile(
            rf'\s*(slug\s*=\s*"{own}"|"?{own}"?\s*=|\[+[\w."-]*\b{own}\]+)|.*\b{own}\s*='
        )
        found = next((i for i in range(at, len(lines)) if named.match(lines[i])), None)
        at = at if found is None else found
    return at + 1
