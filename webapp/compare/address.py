"""The address of a comparison, and the builds written in it.

The address holds a build as its own page's address does, without ``/build/``:
``knapweed?rev=2&size=m&…``. A whole link of a build page is read as well, so that a rider can
paste either.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal, get_args
from urllib.parse import parse_qsl, unquote, urlencode

from webapp.builds.choice.build_choice import BuildChoice, query_of
from webapp.builds.choice.carried_build import MOST_BESIDE, PRESENT_KEY, OtherBikes
from webapp.common.errors import Invalid
from webapp.common.text.language import tr

PATH = "/side-by-side"
MOST_BUILDS = 4
LONGEST_BUILD = 2000  # characters; a whole build takes about 500
MOST_FIELDS = 100

Alignment = Literal["bb", "rear-axle"]
StateName = Literal["unloaded", "sagged", "bottomed"]
ALIGNMENTS: tuple[Alignment, ...] = get_args(Alignment)
STATES: tuple[StateName, ...] = get_args(StateName)
STATE_WORDS: dict[StateName, str] = {
    "unloaded": tr("unloaded"),
    "sagged": tr("sagged, rider aboard"),
    "bottomed": tr("bottomed, all travel used"),
}
ALIGNMENT_WORDS: dict[Alignment, str] = {
    "bb": tr("bottom bracket"),
    "rear-axle": tr("rear axle"),
}

_PAGE = "/build/"
_REMEDY = tr("paste the link of a build page, which begins with /build/")


@dataclass(frozen=True, kw_only=True)
class View:
    """How a comparison is shown."""

    align: Alignment = "bb"
    state: StateName = "unloaded"
    present: str = ""
    """The bike ridden now, beside the builds; empty for none."""

    def others(self, texts: Sequence[str]) -> OtherBikes:
        """The bikes that a build is put beside, as links carry them."""
        return OtherBikes(present=self.present, beside=tuple(texts[:MOST_BESIDE]))


@dataclass(frozen=True, kw_only=True)
class BuildText:
    """A build as written in an address: its model and its query, not yet checked."""

    model: str
    query: dict[str, list[str]]


def text_of(choice: BuildChoice) -> str:
    """A build as it stands in the address of a comparison."""
    return f"{choice.model}?{query_of(choice)}"


def compare_address(texts: Sequence[str], view: View) -> str:
    """The one address of a comparison, usual values left out.

    >>> compare_address(["knapweed?size=m"], View(align="rear-axle"))
    '/side-by-side?build=knapweed%3Fsize%3Dm&align=rear-axle'
    """
    pairs = [("build", text) for text in texts]
    if view.align != ALIGNMENTS[0]:
        pairs.append(("align", view.align))
    if view.state != STATES[0]:
        pairs.append(("state", view.state))
    if view.present:
        pairs.append((PRESENT_KEY, view.present))
    return f"{PATH}?{urlencode(pairs)}" if pairs else PATH


def read_text(text: str, *, sites: Collection[str] = ()) -> BuildText:
    """Take a written or pasted build apart.

    Parameters
    ----------
    text : str
        ``knapweed?size=m``, ``/build/knapweed?size=m`` or a whole link.
    sites : collection of str
        Hosts, with their ports, that are this site.

    Returns
    -------
    BuildText

    Raises
    ------
    Invalid
        For a text that is no link of a build, or one of another site.

    Examples
    --------
    >>> read_text("https://bikes.example/build/knapweed?size=m", sites=["bikes.example"])
    BuildText(model='knapweed', query={'size': ['m']})
    """
    if len(text) > LONGEST_BUILD:
        raise Invalid(
            "build",
            text[:LONGEST_BUILD],
            tr(
                "at most {longest_build} letters; {remedy}",
                longest_build=LONGEST_BUILD,
                remedy=_REMEDY,
            ),
        )
    path, _, query = text.strip().partition("#")[0].partition("?")
    site, _, model = path.partition(_PAGE) if _PAGE in path else ("", "", path)
    _check_site(text, site, sites)
    slug = unquote(model.removeprefix("build/"))
    if not slug or "/" in slug:
        raise Invalid("build", text, _REMEDY)
    return BuildText(model=slug, query=_fields(text, query))


def _check_site(text: str, site: str, sites: Collection[str]) -> None:
    host = site.partition("://")[2] or site
    if host and host.lower() not in {known.lower() for known in sites}:
        raise Invalid(
            "build", text, tr("{host} is another site; {remedy}", host=host, remedy=_REMEDY)
        )


def _fields(text: str, query: str) -> dict[str, list[str]]:
    try:
        pairs = parse_qsl(query, keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError as error:
        raise Invalid(
            "build", text, tr("more fields than a build has; {remedy}", remedy=_REMEDY)
        ) from error
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        found.setdefault(name, []).append(value)
    return found
