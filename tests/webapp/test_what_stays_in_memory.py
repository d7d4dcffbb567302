"""What a process holds on to: catalogues of today's edition alone, and nothing of any rider."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from datetime import timedelta
from functools import partial
from types import FunctionType, ModuleType
from urllib.parse import quote
from weakref import ReferenceType, WeakKeyDictionary, ref

import numpy as np
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from webapp.catalogue.reading import load
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.writing.models import put_model
from webapp.common.memory import Memory
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now

WHO = "the builder"
MODELS = ("knapweed", "burdock")

# Numbers that stand nowhere else, as typed and as they are held.
TYPED = {"stature": "1737.31", "inseam": "811.17", "weight": "71.93", "saddle_height": "703.59"}
NUMBERS = np.array([1737.31, 811.17, 71.93, np.log(71.93), 703.59])
WRITTEN = ("1737.31", "811.17", "71.93", "703.59")
RIDER = "&".join(f"{key}={value}" for key, value in TYPED.items())
PAGES = (
    f"/build/knapweed?size=l&{RIDER}",
    f"/build/burdock?size=m&{RIDER}",
    f"/build/knapweed?size=xl&fork=suspension-150&state=sagged&{RIDER}",
    f"/fit/knapweed?{RIDER}",
    f"/table/knapweed?{RIDER}",
    f"/match/knapweed?{RIDER}",
    f"/side-by-side?build={quote(f'knapweed?size=l&{RIDER}')}&build=burdock",
    f"/quote/knapweed?size=l&{RIDER}",
    f"/?{RIDER}",
    f"/my-builds?build={quote(f'knapweed?size=l&{RIDER}')}",
)


def remembered() -> list[Catalogue]:
    """Every catalogue that is remembered, of whichever database."""
    kept = [memory for _, memory in load._remembered.values()]
    return [each for m in kept for each in (*m.newer.values(), *m.older.values())]


def test_an_edit_and_the_end_of_a_day_let_go_of_every_catalogue(
    client: TestClient, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine: Engine = app.state.engine

    def used() -> list[ReferenceType[Catalogue]]:
        """Catalogues that several kinds of page have been asked of."""
        for address in (PAGES[0], *PAGES[3:7]):
            client.get(address)
        with reading(engine) as session:
            return [ref(load_catalogue(session, model)) for model in MODELS]

    def alive(held: list[ReferenceType[Catalogue]]) -> int:
        gc.collect()
        return sum(each() is not None for each in held)

    before = used()
    assert alive(before) == len(MODELS)
    with writing(engine) as session:
        put_model(session, who=WHO, slug="knapweed", name="Another")
    after = used()
    assert (alive(before), alive(after)) == (0, len(MODELS))
    monkeypatch.setattr(load, "now", lambda: now() + timedelta(days=1))
    tomorrow = used()
    assert (alive(after), alive(tomorrow)) == (0, len(MODELS))


def test_the_newest_revision_is_one_catalogue_however_it_is_asked_for(shop: Engine) -> None:
    for order in ((None, 2), (2, None, 2)):
        load._remembered.clear()
        with reading(shop) as session:
            *_, one, other = [load_catalogue(session, "knapweed", number) for number in order]
            assert one is other
            assert load_catalogue(session, "knapweed", 1) is not one


def test_catalogues_of_many_buyers_and_revisions_have_an_end(
    shop: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(load, "_MOST", 2)
    load._remembered.clear()
    with reading(shop) as session:
        held = [ref(load_catalogue(session, *key)) for key in (("knapweed", 1), ("burdock", 1))]
        load_catalogue(session, "knapweed", 2)
        load_catalogue(session, "burdock")
    gc.collect()
    assert [each() is None for each in held] == [True, True]
    assert len(remembered()) <= 2


# --- nothing of a rider ------------------------------------------------------------------


def roots(app: FastAPI) -> Iterator[tuple[str, object]]:
    """Every cache of a module, the catalogues remembered, and what the service itself holds."""
    for name, module in sorted(sys.modules.items()):
        if name.partition(".")[0] in {"webapp", "geometry"}:
            for key, value in vars(module).items():
                own = hasattr(value, "cache_info") and value.__module__ == name
                if own or isinstance(value, Memory | WeakKeyDictionary | dict | list | set):
                    yield f"{name}.{key}", value
    yield "the service", app.middleware_stack
    yield "its state", app.state


def within(root: object, seen: set[int]) -> Iterator[object]:
    """All that is held by an object, once; code and modules are looked at by name above."""
    left = [root]
    while left:
        each = left.pop()
        if id(each) in seen or isinstance(each, type | ModuleType):
            continue
        seen.add(id(each))
        yield each
        if isinstance(each, FunctionType):
            left += [*(each.__closure__ or ()), *(each.__defaults__ or ())]
        else:
            left += gc.get_referents(each)


def tells_of_the_rider(kept: object) -> bool:
    """Whether one thing is, or says, one of the numbers typed."""
    if isinstance(kept, str):
        return any(each in kept for each in WRITTEN)
    if isinstance(kept, bytes):
        return any(each.encode() in kept for each in WRITTEN)
    if isinstance(kept, float):
        return bool((np.abs(NUMBERS - kept) < 1e-9).any())
    if isinstance(kept, np.ndarray) and kept.dtype == np.float64:
        return bool((np.abs(kept[..., np.newaxis] - NUMBERS) < 1e-9).any())
    return False


def test_no_cache_holds_a_measurement_after_every_page_was_asked_with_it(
    client: TestClient, app: FastAPI
) -> None:
    # The library that takes addresses apart has a small cache of its own, which is not ours.
    for address in PAGES:
        assert client.get(address).status_code == 200, address
    gc.collect()
    seen, found, looked = set[int](), list[str](), 0
    for name, root in roots(app):
        for each in within(root, seen):
            looked += 1
            if tells_of_the_rider(each):
                found.append(f"{name}: {each!r:.200}")
    assert found == []
    assert looked > 50_000
    assert {id(each.memory) for each in remembered()} <= seen


def test_a_measurement_in_a_cache_would_be_found() -> None:
    memory, line = Memory(most=4), np.array([1.0, 71.93])
    memory.of("a", lambda: partial(max, (lambda: line)))
    assert any(map(tells_of_the_rider, within({"one": memory}, set())))
    assert any(map(tells_of_the_rider, within([{"x": ("for 71.93 kg",)}], set())))
    assert not any(map(tells_of_the_rider, within([{"x": (72.0, "72", line[:1])}], set())))
