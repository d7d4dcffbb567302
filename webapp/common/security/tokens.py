"""Tokens nobody can guess: of links and sessions, how they are kept, and of forms."""

from __future__ import annotations

import hashlib
import secrets

TOKEN_BYTES = 32
"""256 bits; nobody finds one by trying."""


def token_hash(token: str) -> str:
    """What a token is found by.

    Examples
    --------
    >>> token_hash("a")[:12]
    'ca978112ca1b'
    """
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def new_key() -> str:
    """A key for one form, so that sending it twice does one thing."""
    return secrets.token_urlsafe(18)
