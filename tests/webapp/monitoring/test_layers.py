"""The layers around every request: its number, and a word to come back when too many wait."""

from __future__ import annotations

import asyncio
from typing import Any

from fastapi.testclient import TestClient
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import Receive, Scope, Send

from tests import coroutines
from webapp.common.current_request import number_of_request
from webapp.common.errors import Unavailable
from webapp.monitoring.figures import Figures
from webapp.monitoring.layers import Kind, NotTooMany, Numbered


def plain(_request: Request, error: Unavailable) -> PlainTextResponse:
    return PlainTextResponse(error.remedy, error.status, {"Retry-After": str(error.retry_after)})


def kind(*segments: str, at_once: int = 9, most: int = 9) -> Kind:
    return Kind(segments=frozenset(segments), at_once=at_once, most=most)


class Slow:
    """Answers when it is let."""

    def __init__(self) -> None:
        self.let = asyncio.Event()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["path"] != "/health":
            await self.let.wait()
        await PlainTextResponse("done")(scope, receive, send)


async def asked(app: Any, path: str = "/") -> dict[str, Any]:
    """The head of an answer."""
    said: list[dict[str, Any]] = []

    async def send(message: Any) -> None:
        said.append(message)

    async def receive() -> Any:
        return {"type": "http.request", "body": b""}

    scope = {"type": "http", "method": "GET", "path": path, "headers": []}
    await app(scope, receive, send)
    return said[0]


def test_whoever_comes_when_too_many_wait_is_told_to_come_back() -> None:
    async def burst() -> tuple[list[int], dict[str, Any], dict[str, Any], dict[str, Any]]:
        slow = Slow()
        gate = NotTooMany(slow, kinds=[kind(most=3)], answer=plain)
        waiting = [asyncio.create_task(asked(gate)) for _ in range(3)]
        await asyncio.sleep(0)
        refused, watched = await asked(gate), await asked(gate, "/health")
        slow.let.set()
        served = [head["status"] for head in await asyncio.gather(*waiting)]
        return served, refused, watched, await asked(gate)

    served, refused, watched, afterwards = coroutines.run(burst())
    assert served == [200, 200, 200]
    assert refused["status"] == 503
    assert dict(refused["headers"])[b"retry-after"] == b"5"
    assert (watched["status"], afterwards["status"]) == (200, 200)


def test_one_kind_keeps_no_other_waiting() -> None:
    """However many costly ones wait, signing in is answered; each waits its turn."""

    async def crowd() -> tuple[list[int], int, int, int]:
        slow, begun = Slow(), list[str]()

        async def app(scope: Scope, receive: Receive, send: Send) -> None:
            begun.append(scope["path"])
            await (slow if scope["path"].startswith("/build") else done)(scope, receive, send)

        done = PlainTextResponse("done")
        kinds = [kind("build", at_once=2, most=5), kind()]
        gate = NotTooMany(app, kinds=kinds, answer=plain)
        waiting = [asyncio.create_task(asked(gate, f"/build/{n}")) for n in range(5)]
        await asyncio.sleep(0)
        under_way = len(begun)
        refused = (await asked(gate, "/build"))["status"]
        signed_in = (await asked(gate, "/sign-in"))["status"]
        slow.let.set()
        served = [head["status"] for head in await asyncio.gather(*waiting)]
        return served, under_way, refused, signed_in

    served, under_way, refused, signed_in = coroutines.run(crowd())
    assert (served, under_way, refused, signed_in) == ([200] * 5, 2, 503, 200)


def test_who_reads_slowly_keeps_no_turn() -> None:
    async def readers() -> list[int]:
        gate = NotTooMany(PlainTextResponse("done"), kinds=[kind(at_once=1, most=9)], answer=plain)
        reads, others = asyncio.Event(), list[int]()

        async def slowly(message: Any) -> None:
            await reads.wait()

        async def receive() -> Any:
            return {"type": "http.request", "body": b""}

        scope = {"type": "http", "method": "GET", "path": "/", "headers": []}
        slow = asyncio.create_task(gate(scope, receive, slowly))
        await asyncio.sleep(0)
        others = [(await asyncio.wait_for(asked(gate), 5))["status"] for _ in range(3)]
        reads.set()
        await slow
        return others

    assert coroutines.run(readers()) == [200, 200, 200]


def test_a_request_that_breaks_leaves_its_place() -> None:
    async def broken(scope: Scope, receive: Receive, send: Send) -> None:
        raise ZeroDivisionError

    async def burst() -> int:
        gate = NotTooMany(broken, kinds=[kind(most=1)], answer=plain)
        for _ in range(3):
            try:
                await asked(gate)
            except ZeroDivisionError:
                continue
        return gate.shares[0].under_way

    assert coroutines.run(burst()) == 0


def test_every_answer_carries_a_number_of_its_own(client: TestClient) -> None:
    numbers = [client.get(path).headers["x-request-id"] for path in ("/health", "/nowhere", "/fit")]
    assert len(set(numbers)) == 3
    assert all(len(number) == 12 for number in numbers)


def test_what_works_for_a_request_knows_its_number() -> None:
    async def tells(scope: Scope, receive: Receive, send: Send) -> None:
        await PlainTextResponse("", headers={"told": number_of_request()})(scope, receive, send)

    head = dict(coroutines.run(asked(Numbered(tells, figures=Figures())))["headers"])
    assert head[b"told"] == head[b"x-request-id"]


def test_a_fault_of_the_program_names_the_number_to_tell(client: TestClient) -> None:
    @client.app.get("/broken")  # type: ignore[attr-defined,untyped-decorator]
    def broken() -> None:
        raise ZeroDivisionError

    assert "and the number " in client.get("/broken").text
