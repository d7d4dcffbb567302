"""The whole catalogue as a folder of readable text files, in the format of the demo's.

What is written here is what `webapp.catalogue.folder_load` reads: loaded into an empty
catalogue it gives the same one again. `demo_data/README.md` describes the format.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.marks.kept import read_mark
from webapp.catalogue.reading.costs import costs
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.tables import (
    PUBLISHED,
    RETIRED,
    SHOWN,
    FrameModel,
    FrameRevision,
    FrameSize,
    Offer,
    Part,
    Price,
    PriceList,
    PriceScope,
    RidingStyle,
    TradeName,
)
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.common.text.money import Money


def dump_folder(session: Session, folder: Path) -> None:
    """Write the catalogue into a folder.

    Parameters
    ----------
    session : Session
        A reading session.
    folder : Path
        Made if it is not there; must be empty.

    Raises
    ------
    Conflict
        For a folder that holds something already, or a catalogue without a price list.
    """
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.iterdir()):
        raise Conflict("folder", str(folder), tr("an empty folder, so that nothing is mixed up"))
    lists = session.exec(select(PriceList).order_by(col(PriceList.id))).all()
    if not lists:
        raise Conflict("price list", None, tr("a catalogue with a price list"))
    _write(folder / "shop.toml", _shop(session, lists[0]))
    _mark(session, folder)
    names = session.exec(select(TradeName).order_by(col(TradeName.code))).all()
    joints = {row.code: row.joint for row in names if row.joint}
    terms = {"names": {row.code: row.name for row in names}}
    _write(folder / "terms.toml", terms | ({"joints": joints} if joints else {}))
    for model in session.exec(select(FrameModel).order_by(col(FrameModel.position))).all():
        _model(session, folder / model.slug, model, lists[0])
    _parts(session, folder, lists[0])
    if known := costs(session):
        _write(folder / "costs.toml", {"costs": {k: _with_currency(v) for k, v in known.items()}})
    for listed in lists[1:]:
        _write(folder / f"prices_{listed.slug}.toml", _further(session, listed))


def _mark(session: Session, folder: Path) -> None:
    """The shop's mark as a file of its own."""
    if fingerprint := settings_data(session).look.mark:
        mark = read_mark(session, fingerprint)
        (folder / f"mark.{mark.ending}").write_bytes(mark.content)


def _shop(session: Session, listed: PriceList) -> dict[str, Any]:
    styles = session.exec(select(RidingStyle).order_by(col(RidingStyle.position))).all()
    return {
        "settings": _settings(session, listed),
        **_scopes(session),
        "price_list": _list_data(listed),
        "style": [_style(style) for style in styles],
    }


def _settings(session: Session, listed: PriceList) -> dict[str, Any]:
    """The shop's settings, the amounts of package prices in money."""
    data = settings_data(session).model_dump(mode="json")
    del data["look"]["mark"]  # a file says it
    for rule in data["price_rules"]:
        rule["amount"] = _amount(rule.pop("minor"), listed)
    return data


def _style(row: RidingStyle) -> dict[str, Any]:
    removed = {"removed": True} if row.state == RETIRED else {}
    return {"slug": row.slug, "name": row.name, **removed, "windows": row.data}


def _scopes(session: Session) -> dict[str, Any]:
    """Groups of customers and regions, where there are any."""
    found: dict[str, list[dict[str, Any]]] = {}
    for row in session.exec(select(PriceScope).order_by(col(PriceScope.id))).all():
        countries = {"countries": row.countries} if row.countries else {}
        data = {"slug": row.slug, "name": row.name, **countries}
        found.setdefault(f"price_{row.kind}", []).append(data)
    return found


def _list_data(listed: PriceList) -> dict[str, Any]:
    data = listed.model_dump(exclude={"id"}, exclude_none=True)
    return {name: value for name, value in data.items() if value != ""}


def _prices(session: Session, listed: PriceList) -> tuple[Price, ...]:
    return tuple(session.exec(select(Price).where(Price.price_list_id == listed.id)).all())


def _amount(minor: int, listed: PriceList) -> str:
    return Money(minor, listed.currency).plain()


def _with_currency(amount: Money) -> str:
    return f"{amount.plain()} {amount.currency}"


