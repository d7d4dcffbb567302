"""The build and its rider, as the links of every page carry them in their addresses.

An address holds a build as the build page's own address does, without ``/build/``:
``knapweed?rev=2&size=m&…``, its rider's measurements among its fields. The pages
that are about one build read these fields as their own; the others carry the
whole text in one field, ``build``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar
from urllib.parse import parse_qs, quote, quote_plus, urlencode

from webapp.builds.choice.build_choice import BuildChoice, query_of
from webapp.common.web.links import links_moved

_Shown = TypeVar("_Shown")

BUILD_KEY = "build"
LONGEST_TEXT = 2000  # characters; a whole build takes about 700
_TEXT = re.compile(r"[a-z0-9][a-z0-9-]*(?:\?[^\s#]*)?")


def carried_text(choice: BuildChoice) -> str:
    """A build with its rider, as addresses carry it."""
    return f"{quote(choice.model)}?{query_of(choice)}"


def carried_build_in(query: Mapping[str, Sequence[str]]) -> str:
    """The build an address carries in its field ``build``; empty where it carries none.

    The page that shows it checks whether there is such a build.

    Examples
    --------
    >>> carried_build_in({"build": ["knapweed?size=m", "burdock"]})
    'knapweed?size=m'
    >>> carried_build_in({"build": ["a b"]})
    ''
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


@dataclass(frozen=True, kw_only=True)
class OtherBikes:
    """The bikes that an address carries beside its own build, so that every link takes them along.

    Parameters
    ----------
    present : str
        The bike ridden now, as its own page's query has it; empty where none is told.
    beside : tuple of str
        The builds that this one was put beside.

    Examples
    --------
    >>> others = OtherBikes(present="way=tape", beside=("burdock?size=l",))
    >>> others.along("/build/knapweed?size=m")
    '/build/knapweed?size=m&present=way%3Dtape&beside=burdock%3Fsize%3Dl'
    >>> OtherBikes().along("/table")
    '/table'
    """

    present: str = ""
    beside: tuple[str, ...] = ()

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Their fields in an address or a form."""
        present = ((PRESENT_KEY, self.present),) if self.present else ()
        return (*present, *((BESIDE_KEY, each) for each in self.beside))

    def along(self, address: str) -> str:
        """An address that takes them along."""
        if not self.pairs:
            return address
        return f"{address}{'&' if '?' in address else '?'}{urlencode(self.pairs)}"

    def in_links(self, shown: _Shown, *, but: Collection[str] = ()) -> _Shown:
        """A page's context whose links to builds and their pages take them along.

        Parameters
        ----------
        shown : dataclass
        but : collection of str
            Further fields that stay as they are; links made for somebody else always do.

        Returns
        -------
        dataclass
        """
        if not self.pairs:
            return shown
        return links_moved(shown, self._followed, but={*_FOR_OTHERS, *but})

    def _followed(self, text: str) -> str:
        return self.along(text) if text.startswith(_TAKE_ALONG) else text


_TAKE_ALONG = ("/build/", "/fit/", "/table/", "/quote/")
_FOR_OTHERS = frozenset({"shared_address", "link_address", "kept_address"})
NO_OTHERS = OtherBikes()
OTHERS_KEYS = (PRESENT_KEY, BESIDE_KEY)


def without_others(query: str) -> str:
    """A query as it was asked, without the bikes that it carries beside its build.

    >>> without_others("size=m&beside=burdock&fork=odd")
    'size=m&fork=odd'
    """
    fields = query.split("&")
    return "&".join(each for each in fields if each.partition("=")[0] not in OTHERS_KEYS)


def navigation_addresses(text: str, others: OtherBikes = NO_OTHERS) -> dict[str, str]:
    """Addresses of the navigation for one build, its rider, and the other bikes told.

    Parameters
    ----------
    text : str
        As `carried_text` writes it; empty where there is none.
    others : OtherBikes, optional

    Returns
    -------
    dict of place to address
        By the names of the navigation; empty where nothing is carried.

    Examples
    --------
    >>> addresses = navigation_addresses("knapweed?size=m")
    >>> addresses["table"], addresses["match"]
    ('/table/knapweed?size=m', '/match/knapweed?build=knapweed%3Fsize%3Dm')
    >>> navigation_addresses("", OtherBikes(present="way=tape"))["build"]
    '/build?present=way%3Dtape'
    """
    if not text and not others.pairs:
        return {}
    model = f"/{text.partition('?')[0]}" if text else ""
    own = f"/{text}" if text else ""
    return {
        "start": carrying("/", text, others),
        "fit": others.along(f"/fit{own}"),
        "match": carrying(f"/match{model}", text, others),
        "build": others.along(f"/build{own}"),
        "side-by-side": side_by_side_address(text, others),
        "table": others.along(f"/table{own}"),
        "my-builds": carrying("/my-builds", text, others),
        "present-bike": _present_bike(text, others),
    }


def carrying(path: str, text: str, others: OtherBikes = NO_OTHERS) -> str:
    """A page that is about no build, with the build in one field and the other bikes.

    >>> carrying("/match", "knapweed?size=m"), carrying("/match", "")
    ('/match?build=knapweed%3Fsize%3Dm', '/match')
    """
    own = f"{'&' if '?' in path else '?'}{BUILD_KEY}={_quoted(text)}" if text else ""
    return others.along(path + own)


_MADE_HERE = re.compile(r"[A-Za-z0-9_.~?=&+%-]*")  # what a build's own text consists of
_QUOTED = tuple((sign, quote_plus(sign)) for sign in "%?=&+")


def _quoted(text: str) -> str:
    """A text as the value of a field.

    >>> _quoted("knapweed?size=m&x=%2B+1") == quote_plus("knapweed?size=m&x=%2B+1")
    True
    """
    if not _MADE_HERE.fullmatch(text):
        return quote_plus(text)
    for sign, quoted in _QUOTED:  # ten times as quick as sign by sign
        text = text.replace(sign, quoted)
    return text


def side_by_side_address(text: str, others: OtherBikes = NO_OTHERS) -> str:
    """Where a build is put beside the others told.

    >>> side_by_side_address("knapweed?size=m")
    '/side-by-side?build=knapweed%3Fsize%3Dm'
    """
    builds = [f"{BUILD_KEY}={_quoted(each)}" for each in (text, *others.beside) if each]
    present = [f"{PRESENT_KEY}={_quoted(others.present)}"] if others.present else []
    return f"/side-by-side?{'&'.join([*builds, *present])}"


def _present_bike(text: str, others: OtherBikes) -> str:
    """Its own page has the fields of the bike ridden now as its own."""
    own = f"/present-bike?{others.present}" if others.present else "/present-bike"
    return carrying(own, text, OtherBikes(beside=others.beside))
