"""Kill the service while people write, start it again, and look for what it had confirmed.

    python -m tests.by_hand.kill_while_writing            # SQLite and PostgreSQL, 20 kills each
    python -m tests.by_hand.kill_while_writing 44 sqlite  # so many kills, on one of them

Riders ask for quotes, ask the shop questions and accept, all at once; at a moment nobody
knows every process of the service is killed. After each start everything that an answer
had confirmed must be there, once: the quote under its link, the question in its words, the
name under the acceptance. What was under way when the kill came may be there or not, but
never twice and never half. The shop of the rehearsal asks for no confirmation before an
order, so that riders can accept what they have just asked for.
"""

from __future__ import annotations

import random
import re
import sys
import threading
import time
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from secrets import token_urlsafe

import httpx

from tests.by_hand.running import Running, folder_for_data, postgres, start, visitor
from webapp.catalogue import setup
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.settings import Settings
from webapp.common.storage.database import opened, writing

RIDERS = 4
_WAYS = "same-origin"
_ORDER = {"address": "Mill Lane 3\n4051 Reedham", "agreed": "yes"}


@dataclass
class Confirmed:
    """What answers have confirmed, by the customer's own name."""

    quotes: dict[str, str] = field(default_factory=dict)  # name -> link
    questions: dict[str, list[str]] = field(default_factory=dict)
    accepted: set[str] = field(default_factory=set)
    lost: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def count(self) -> int:
        """How many writes were confirmed so far."""
        return len(self.quotes) + sum(map(len, self.questions.values())) + len(self.accepted)


def _post(client: httpx.Client, path: str, **fields: str) -> httpx.Response:
    fields.setdefault("key", token_urlsafe(18))
    return client.post(path, data=fields, headers={"Sec-Fetch-Site": _WAYS})


def write(address: str, said: Confirmed, number: int, stop: threading.Event) -> None:
    """One rider after another, each with a quote, a question and an acceptance."""
    chance = random.Random(number)  # noqa: S311  # no secret
    while not stop.is_set():
        number += RIDERS
        name = f"Rider {token_urlsafe(6)}"
        try:
            with visitor(address, number) as client:
                asked = _post(
                    client, "/quote/knapweed", name=name, mail=f"r{number}@mail.example", note=""
                )
                if asked.status_code != 303:
                    continue
                link = asked.headers["location"].partition("#")[0]
                with said.lock:
                    said.quotes[name] = link
                words = f"Question {token_urlsafe(6)}"
                if _post(client, f"{link}/question", text=words).status_code == 303:
                    with said.lock:
                        said.questions.setdefault(name, []).append(words)
                if chance.random() < 0.5:
                    done = _post(client, f"{link}/accept", version="1", accepted_by=name, **_ORDER)
                    if done.status_code == 303:
                        with said.lock:
                            said.accepted.add(name)
        except httpx.HTTPError:
            continue  # killed under way: nothing was confirmed


def check(address: str, said: Confirmed) -> None:
    """Note everything confirmed that is gone, or there more than once."""
    with visitor(address, 63_000) as client:
        for name, link in said.quotes.items():
            answer = client.get(link)
            page = answer.text
            if answer.status_code != 200 or name not in page:
                said.lost.append(f"quote of {name}: {answer.status_code}")
                continue
            for words in said.questions.get(name, ()):
                if page.count(words) != 1:
                    said.lost.append(f"{words} of {name}: {page.count(words)} times")
            if name in said.accepted and not re.search(r"[Aa]ccepted", page):
                said.lost.append(f"acceptance of {name}")


def prepare(folder: Path, database: str | None) -> None:
    """The demo shop, whose quotes can be ordered without its confirmation."""
    settings = Settings(data_folder=folder, database_url=database, base_url=None)
    with opened(settings.database_address()) as engine:
        setup.prepare(engine)
        with writing(engine) as session:
            data = settings_data(session).model_copy(update={"confirm_before_order": False})
            put_settings(session, who="rehearsal", data=data.model_dump(mode="json"))


def rounds(folder: Path, database: str | None, kills: int) -> Confirmed:
    """Start, write, kill, so many times; at the end start once more and look."""
    chance = random.Random(88)  # noqa: S311  # no secret
    said = Confirmed()
    prepare(folder, database)
    for number in range(kills):
        service: Running = start(folder, database=database)
        stop = threading.Event()
        riders = [
            threading.Thread(target=write, args=(service.address, said, number * 400 + n, stop))
            for n in range(RIDERS)
        ]
        for rider in riders:
            rider.start()
        time.sleep(chance.uniform(0.3, 2.5))
        service.kill()
        stop.set()
        for rider in riders:
            rider.join()
        print(f"  kill {number + 1:2}: {said.count()} writes confirmed so far", flush=True)
    service = start(folder, database=database)
    check(service.address, said)
    service.stop()
    return said


def main(words: list[str]) -> int:
    """Run it on the databases named and print what was lost."""
    kills = int(words[0]) if words else 20
    kinds = words[1:] or ["sqlite", "postgres"]
    if set(kinds) - {"sqlite", "postgres"}:
        print("name sqlite, postgres or neither")
        return 2
    lost = 0
    for kind in kinds:
        print(f"{kind}: {kills} kills", flush=True)
        with ExitStack() as stack:
            folder = stack.enter_context(folder_for_data())
            database = stack.enter_context(postgres()) if kind == "postgres" else None
            said = rounds(folder, database, kills)
        print(
            f"  {len(said.quotes)} quotes, {sum(map(len, said.questions.values()))} questions and "
            f"{len(said.accepted)} acceptances confirmed; {len(said.lost)} lost or doubled"
        )
        for line in said.lost[:20]:
            print(f"  LOST {line}")
        lost += len(said.lost)
        if not said.accepted:
            print("  WRONG no acceptance was confirmed, so none could be lost")
            lost += 1
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
