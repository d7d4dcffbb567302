"""The thread: the build and the rider that every page's links take along.

A build stands in an address as on its own page, without ``/build/``:
``knapweed?rev=2&size=m&…``, its rider's measurements among its fields. The pages
that are about one build read these fields as their own; the others carry the
whole text in one field, ``build``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from urllib.parse import parse_qs, quote, urlencode

from webapp.builds.choice.build_choice import BuildChoice, query_of

BUILD_KEY = "build"
LONGEST_TEXT = 2000  # characters; a whole build takes about 700
_TEXT = re.compile(r"[a-z0-9][a-z0-9-]*(?:\?[^\s#]*)?")


def thread_of(choice: BuildChoice) -> str:
    """A build with its rider, as the thread carries it."""
    return f"{quote(choice.model)}?{query_of(choice)}"


def thread_in(query: Mapping[str, Sequence[str]]) -> str:
    """The build an address carries in its field ``build``; empty where it carries none.

    Whether there is such a build is judged by the page that shows it.

    Examples
    --------
    >>> thread_in({"build": ["knapweed?size=m", "burdock"]}), thread_in({"build": ["a b"]})
    ('knapweed?size=m', '')
    """
    text = next(iter(query.get(BUILD_KEY, ())), "").strip().removeprefix("/build/")
    return text if len(text) <= LONGEST_TEXT and _TEXT.fullmatch(text) else ""


def fields_of(text: str) -> dict[str, list[str]]:
    """The fields of a build that is carried.

    >>> fields_of("knapweed?size=m&extra=bell&extra=rack")
    {'size': ['m'], 'extra': ['bell', 'rack']}
    """
    return parse_qs(text.partition("?")[2])


PRESENT_KEY = "present"
"""The field in which addresses carry the bike that the rider has now."""


def places(text: str, *, present: str = "") -> dict[str, str]:
    """Addresses of the site's places for one build, its rider, and the bike they have now.

    Parameters
    ----------
    text : str
        As `thread_of` writes it; empty where there is none.
    present : str
        The present bike as its own page's query has it; empty where none is told.

    Returns
    -------
    dict of place to address
        By the names of the navigation; empty without a build and a present bike.

    Examples
    --------
    >>> places("knapweed?size=m")["table"], places("knapweed?size=m")["match"]
    ('/table/knapweed?size=m', '/match/knapweed?build=knapweed%3Fsize%3Dm')
    >>> places("", present="way=tape")["build"]
    '/build?present=way%3Dtape'
    """
    if not text and not present:
        return {}
    model = f"/{text.partition('?')[0]}" if text else ""
    carried = {BUILD_KEY: text, PRESENT_KEY: present}
    both = urlencode({name: value for name, value in carried.items() if value})
    own = f"/{text}" if text else ""
    more = urlencode({PRESENT_KEY: present}) if present else ""
    joined = f"{own}{('&' if '?' in own else '?') if more else ''}{more}"
    return {
        "start": f"/?{both}",
        "fit": f"/fit{joined}",
        "match": f"/match{model}?{both}",
        "build": f"/build{joined}",
        "side-by-side": f"/side-by-side?{both}",
        "table": f"/table{own}",
    }
