"""What the forms of accounts have in common."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form

# Pages about a person are kept by no cache and listed by no search engine.
PRIVATE = {
    "Cache-Control": "private, no-store",
    "X-Robots-Tag": "noindex, nofollow",
}

Typed = Annotated[str, Form(max_length=2000)]
