"""Pages and their partials, and how values are shown."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from jinja2 import Environment, StrictUndefined, UndefinedError
from markupsafe import Markup
from starlette.requests import Request

from webapp.catalogue.reading.shop_name import ShopFace
from webapp.common.errors import Problem
from webapp.common.text.money import Money
from webapp.common.web.error_answers import ProblemPage
from webapp.common.web.templating import environment, once, page

SERVICE = SimpleNamespace(state=SimpleNamespace(shop=ShopFace(name="Larch & Rivet")))


def request(*headers: tuple[bytes, bytes]) -> Request:
    scope = {"type": "http", "method": "GET", "path": "/build", "app": SERVICE}
    return Request(scope | {"headers": list(headers)})


CONTEXT = ProblemPage(404, "Nothing <here>", (Problem("size", "<b>", "choose & go"),))
PARTIAL = (b"hx-request-type", b"partial")


def test_a_page_is_whole_without_a_wish() -> None:
    answer = page(request(), "pages/problem.html", CONTEXT, status=404, headers={"X-A": "1"})
    body = bytes(answer.body).decode()
    assert body.startswith("<!DOCTYPE html>")
    assert body.count("Larch &amp; Rivet") == 3  # title, masthead, title block
    assert (answer.status_code, answer.headers["X-A"]) == (404, "1")
    assert answer.headers["Vary"] == "HX-Request-Type"


def test_a_partial_is_the_very_part_of_its_page() -> None:
    whole = bytes(page(request(), "pages/problem.html", CONTEXT).body).decode()
    answer = page(request(PARTIAL), "pages/problem.html", CONTEXT)
    part = bytes(answer.body).decode()
    assert "<html" not in part
    assert part.strip() in whole
    assert answer.headers["Vary"] == "HX-Request-Type"


def test_a_page_may_name_another_partial() -> None:
    answer = page(request(PARTIAL), "pages/none.html", CONTEXT, partial="partials/problem.html")
    assert b"Nothing" in answer.body


def test_only_the_word_partial_asks_for_a_part() -> None:
    answer = page(request((b"hx-request-type", b"full")), "pages/problem.html", CONTEXT)
    assert b"<html" in answer.body


def test_everything_typed_is_escaped() -> None:
    body = bytes(page(request(), "pages/problem.html", CONTEXT).body)
    assert b"Nothing &lt;here&gt;" in body
    assert b"&lt;b&gt;" in body
    assert b"choose &amp; go" in body


def test_templates_write_the_same_text_as_jinjas_own() -> None:
    """Values of every kind, through macros, calls, filters, fields and a block set aside."""
    source = (
        "{% macro box(x, y='<', class='') %}[{{ x }}|{{ y }}|{{ class }}"
        "{{ caller() if caller is defined else '' }}]"
        "{% endmacro %}"
        "{% for x in given %}{{ x }}{{ box(x) }}{{ box(x, y=x) }}{% call box(x) %}{{ x }}&amp;"
        "{% endcall %}{{ x | upper }}{{ x ~ x }}{% set kept %}<i>{{ x }}</i>{% endset %}{{ kept }}"
        "{{ {'title': x} | xmlattr }}{{ x | safe }}{{ {'at': x}.at }}{{ x ~ loop.index ~ '<' }}"
        "{{ {'at': x}.at | default('&') }}{{ {}.at | default('&') }}{{ x.real | default(x) }}"
        "{{ {'at': x}.at | default('&', true) }}{{ {'at': x}.at | default('&', boolean=true) }}"
        "{{ {}.at | default('&', **{'boolean': true}) }}{{ (x if x else none).at | default(x) }}"
        "{{ box(box(x), class=box(y=box(x ~ '<'), x=x) ~ x) }}"
        "{{ box(y=x, x=1) }}{{ box(*[x, 2]) }}{{ box(x, class=x) }}"
        "{{ loop.cycle('<', '>') }}{{ x is string }}{% endfor %}"
    )
    # What `| default` stands beside is read straight only where nothing else is asked of it.
    given = ["plain", "a & b", "<b>'\"", Markup("<b>&amp;</b>"), 12, 0.5, None, True, ["<"], ""]
    own = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    assert environment().from_string(source).render(given=given) == own.from_string(source).render(
        given=given
    )


def test_nothing_undefined_is_forgiven() -> None:
    @dataclass(frozen=True)
    class Empty:
        pass

    template = environment().from_string("{{ page.title }}")
    with pytest.raises(UndefinedError, match="title"):
        template.render(page=Empty())


@pytest.mark.parametrize(
    ("template", "shown"),
    [
        ("{{ '64.5' | with_unit('°') }}", "64.5°"),
        ("{{ 12.345 | number(2) }}", "12.35"),
        ("{{ -4 | number }}", "−4.0"),
        ("{{ price | money }}", "−1,234.50 EUR"),
    ],
)
def test_values_are_shown_one_way(template: str, shown: str) -> None:
    rendered = environment().from_string(template).render(price=Money(-123450, "EUR"))
    assert rendered == shown


def test_markup_of_the_same_values_is_made_once() -> None:
    source = "{% macro mark(shown) %}<b>{{ shown }}</b>{% endmacro %}"
    macro = environment().from_string(source).module.mark  # type: ignore[attr-defined]
    assert once(macro, "A & B") == "<b>A &amp; B</b>"
    assert once(macro, "A & B") is once(macro, "A & B")
    assert once(macro, ["C"]) == "<b>[&#39;C&#39;]</b>"  # nothing can be kept under a list
