"""Documents that go with mails: named in the outbox, made when the mail is sent.

The content of a document is frozen, so making it again gives the same bytes; the outbox
therefore keeps no second copy of anybody's data.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Attachment:
    """One PDF file."""

    name: str
    content: bytes


class CannotAttach(ValueError):
    """The document that goes with a mail cannot be made; trying again would not help."""


Attach = Callable[[str], Attachment]
"""Makes what the outbox names."""


def nothing(named: str) -> Attachment:
    """Make nothing, where no documents are known."""
    raise CannotAttach(f"nothing makes {named}")
