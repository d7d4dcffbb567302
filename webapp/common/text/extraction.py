"""The catalogue file of one language: begun, or brought up to date with the code.

::

    python -m webapp.common.text.extraction de      # writes languages/de.po

Sentences that are translated already stay; new ones are added empty (an empty
one is shown in English); those the code no longer holds are kept at the end as
comments.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from webapp.common.paths import TEMPLATES
from webapp.common.text.glossary import glossary_sentences
from webapp.common.text.language import LANGUAGES, tr

SOURCES = TEMPLATES.parent / "webapp"
FORMS = {"tr": 1, "trn": 2}
KEYWORDS: dict[str, tuple[int, ...] | None] = {"tr": None, "trn": (1, 2)}
METHODS = [("**.html", "jinja2.ext:babel_extract")]

TYPST = re.compile(r'\btr\(\s*"((?:[^"\\]|\\.)*)"')
Message = str | tuple[str, ...]


def in_code() -> Iterator[tuple[str, int, Message]]:
    """Every sentence in Python, also one that is a value of another."""
    for file in sorted(SOURCES.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            forms = node.args[: FORMS.get(node.func.id, 0)]
            said = [a.value for a in forms if isinstance(a, ast.Constant)]
            texts = tuple(each for each in said if isinstance(each, str))
            if texts:
                name = str(file.relative_to(SOURCES.parent))
                yield name, node.lineno, texts[0] if len(texts) == 1 else texts


def in_data_classes() -> Iterator[tuple[str, int, Message]]:
    """Every word beside a field of the catalogue's data: what it is, its unit, reason, choices."""
    for file in sorted((SOURCES / "catalogue" / "schema").glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            for text in _declared(node):
                yield f"{file.relative_to(SOURCES.parent)} (data)", node.lineno, text  # type: ignore[attr-defined]


def _declared(node: ast.AST) -> Iterator[str]:
    """Words that one node of a data class declares."""
    match node:
        case ast.AnnAssign(target=ast.Name(id=name)):  # a field's own name may be its label
            yield name.replace("_", " ")
        case ast.Call(func=ast.Name(id="mm" | "deg" | "number")):
            given = [a.value for a in node.args if isinstance(a, ast.Constant)]
            yield from (text for text in given if isinstance(text, str) and text)
        case ast.keyword(arg="description", value=ast.Constant(value=str(text))):
            yield text
        case ast.Dict():
            texts = (each for each in (*node.keys, *node.values) if isinstance(each, ast.Constant))
            yield from (str(each.value).replace("-", " ") for each in texts)
        case ast.Subscript(value=ast.Name(id="Literal"), slice=choices):
            found = choices.elts if isinstance(choices, ast.Tuple) else [choices]
            yield from (readable(c.value) for c in found if isinstance(c, ast.Constant))
        case _:
            return


def readable(code: object) -> str:
    """A code as words: ``front-hub`` to ``front hub``."""
    return str(code).replace("-", " ").replace("_", " ")


def in_templates() -> Iterator[tuple[str, int, Message]]:
    """Every sentence in a template."""
    options = {"**.html": {"silent": "false"}}
    found = extract_from_dir(TEMPLATES, METHODS, options, KEYWORDS, ())
    for name, line, message, _comments, _context in found:
        yield f"{TEMPLATES.name}/{name}", line, message


def on_paper() -> Iterator[tuple[str, int, Message]]:
    """Every sentence in a template of the paper."""
    for file in sorted((TEMPLATES / "print").glob("*.typ")):
        text = file.read_text()
        for found in TYPST.finditer(text):
            line = text.count("\n", 0, found.start()) + 1
            yield str(file.relative_to(TEMPLATES.parent)), line, found[1]


def sentences() -> Iterator[tuple[str, int, Message]]:
    """Every sentence of the service: file, line, and the sentence or its two forms."""
    yield from in_code()
    yield from in_data_classes()
    yield from in_templates()
    yield from on_paper()
    for key, text in glossary_sentences():
        yield f"geometry/glossary ({key})", 0, text


def catalogue(code: str) -> Catalog:
    """The catalogue of a language, with every sentence of today's code."""
    made = Catalog(locale=code, project="Stancewright", charset="utf-8")
    for name, line, message in sentences():
        made.add(message, locations=[(name, line)])
    file = LANGUAGES / f"{code}.po"
    if not file.is_file():
        return made
    with file.open("rb") as source:
        kept = read_po(source, locale=code)
    kept.update(made, no_fuzzy_matching=True)
    return kept


def main(codes: list[str]) -> None:
    """Write the catalogue files of these languages."""
    LANGUAGES.mkdir(exist_ok=True)
    for code in codes:
        made = catalogue(code)
        with (LANGUAGES / f"{code}.po").open("wb") as target:
            write_po(target, made, width=100)
        sys.stdout.write(tr("{code}: {made} sentences\n", code=code, made=len(made)))


if __name__ == "__main__":
    main(sys.argv[1:] or ["de"])
