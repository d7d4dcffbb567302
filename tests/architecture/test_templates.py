"""Templates load, compute nothing, and hold no script or style of their own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import nodes

from webapp.common.paths import TEMPLATES
from webapp.common.web.templating import environment

HTML = sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))
PAGES = sorted(name.removeprefix("pages/") for name in HTML if name.startswith("pages/"))


def source(name: str) -> str:
    return (TEMPLATES / name).read_text("utf-8")


@pytest.mark.parametrize("name", HTML)
def test_every_template_compiles(name: str) -> None:
    assert environment().get_template(name).name == name


@pytest.mark.parametrize("name", HTML)
def test_templates_compute_nothing(name: str) -> None:
    """Loops and ifs, no arithmetic: numbers are computed where they can be tested."""
    tree = environment().parse(source(name))
    arithmetic = (nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow)
    found = [node for node in tree.find_all(arithmetic) if not _counts_columns(node)]
    assert [(type(node).__name__, node.lineno) for node in found] == []


# Macros that mark which of several is the chosen one.
MARKING = {"macros/forms.html", "macros/sheet.html", "macros/tables.html"}


@pytest.mark.parametrize("name", HTML)
def test_templates_compare_nothing(name: str) -> None:
    """What a value means is said by code: ``field.is_tick``, not ``field.kind == "tick"``."""
    tree = environment().parse(source(name))
    found = [
        node.lineno
        for node in tree.find_all(nodes.Compare)
        if name not in MARKING or list(node.find_all(nodes.Const))
    ]
    assert found == []


@pytest.mark.parametrize("name", HTML)
def test_templates_choose_no_words(name: str) -> None:
    """A label comes from code; the first of several buttons may be the main one."""
    tree = environment().parse(source(name))
    chosen = [
        node.lineno
        for node in tree.find_all(nodes.CondExpr)
        if not (isinstance(node.test, nodes.Getattr) and node.test.attr == "first")
    ]
    instead = [node.lineno for node in tree.find_all(nodes.Or) if list(_sentences(node))]
    assert chosen + instead == []


def _sentences(node: nodes.Node) -> Iterator[nodes.Call]:
    for call in node.find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name in {"tr", "trn"}:
            yield call


@pytest.mark.parametrize("name", [name for name in HTML if not name.startswith("macros/")])
def test_pages_decide_nothing(name: str) -> None:
    """Of two facts code makes one, which has a name; nor are parts cut out of a list here."""
    tree = environment().parse(source(name))
    logic = [node.lineno for node in tree.find_all((nodes.And, nodes.Or, nodes.Slice))]
    counted = [
        node.lineno
        for node in tree.find_all(nodes.Getitem)
        if isinstance(node.arg, nodes.Const) and isinstance(node.arg.value, int)
    ]
    assert logic + counted == []


LONGEST_LINE = 160  # characters; a longer one hides what it does

# What a template may do: place, repeat, leave out, and print. Anything else is code.
TAGS = {"block", "call", "else", "elif", "extends", "for", "from", "if", "import", "include",
        "macro", "set", "with"}  # fmt: skip
FILTERS = {"default", "length", "lower", "moment", "money", "number", "short_size_name",
           "trim", "urlencode", "with_unit", "xmlattr"}  # fmt: skip


@pytest.mark.parametrize("name", HTML)
def test_lines_are_short(name: str) -> None:
    lines = enumerate(source(name).splitlines(), start=1)
    assert [number for number, line in lines if len(line) > LONGEST_LINE] == []


@pytest.mark.parametrize("name", HTML)
def test_templates_use_few_tags_and_filters(name: str) -> None:
    """No label is made from a field's name here, and nothing is set step by step."""
    tags = set(re.findall(r"\{%-?\s*(\w+)", source(name)))
    assert {tag for tag in tags if not tag.startswith("end")} - TAGS == set()
    tree = environment().parse(source(name))
    assert {found.name for found in tree.find_all(nodes.Filter)} - FILTERS == set()


SCROLLED = "macros/tables.html"


@pytest.mark.parametrize("name", [name for name in HTML if name != SCROLLED])
def test_the_frame_of_a_table_that_scrolls_stands_in_one_place(name: str) -> None:
    assert 'class="scroll"' not in source(name)


def _counts_columns(node: nodes.Node) -> bool:
    """``columns | length + 2``: how wide a heading must be is layout, not a figure."""
    return (
        isinstance(node, nodes.Add)
        and isinstance(node.left, nodes.Filter)
        and node.left.name == "length"
        and isinstance(node.right, nodes.Const)
    )


@pytest.mark.parametrize("name", HTML)
def test_templates_refer_only_to_templates_that_exist(name: str) -> None:
    tree = environment().parse(source(name))
    references = (nodes.Extends, nodes.Include, nodes.Import, nodes.FromImport)
    named = [getattr(node, "template", None) for node in tree.find_all(references)]
    missing = [n.value for n in named if isinstance(n, nodes.Const) and n.value not in HTML]
    assert missing == []


# Code or style within a page, forbidden by the content policy; a data block is neither.
INLINE = re.compile(
    r"<style\b|<script\b(?![^>]*\bsrc=)(?! type=\"application/ld\+json\")|"
    r"\sstyle\s*=|\son[a-z]+\s*=|javascript:|"
    r"\shx-on\b|\shx-vals\s*=\s*[\"']js:|hx-trigger\s*=\s*[\"'][^\"']*\[",
    re.IGNORECASE,
)


@pytest.mark.parametrize("name", HTML)
def test_no_inline_script_or_style(name: str) -> None:
    without_comments = re.sub(r"\{#.*?#\}", "", source(name), flags=re.DOTALL)
    assert INLINE.findall(without_comments) == []


@pytest.mark.parametrize(
    "markup",
    ["<p style='x'>", "<a onclick='x'>", "<script>x</script>", "<style>", '<i hx-on:click="x">',
     '<a href="javascript:x">', "<b hx-vals='js:x'>", '<b hx-trigger="click[x]">'],
)  # fmt: skip
def test_inline_code_would_be_found(markup: str) -> None:
    assert INLINE.search(markup)


@pytest.mark.parametrize("name", HTML)
def test_nothing_is_marked_safe_unescaped(name: str) -> None:
    tree = environment().parse(source(name))
    assert [f.lineno for f in tree.find_all(nodes.Filter) if f.name == "safe"] == []


@pytest.mark.parametrize("name", PAGES)
def test_a_page_shows_the_very_partial_that_is_fetched(name: str) -> None:
    partial = f"partials/{name}"
    if (TEMPLATES / partial).exists():
        assert partial in set(_included(f"pages/{name}"))


def _included(name: str) -> Iterator[str]:
    for node in environment().parse(source(name)).find_all(nodes.Include):
        if isinstance(node.template, nodes.Const):
            yield node.template.value
            yield from _included(node.template.value)


def test_scripts_and_pages_load_nothing_from_elsewhere() -> None:
    from webapp.common.paths import STATIC

    ours: list[Path] = [*TEMPLATES.rglob("*.html"), *STATIC.rglob("*.css"), *STATIC.rglob("*.js")]
    elsewhere = re.compile(
        r"(?:src|href)\s*=\s*[\"']\s*(?:https?:)?//|"
        r"url\(\s*[\"']?(?:https?:)?//|"
        r"import\s[^;\n]*[\"']https?://"
    )
    guilty = [p.name for p in ours if "vendor" not in p.parts and elsewhere.search(p.read_text())]
    assert guilty == []
