"""Secret tokens of links and sessions: how long they are, and how they are kept."""

from __future__ import annotations

import hashlib

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
