"""The demo catalogue from its text files, through the same validation as any edit."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlmodel import Session

from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.writing.models import publish, put_draft, put_model, put_size
from webapp.catalogue.writing.parts import (
    put_frame_price,
    put_offer,
    put_part,
    put_part_price,
    put_price_list,
)
from webapp.catalogue.writing.shop import put_settings, put_style, put_trade_name
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money

WHO = "demo data"  # by this the demo is known, so no language changes it


def load_demo(session: Session, folder: Path) -> None:
    """Fill an empty catalogue from a folder of text files.

    Parameters
    ----------
    session : Session
        A writing session; the whole load is one transaction.
    folder : Path
        With ``shop.toml``, ``terms.toml``, one folder a model and the ``parts_*.toml``.

    Raises
    ------
    Invalid
        For the first thing in the files that cannot be used.
    """
    shop = _read(folder / "shop.toml")
    put_settings(session, who=WHO, data=shop["settings"])
    put_price_list(session, who=WHO, **shop["price_list"])
    prices = _Prices(session, shop["price_list"])
    for code, name in _read(folder / "terms.toml")["names"].items():
        put_trade_name(session, who=WHO, code=code, name=name)
    for position, style in enumerate(shop["style"]):
        put_style(session, who=WHO, position=position, **style)
    for position, file in enumerate(sorted(folder.glob("*/model.toml"), reverse=True)):
        _model(session, file, position, prices)
    for file in sorted(folder.glob("parts_*.toml")):
        _parts(session, _read(file), prices)


class _Prices:
    """Writes the prices of one list, given as text in its currency."""

    def __init__(self, session: Session, price_list: dict[str, Any]) -> None:
        self.session = session
        self.slug: str = price_list["slug"]
        self.currency: str = price_list["currency"]

    def minor(self, text: str, what: str) -> int:
        try:
            return Money.parse(text, self.currency).minor
        except ValueError as error:
            raise Invalid(f"{what}.price", text, tr("an amount such as 129.00")) from error

    def part(self, kind: str, slug: str, text: str) -> None:
        minor = self.minor(text, f"{kind}.{slug}")
        put_part_price(
            self.session, who=WHO, price_list=self.slug, kind=kind, slug=slug, minor=minor
        )

    def frame(self, model: str, text: str, size: str = "") -> None:
        minor = self.minor(text, model)
        put_frame_price(
            self.session, who=WHO, price_list=self.slug, model=model, size=size, minor=minor
        )


def _model(session: Session, file: Path, position: int, prices: _Prices) -> None:
    raw = _read(file)
    slug = raw["slug"]
    put_model(
        session, who=WHO, slug=slug, name=raw["name"], summary=raw["summary"], position=position
    )
    prices.frame(slug, raw["frame_price"])
    for size, surcharge in raw.get("size_surcharge", {}).items():
        prices.frame(slug, surcharge, size)
    for revision in sorted(file.parent.glob("revision_*.toml")):
        _revision(session, slug, _read(revision))


def _revision(session: Session, model: str, raw: dict[str, Any]) -> None:
    draft = put_draft(session, who=WHO, model=model, data=raw["data"], changelog=raw["changelog"])
    if draft.number != raw["number"]:
        raise Invalid(
            f"{model}.number",
            raw["number"],
            tr("{next_number}, the next revision", next_number=draft.number),
        )
    for position, size in enumerate(raw["size"]):
        names = {key: size.pop(key) for key in ("slug", "name")}
        put_size(
            session,
            who=WHO,
            model=model,
            revision=draft.number,
            position=position,
            data=raw["every_size"] | size,
            **names,
        )
    publish(session, who=WHO, model=model, revision=draft.number, on=raw["published_on"])


def _parts(session: Session, raw: dict[str, Any], prices: _Prices) -> None:
    for position, (kind, part) in enumerate(_listed(raw)):
        slug, name, price = (part.pop(key) for key in ("slug", "name", "price"))
        models, usual = part.pop("for"), part.pop("usual_for", [])
        put_part(session, who=WHO, kind=kind, slug=slug, name=name, data=part)
        prices.part(kind, slug, price)
        for model in models:
            put_offer(
                session,
                who=WHO,
                model=model,
                kind=kind,
                slug=slug,
                position=position,
                standard=model in usual,
            )


def _listed(raw: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for kind, parts in raw.items():
        if kind not in PART_KINDS:
            raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
        for part in parts:
            yield kind, part


def _read(file: Path) -> dict[str, Any]:
    with file.open("rb") as stream:
        return tomllib.load(stream)
