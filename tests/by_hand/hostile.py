"""Requests that no page would send, to every route, as a stranger and as the builder.

    python -m tests.by_hand.hostile             # 6,000 requests on SQLite
    python -m tests.by_hand.hostile 20000 7     # so many, from another seed

The same seed asks the same. Every route gets odd places, numbers, texts, headers, forms and
JSON. Nothing may answer with a fault of the service (5xx), take longer than two seconds, or
show a stranger what is the shop's; at the end the service still serves.
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from dataclasses import dataclass
from http import HTTPStatus

import httpx

from tests.architecture.test_routes import ROUTES, may
from tests.by_hand.running import folder_for_data, start, visitor

PASSWORD = "kiln heather axle, ninety"
SLOWEST = 2.0  # s
TEXTS = (
    "", "0", "-1", "1e309", "NaN", "٣", "9" * 40, "m", "knapweed", "burdock", "x" * 5000,
    "<script>alert(1)</script>", "'; DROP TABLE quote; --", "\x00", "\u2028", "\ud7ff", "🚲" * 200,
    "../../etc/passwd", "{{7*7}}", "${7*7}", "%00", "=cmd()", "true", "null", "2026-02-30", "1,5",
    "5 ft 9 in", "http://[::1", "javascript:alert(1)", "a@b", "\r\nX-Odd: 1",
)  # fmt: skip
NAMES = (
    "size", "rev", "fork", "slot", "spacers", "height", "inseam", "mass", "style", "build", "align",
    "q", "page", "key", "name", "mail", "note", "version", "accepted_by", "text", "stamp", "model",
    "ring", "sprocket", "data", "table", "password", "again", "paper", "next", "units", "__proto__",
)  # fmt: skip
HEADERS: tuple[dict[str, str], ...] = (
    {},
    {"HX-Request": "true", "HX-Request-Type": "partial"},
    {"HX-Request": "true", "HX-Request-Type": "full", "HX-Target": "nothing"},
    {"Host": "elsewhere.example"},
    {"Host": "[::1"},
    {"Host": ""},
    {"Origin": "https://elsewhere.example"},
    {"Sec-Fetch-Site": "cross-site"},
    {"X-Forwarded-For": "10.0.0.1, x", "X-Forwarded-Proto": "gopher"},
    {"Accept": "application/xml;q=2, */*;q=-1"},
    {"Accept-Language": "x" * 2000},
    {"Range": "bytes=9-1"},
    {"If-None-Match": '"' * 50},
    {"Content-Encoding": "br"},
    {"Cookie": "session=" + "x" * 3000},
    {"Referer": "http://[bad"},
)


Pairs = list[tuple[str, str | int | float | bool | None]]


@dataclass(frozen=True)
class Odd:
    """One odd request."""

    method: str
    path: str
    query: Pairs
    headers: dict[str, str]
    body: bytes
    kind: str


def odd(chance: random.Random, method: str, path: str) -> Odd:
    """An odd request to a route, by chance."""
    place = "".join(
        httpx.QueryParams({"x": chance.choice(TEXTS)}).__str__()[2:200] or "1"
        if part.startswith("{")
        else part
        for part in path.replace("{", "\n{").replace("}", "}\n").split("\n")
    )
    fields: Pairs = [
        (chance.choice(NAMES), chance.choice(TEXTS)) for _ in range(chance.randrange(6))
    ]
    query: Pairs = [
        (chance.choice(NAMES), chance.choice(TEXTS)) for _ in range(chance.randrange(4))
    ]
    if chance.random() < 0.5:
        tree: object = {
            name: chance.choice((value, [value], None, True, 1e300)) for name, value in fields
        }
        for _ in range(chance.choice((0, 0, 1, 400))):
            tree = {"x": tree}
        body, kind = json.dumps(tree).encode(), "application/json"
    else:
        body = str(httpx.QueryParams(fields)).encode()
        kind = chance.choice(
            ("application/x-www-form-urlencoded", "multipart/form-data", "text/plain")
        )
    if chance.random() < 0.1:
        body = bytes(chance.randrange(256) for _ in range(300))
    return Odd(method, place, query, chance.choice(HEADERS), body, kind)


def ask(client: httpx.Client, wanted: Odd) -> httpx.Response:
    """Send it; a form comes from the service's own page unless its headers say otherwise."""
    headers = {"Sec-Fetch-Site": "same-origin"} | wanted.headers
    if wanted.method in {"GET", "HEAD"}:
        return client.request(wanted.method, wanted.path, params=wanted.query, headers=headers)
    headers["Content-Type"] = wanted.kind
    return client.request(
        wanted.method, wanted.path, params=wanted.query, headers=headers, content=wanted.body
    )


def sign_in(address: str, link: str) -> dict[str, str]:
    """The builder's cookies, by the first link."""
    with visitor(address, 1) as client:
        path = "/" + link.split("/", 3)[3]
        answer = client.post(
            path,
            data={"password": PASSWORD, "again": PASSWORD},
            headers={"Sec-Fetch-Site": "same-origin"},
        )
        assert answer.status_code == HTTPStatus.SEE_OTHER, answer.text[:2000]
        return dict(client.cookies)


def main(words: list[str]) -> int:
    """Send them and print what was answered."""
    many, seed = int(words[0]) if words else 6000, int(words[1]) if len(words) > 1 else 1
    chance = random.Random(seed)  # noqa: S311  # the same requests each time
    answers: Counter[int] = Counter()
    faults: list[str] = []
    slow: list[tuple[float, str]] = []
    with folder_for_data() as folder:
        service = start(folder)
        cookies = sign_in(service.address, service.first_link())
        for number in range(many):
            builder = chance.random() < 0.5
            method, path = ROUTES[number % len(ROUTES)]
            wanted = odd(chance, method, path)
            if builder and path == "/sign-out":
                continue
            with visitor(service.address, number) as client:
                if builder:
                    client.cookies.update(cookies)
                begun = time.perf_counter()
                try:
                    answer = ask(client, wanted)
                except (httpx.InvalidURL, httpx.LocalProtocolError, ValueError):
                    continue  # not even a request
                except httpx.HTTPError as error:
                    faults.append(f"{wanted}: {error!r}")
                    continue
            taken = time.perf_counter() - begun
            answers[answer.status_code] += 1
            if answer.status_code >= 500 and answer.status_code != 503:
                faults.append(f"{answer.status_code} {wanted}")
            if not builder and answer.status_code == 200 and "rider" not in may(path):
                faults.append(f"open to a stranger: {wanted}")
            if taken > SLOWEST:
                slow.append((taken, str(wanted)[:300]))
        with visitor(service.address, 2) as client:
            assert client.get("/health").status_code == HTTPStatus.OK
        service.stop()
    print(f"{sum(answers.values())} requests to {len(ROUTES)} routes, seed {seed}")
    print("answers: " + ", ".join(f"{status}: {n}" for status, n in sorted(answers.items())))
    print(f"{len(faults)} faults, {len(slow)} slower than {SLOWEST:g} s")
    for line in [*faults[:40], *(f"{taken:.1f} s {line}" for taken, line in sorted(slow)[-10:])]:
        print("  " + line[:700])
    return 1 if faults or slow else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
