"""Templates: one environment, and one way to answer with a page.

Every page is a pair: ``templates/pages/x.html`` extends the base and includes
``templates/partials/x.html``. A request that says it wants a partial (sent by
htmx) gets the partial alone, so both ways show the very same markup.

In a template: ``page`` is the page's dataclass, ``path`` the address without
its query, ``shop`` the shop's name (``shop_mark`` and ``shop_accent`` what its mark and
colour are called, empty without), ``static("css/base.css")`` the address of a static file,
``tr`` and ``trn`` a sentence in the language of the service, ``once(macro, …)`` its markup
made once for the same values, ``area`` the first part of
``path``, ``imperial`` whether the reader reads inches and pounds, ``carried`` where the
navigation leads from this page, by its places.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Protocol

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from jinja2.runtime import Macro
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from webapp.common.paths import TEMPLATES
from webapp.common.text import units
from webapp.common.text.dates import moment_in_words
from webapp.common.text.language import tr_markup, trn_markup
from webapp.common.text.money import Money
from webapp.common.text.reader import reads_imperial
from webapp.common.text.short_names import short_size_name
from webapp.common.web.quick_templates import QuickEnvironment
from webapp.common.web.static_files import static

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


class Shop(Protocol):
    """Name, fingerprint of the mark and colour of the shop whose pages these are."""

    @property
    def name(self) -> str: ...
    @property
    def mark(self) -> str: ...
    @property
    def accent(self) -> str: ...


PARTIAL_HEADER = "HX-Request-Type"
NOTHING_CARRIED: Mapping[str, str] = MappingProxyType({})


def money(amount: Money) -> str:
    """An amount for people, its parts kept on one line and its minus sign true."""
    return units.minus(amount.format())


def once(macro: Macro, *values: Any) -> Markup:
    """A macro's markup, cached by its values. For macros that depend on their values alone, and
    for values that say nothing of a person.
    """
    try:
        return _made(macro, values)
    except TypeError:  # a value that is no key of a cache
        return Markup(macro(*values))  # noqa: S704  # markup already


@lru_cache(maxsize=4096)  # of some hundred bytes, the lists of parts of some thousand: 25 MB
def _made(macro: Macro, values: tuple[Any, ...]) -> Markup:
    return Markup(macro(*values))  # noqa: S704  # markup already


@cache
def environment() -> Environment:
    """The one Jinja environment: everything escaped, undefined names are errors."""
    made = QuickEnvironment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,  # a page would ask the file system about each of its templates
    )
    made.globals |= {"static": static, "tr": tr_markup, "trn": trn_markup, "once": once}
    made.filters |= {
        "number": units.number,
        "with_unit": units.with_unit,
        "money": money,
        "moment": moment_in_words,
        "short_size_name": short_size_name,
    }
    return made


def frame_values(shop: Shop) -> dict[str, str | bool]:
    """Values of the frame of every page: the shop's name, mark, colour; the reader's units."""
    return {
        "imperial": reads_imperial(),
        "shop": shop.name,
        "shop_mark": shop.mark,
        "shop_accent": shop.accent.removeprefix("#"),
    }


def wants_partial(request: Request) -> bool:
    """Whether the request asks for a part of the page only."""
    return request.headers.get(PARTIAL_HEADER) == "partial"


def parts_of(template: str, partial: str | None = None) -> tuple[str, ...]:
    """Templates that may answer a request for a part of a page; the first that exists is used.

    A page that is never fetched in parts has none and answers whole.

    >>> parts_of("pages/fit/fit.html"), parts_of("pages/fit/fit.html", "partials/fit/said.html")
    (('partials/fit/fit.html', 'pages/fit/fit.html'), ('partials/fit/said.html',))
    """
    return (partial,) if partial else (template.replace("pages/", "partials/", 1), template)


def page(
    request: Request,
    template: str,
    context: DataclassInstance,
    *,
    partial: str | None = None,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
    carried: Mapping[str, str] = NOTHING_CARRIED,
) -> HTMLResponse:
    """Answer with a page, or with its partial when the request wants only that.

    Parameters
    ----------
    request : Request
        The request to answer.
    template : str
        The whole page, such as ``"pages/fit/fit.html"``.
    context : dataclass instance
        All the template may know, there as ``page``.
    partial : str, optional
        The partial; by default of the page's own name, ``"partials/fit/fit.html"``.
    status : int
        HTTP status.
    headers : mapping, optional
        Further headers.
    carried : mapping of place to address
        Where the navigation leads, so that the build and rider of this page go along. A
        part of a page brings them with it, since what it changes has changed them too.

    Returns
    -------
    HTMLResponse
        With ``Vary`` on the header that decides between the two.
    """
    part, shop = wants_partial(request), request.app.state.shop
    names = parts_of(template, partial) if part else (template,)
    path = request.url.path
    given = {
        "page": context,
        "path": path,
        "area": path.split("/")[1],
        "carried": carried,
        **frame_values(shop),
    }
    body = environment().select_template(names).render(given)
    if part and carried:
        body += environment().get_template("partials/navigation.html").render(given)
    return HTMLResponse(body, status, {"Vary": PARTIAL_HEADER} | dict(headers or {}))