def _model(session: Session, folder: Path, model: FrameModel, listed: PriceList) -> None:
    own = {p.size: p.minor for p in _prices(session, listed) if p.model_id == model.id}
    data: dict[str, Any] = model.model_dump(exclude={"id"})
    if model.state == SHOWN:
        del data["state"]
    if "" in own:
        data["frame_price"] = _amount(own.pop(""), listed)
    if own:
        data["size_surcharge"] = {size: _amount(minor, listed) for size, minor in own.items()}
    folder.mkdir()
    _write(folder / "model.toml", data)
    query = select(FrameRevision).where(FrameRevision.model_id == model.id)
    for row in session.exec(query.order_by(col(FrameRevision.number))).all():
        _write(folder / f"revision_{row.number:03d}.toml", _revision(session, row))


def _revision(session: Session, row: FrameRevision) -> dict[str, Any]:
    sizes = session.exec(
        select(FrameSize).where(FrameSize.revision_id == row.id).order_by(col(FrameSize.position))
    ).all()
    kept = {"id", "model_id", "state"} if row.state == PUBLISHED else {"id", "model_id"}
    data = row.model_dump(exclude=kept, exclude_none=True)
    if not row.withdrawn_reason:
        del data["withdrawn_reason"]
    return data | {"size": [{"slug": s.slug, "name": s.name, **s.data} for s in sizes]}


def _parts(session: Session, folder: Path, listed: PriceList) -> None:
    minor = {p.part_id: p.minor for p in _prices(session, listed)}
    models = {m.id: m.slug for m in session.exec(select(FrameModel)).all()}
    offers = session.exec(select(Offer).order_by(col(Offer.id))).all()
    rows = session.exec(select(Part).order_by(col(Part.id))).all()
    slugs = {row.id: row.slug for row in rows}
    by_kind: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        own = [offer for offer in offers if offer.part_id == row.id]
        data: dict[str, Any] = {"slug": row.slug, "name": row.name}
        if row.id in minor:
            data["price"] = _amount(minor[row.id], listed)
        data["for"] = [models[offer.model_id] for offer in own]
        data["usual_for"] = [models[offer.model_id] for offer in own if offer.standard]
        data["place"] = {models[offer.model_id]: offer.position for offer in own}
        if row.state == RETIRED:
            data["retired"] = True
        if row.replaced_by_id in slugs:
            data["replaced_by"] = slugs[row.replaced_by_id]
        by_kind.setdefault(row.kind, []).append(data | row.data)
    for kind, parts in by_kind.items():
        _write(folder / f"parts_{kind}.toml", {kind: parts})


def _further(session: Session, listed: PriceList) -> dict[str, Any]:
    models = {m.id: m.slug for m in session.exec(select(FrameModel)).all()}
    parts = {p.id: f"{p.kind}/{p.slug}" for p in session.exec(select(Part)).all()}
    found: dict[str, dict[str, str]] = {"frames": {}, "parts": {}}
    for price in _prices(session, listed):
        if price.model_id is not None:
            key = f"{models[price.model_id]}/{price.size}".rstrip("/")
            found["frames"][key] = _amount(price.minor, listed)
        else:
            found["parts"][parts[price.part_id]] = _amount(price.minor, listed)
    return {"price_list": _list_data(listed), **found}


def _write(file: Path, data: Mapping[str, Any]) -> None:
    file.write_text("\n".join(_lines(data, "")) + "\n", "utf-8")


def _lines(data: Mapping[str, Any], path: str) -> Iterator[str]:
    """A table: its plain values first, then the tables and lists of tables below it."""
    plain = {k: v for k, v in data.items() if not _is_deep(v)}
    yield from (f"{_key(k)} = {_value(v)}" for k, v in plain.items() if v is not None)
    for name, value in data.items():
        at = f"{path}{_key(name)}"
        if isinstance(value, Mapping):
            yield from ("", f"[{at}]", *_lines(value, f"{at}."))
        elif _is_deep(value):
            for each in value:
                yield from ("", f"[[{at}]]", *_lines(each, f"{at}."))


def _is_deep(value: Any) -> bool:
    listed = isinstance(value, list | tuple) and bool(value)
    return isinstance(value, Mapping) or (listed and isinstance(value[0], Mapping))


def _key(name: str) -> str:
    return name if name.replace("_", "").replace("-", "").isalnum() else json.dumps(name)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return f"[{', '.join(_value(each) for each in value)}]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(value)
