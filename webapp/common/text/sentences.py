"""Pieces of text joined as sentences."""

from __future__ import annotations

from webapp.common.text.language import tr

_ENDS = (".", "!", "?")


def sentence(text: str) -> str:
    """A piece of text as a sentence: a capital letter and one full stop; nothing stays nothing.

    >>> sentence("the ring has 32 teeth"), sentence("Not known: the bend."), sentence("")
    ('The ring has 32 teeth.', 'Not known: the bend.', '')
    """
    text = text.strip()
    if not text:
        return ""
    return ended(text[0].upper() + text[1:])


def capitalized(text: str) -> str:
    """A text as the head of a list or a table shows it: with a large first letter.

    >>> capitalized("draft 3 of the Knapweed"), capitalized("")
    ('Draft 3 of the Knapweed', '')
    """
    return text[:1].upper() + text[1:]


def ended(text: str) -> str:
    """The end of a sentence with its one full stop; nothing stays nothing.

    >>> ended("a smaller ring"), ended("a smaller ring."), ended("")
    ('a smaller ring.', 'a smaller ring.', '')
    """
    return text if not text or text.endswith(_ENDS) else f"{text}."


def reason_and_remedy(reason: str, remedy: str) -> str:
    """Why something is refused and what would help, as sentences.

    >>> reason_and_remedy("the ring has 32 teeth; the stays allow 30", "a smaller ring")
    'The ring has 32 teeth; the stays allow 30. What would help: a smaller ring.'
    """
    if not remedy:
        return sentence(reason)
    return tr("{reason} What would help: {remedy}", reason=sentence(reason), remedy=ended(remedy))
