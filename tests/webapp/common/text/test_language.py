"""Sentences: one function, literal messages, values by name, another language in one file."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest
from jinja2 import nodes

from webapp.common.paths import TEMPLATES
from webapp.common.text import extraction, language
from webapp.common.web.templating import environment

WEBAPP = TEMPLATES.parent / "webapp"

Call = tuple[str, list[object], set[str]]
"""Where it stands, its messages (None for one that is no literal), its values' names."""


def in_code() -> Iterator[Call]:
    for file in sorted(WEBAPP.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id not in {"tr", "trn"}:
                continue
            count = 1 if node.func.id == "tr" else 2
            said = [a.value if isinstance(a, ast.Constant) else None for a in node.args[:count]]
            names = {k.arg for k in node.keywords if k.arg} | ({"count"} if count > 1 else set())
            if any(k.arg is None for k in node.keywords):
                continue
            yield f"{file.relative_to(WEBAPP.parent)}:{node.lineno}", list(said), names


def in_templates() -> Iterator[Call]:
    for file in sorted(TEMPLATES.rglob("*.html")):
        tree = environment().parse(file.read_text())
        for node in tree.find_all(nodes.Call):
            if not isinstance(node.node, nodes.Name) or node.node.name not in {"tr", "trn"}:
                continue
            count = 1 if node.node.name == "tr" else 2
            said = [a.value if isinstance(a, nodes.Const) else None for a in node.args[:count]]
            names = {k.key for k in node.kwargs} | ({"count"} if count > 1 else set())
            yield f"{file.relative_to(TEMPLATES.parent)}:{node.lineno}", list(said), names


@cache
def calls() -> tuple[Call, ...]:
    """All of them, read when they are first asked for: every process collects this file."""
    return (*in_code(), *in_templates())


def test_every_sentence_is_a_literal_with_the_values_it_names() -> None:
    wrong = []
    for where, messages, names in calls():
        if not all(isinstance(m, str) for m in messages):
            wrong.append(f"{where}: not a literal, so no translator would ever see it")
            continue
        used = {n for m in messages for _, n, _, _ in Formatter().parse(str(m)) if n is not None}
        used = {name.split(".")[0].split("[")[0] for name in used}
        if names and used - names:
            wrong.append(f"{where}: {used - names} have no value")
        if len(messages) == 1 and names - used:
            wrong.append(f"{where}: {names - used} stand in no place")
    assert not wrong, "\n".join(wrong)


FOR_A_PROGRAM = re.compile(
    r"""="|^-\w|^[A-Z]{2,}( [A-Z]{2,})+$|\bno(-store|index)\b"""
    r"""|sans-serif|\bSELECT\b|^[a-z]+-[a-z]+ [a-z]+-|^M\{"""
)


def test_what_a_program_reads_is_no_sentence() -> None:
    """Translated, a header, a class, an attribute or a database's word would no longer be one."""
    code = [(where, said) for where, said, _ in calls() if where.partition(":")[0].endswith(".py")]
    wrong = [f"{where}: {m}" for where, said in code for m in said if FOR_A_PROGRAM.search(str(m))]
    assert not wrong, "\n".join(wrong)


def test_extraction_finds_every_sentence_of_code_and_templates() -> None:
    texts = [m for where, _, m in extraction.sentences() if where.endswith((".py", ".html"))]
    found = {m if isinstance(m, str) else m[0] for m in texts}
    called = {str(messages[0]) for _, messages, _ in calls()}
    assert called == found


def test_the_paper_says_every_sentence_through_the_one_function() -> None:
    """Text set without it would start a line of a template, or stand in a content block."""
    assert len({m for _, _, m in extraction.on_paper()}) >= 30
    bare = [
        f"{file.name}: {line}"
        for file in sorted((TEMPLATES / "print").glob("*.typ"))
        for line in file.read_text().splitlines()
        if re.match(r"\s*(=+ )?[A-Z][a-z]+ [a-z]", line) or re.search(r"\[[A-Z][a-z]+ ", line)
    ]
    assert not bare


@pytest.fixture
def esperanto(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A language of one file, in the place of the shipped ones."""
    language.translations.cache_clear()
    monkeypatch.setattr(language, "LANGUAGES", tmp_path)
    monkeypatch.setattr(extraction, "LANGUAGES", tmp_path)
    yield tmp_path / "eo.po"
    language.translations.cache_clear()


def test_another_language_is_one_file(esperanto: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    extraction.main(["eo"])
    written = esperanto.read_text()
    assert 'msgid "Put side by side"' in written
    esperanto.write_text(
        written.replace(
            'msgid "Put side by side"\nmsgstr ""', 'msgid "Put side by side"\nmsgstr "Apudmetu"'
        )
    )
    monkeypatch.setattr(language._Service, "language", "eo")
    assert language.tr("Put side by side") == "Apudmetu"
    assert language.tr("{x:.1f} mm", x=64.5) == "64,5 mm"
    extraction.main(["eo"])
    assert 'msgstr "Apudmetu"' in esperanto.read_text(), "what is translated stays"


def test_plurals_follow_the_rules_of_the_language(
    esperanto: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Polish has three forms (Unicode CLDR 46, plural rules: one, few, many)."""
    esperanto.with_name("pl.po").write_text(
        'msgid ""\nmsgstr ""\n"Language: pl\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n'
        '"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && '
        '(n%100<12 || n%100>14) ? 1 : 2);\\n"\n\n'
        'msgid "{count} bike"\nmsgid_plural "{count} bikes"\n'
        'msgstr[0] "{count} rower"\nmsgstr[1] "{count} rowery"\nmsgstr[2] "{count} rowerów"\n'
    )
    monkeypatch.setattr(language._Service, "language", "pl")
    said = [language.trn("{count} bike", "{count} bikes", n) for n in (1, 2, 5, 12, 22)]
    assert said == ["1 rower", "2 rowery", "5 rowerów", "12 rowerów", "22 rowery"]


def test_a_language_without_its_file_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(language.UnknownLanguage, match="'xx'"):
        language.translations("xx")
