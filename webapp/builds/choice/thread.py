"""The thread: the build and the rider that every page's links take along.

An address holds a build as the build page's own address does, without ``/build/``:
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

    The page that shows it checks whether there is such a build.

    Examples
    --------
    >>> thread_in({"build": ["knapweed?size=m", "burdock"]}), thread_in({"build": ["a b"]})
    ('knapweed?size=m', '')
    """
    return _tidy(next(iter(query.get(BUILD_KEY, ())), ""))


def _tidy(text: str) -> str:
    build = text.strip().removeprefix("/build/")
    return build if len(build) <= LONGEST_TEXT and _TEXT.fullmatch(build) else ""


BESIDE_KEY = "beside"
"""The field in which a build's address carries those that it was put beside."""

MOST_BESIDE = 3


def beside_in(query: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The builds that one build was put beside, as its address carries them.

    Examples
    --------
    >>> beside_in({"beside": ["knapweed?size=m", "a b", "burdock"]})
    ('knapweed?size=m', 'burdock')
    """
    return tuple(filter(None, map(_tidy, query.get(BESIDE_KEY, ()))))[:MOST_BESIDE]


def with_beside(address: str, beside: Sequence[str]) -> str:
    """A build's address that takes along those it was put beside.

    >>> with_beside("/build/knapweed?size=m", ["burdock?size=l"])
    '/build/knapweed?size=m&beside=burdock%3Fsize%3Dl'
    """
    more = urlencode([(BESIDE_KEY, each) for each in beside])
    return f"{address}{('&' if '?' in address else '?') if more else ''}{more}"


def fields_of(text: str) -> dict[str, list[str]]:
    """The fields of a build that is carried.

    >>> fields_of("knapweed?size=m&extra=bell&extra=rack")
    {'size': ['m'], 'extra': ['bell', 'rack']}
    """
    return parse_qs(text.partition("?")[2])


PRESENT_KEY = "present"
"""The field in which addresses carry the bike that the rider has now."""


LONGEST_PRESENT = 3000
"""Characters of a present bike; one with every field filled takes about 900."""


def present_in(query: Mapping[str, Sequence[str]]) -> str:
    """The bike ridden now as an address carries it; empty where it carries none.

    The page that shows it checks whether there is such a bike.

    >>> present_in({"present": ["way=tape"]}), present_in({})
    ('way=tape', '')
    """
    return next(iter(query.get(PRESENT_KEY, ())), "")[:LONGEST_PRESENT]


def with_present(address: str, present: str) -> str:
    """An address that takes along the bike ridden now, if one was told.

    >>> with_present("/table/knapweed?size=m", "way=tape"), with_present("/table", "")
    ('/table/knapweed?size=m&present=way%3Dtape', '/table')
    """
    if not present:
        return address
    return f"{address}{'&' if '?' in address else '?'}{urlencode({PRESENT_KEY: present})}"


def places(text: str, *, present: str = "", beside: Sequence[str] = ()) -> dict[str, str]:
    """Addresses of the site's places for one build, its rider, and the bike they have now.

    Parameters
    ----------
    text : str
        As `thread_of` writes it; empty where there is none.
    present : str
        The present bike as its own page's query has it; empty where none is told.
    beside : sequence of str
        The builds it was put beside, which *Side by side* and *Build* take along.

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
    builds = [(BUILD_KEY, each) for each in (text, *beside) if each]
    compared = urlencode([*builds, *([(PRESENT_KEY, present)] if present else [])])
    return {
        "start": f"/?{both}",
        "fit": with_present(f"/fit{own}", present),
        "match": f"/match{model}?{both}",
        "build": with_beside(with_present(f"/build{own}", present), beside),
        "side-by-side": f"/side-by-side?{compared}",
        "table": with_present(f"/table{own}", present),
    }
