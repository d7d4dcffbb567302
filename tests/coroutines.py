"""Coroutines run by tests, beside the event loop that a browser keeps on the tests' own thread."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def run(coroutine: Coroutine[Any, Any, T]) -> T:
    """What a coroutine returns, run to its end on a thread and a loop of its own.

    While a browser is open, its loop runs on the thread of the tests, and a second loop
    cannot be started there.
    """
    with ThreadPoolExecutor(max_workers=1) as thread:
        return thread.submit(asyncio.run, coroutine).result()
