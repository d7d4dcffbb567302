"""Tokens nobody can guess: of links and sessions, how they are kept, and of forms."""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets

TOKEN_BYTES = 32
"""256 bits; nobody finds one by trying."""


def token_hash(token: str) -> str:
    """The hash by which a token is kept and found.

    Examples
    --------
    >>> token_hash("a")[:12]
    'ca978112ca1b'
    """
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def new_key() -> str:
    """A key for one form, so that sending it twice does one thing."""
    return secrets.token_urlsafe(18)


def signed(key: bytes, purpose: str, text: str) -> str:
    """A text signed with the key, for one purpose.

    Examples
    --------
    >>> read_signed(b"k" * 32, "browser", signed(b"k" * 32, "browser", "7.abc"))
    '7.abc'
    """
    return f"{text}.{_signature(key, purpose, text)}"


def read_signed(key: bytes, purpose: str, token: str) -> str | None:
    """The text of a token made by `signed`; None when it was not signed so.

    Examples
    --------
    >>> token = signed(b"k" * 32, "browser", "7.abc")
    >>> read_signed(b"k" * 32, "code", token), read_signed(b"k" * 32, "browser", "8" + token[1:])
    (None, None)
    """
    text, _, signature = token.rpartition(".")
    right = _signature(key, purpose, text)
    same = hmac.compare_digest(signature.encode("utf-8", "replace"), right.encode())
    return text if same else None


def _signature(key: bytes, purpose: str, text: str) -> str:
    said = f"{purpose}\0{text}".encode("utf-8", "replace")
    return base64.urlsafe_b64encode(hmac.digest(key, said, "sha256")).decode().rstrip("=")
