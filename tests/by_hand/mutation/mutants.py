"""Small wrong changes of a module's source, made one at a time in its syntax tree.

A mutant is made and taken back in place, so that one tree serves all of them. Annotations,
decorators, docstrings and the numbers inside sentences are left alone: no test of behaviour
could notice those.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

SHOWN = 72
"""About how many characters of an expression name a change."""
TINY = 1e-4
"""Constants below this are tolerances, which are changed a thousandfold rather than by 1 %."""

_FLIPPED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_BOUNDARY: dict[type[object], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
_OPPOSITE: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
_PAIRS = [
    ("sin", "cos"),
    ("arcsin", "arccos"),
    ("any", "all"),
    ("min", "max"),
    ("minimum", "maximum"),
    ("nanmin", "nanmax"),
    ("argmin", "argmax"),
    ("floor", "ceil"),
    ("radians", "degrees"),
    ("logical_and", "logical_or"),
]
_SWAPPED = dict(_PAIRS) | {second: first for first, second in _PAIRS}


@dataclass(frozen=True)
class Mutant:
    """One change: where it stands, how it reads, and how to make it."""

    line: int
    where: str  # function or class, dotted
    change: str
    make: Callable[[], None]
    boundary: bool  # whether only the two sides being equal is judged otherwise


@dataclass(frozen=True)
class _Edit:
    """A field of a node, or one place of a list in it, and what comes there."""

    node: ast.AST
    field: str
    new: object
    index: int | None = None

    def put(self, value: object) -> object:
        """Put a value there; gives what stood there."""
        holder = getattr(self.node, self.field)
        if self.index is None:
            setattr(self.node, self.field, value)
            return holder
        before, holder[self.index] = holder[self.index], value
        return before

    def make(self) -> None:
        """Make the change for good."""
        self.put(self.new)


def _other_constants(value: object) -> Iterator[object]:
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield value + 1
    elif isinstance(value, float) and math.isfinite(value):
        if value == 0.0:
            yield 0.01
        else:
            yield value * (1.01 if abs(value) >= TINY else 1000.0)


def _negated(test: ast.expr) -> ast.expr:
    return ast.copy_location(ast.UnaryOp(ast.Not(), test), test)


def _edits(node: ast.AST) -> Iterator[_Edit]:
    """All changes of one node."""
    yield from _edits_of_operators(node)
    yield from _edits_of_words(node)
    match node:
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            if not isinstance(test, ast.Compare | ast.UnaryOp):
                yield _Edit(node, "test", _negated(test))
        case ast.Set(elts=members) if len(members) > 1:
            for index in range(len(members)):
                yield _Edit(node, "elts", members[index - 1], index)


def _edits_of_operators(node: ast.AST) -> Iterator[_Edit]:
    match node:
        case ast.Compare():
            for index, operator in enumerate(node.ops):
                for new in _FLIPPED[type(operator)]:
                    yield _Edit(node, "ops", new(), index)
        case ast.BinOp() | ast.AugAssign() if type(node.op) in _OPPOSITE:
            yield _Edit(node, "op", _OPPOSITE[type(node.op)]())
        case ast.BoolOp():
            yield _Edit(node, "op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not() | ast.Invert()):
            twice = ast.copy_location(ast.UnaryOp(node.op, node.operand), node)
            yield _Edit(node, "operand", twice)
        case ast.UnaryOp(op=ast.USub()):
            yield _Edit(node, "op", ast.UAdd())


def _edits_of_words(node: ast.AST) -> Iterator[_Edit]:
    match node:
        case ast.Constant():
            for value in _other_constants(node.value):
                yield _Edit(node, "value", value)
        case ast.Name(id=name) if name in _SWAPPED:
            yield _Edit(node, "id", _SWAPPED[name])
        case ast.Attribute(attr=name) if name in _SWAPPED:
            yield _Edit(node, "attr", _SWAPPED[name])


def _is_docstring(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _children(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes inside that a test can notice."""
    for field, value in ast.iter_fields(node):
        if field in {"annotation", "returns", "decorator_list", "type_params"}:
            continue
        for inner in value if isinstance(value, list) else [value]:
            if not isinstance(inner, ast.AST) or isinstance(inner, ast.JoinedStr):
                continue
            if isinstance(inner, ast.keyword) and inner.arg == "strict":
                continue
            if not _is_docstring(inner):
                yield inner


def _shown(chain: list[ast.AST]) -> ast.AST:
    """The largest expression round a node that is still short enough to be read."""
    best = chain[-1]
    for outer in reversed(chain[:-1]):
        if isinstance(outer, ast.keyword):
            continue
        if not isinstance(outer, ast.expr) or len(ast.unparse(outer)) > SHOWN:
            break
        best = outer
    return best


def _text(node: ast.AST) -> str:
    if isinstance(node, ast.If | ast.While):
        node = node.test
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 2 * SHOWN else text[: 2 * SHOWN] + "…"


def _found(chain: list[ast.AST], names: tuple[str, ...]) -> Iterator[Mutant]:
    node = chain[-1]
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        names = (*names, node.name)
    for edit in _edits(node):
        shown = _shown(chain)
        before = _text(shown)
        old = edit.put(edit.new)
        after = _text(shown)
        edit.put(old)
        line = getattr(node, "lineno", 0)
        boundary = isinstance(edit.new, ast.cmpop) and type(edit.new) is _BOUNDARY.get(type(old))
        yield Mutant(line, ".".join(names), f"{before} → {after}", edit.make, boundary)
    for inner in _children(node):
        yield from _found([*chain, inner], names)


def mutants(tree: ast.Module) -> list[Mutant]:
    """Every mutant of a module, in the order of its source.

    >>> tree = ast.parse("def longer(a, b): return a > 2 * b")
    >>> for mutant in mutants(tree):
    ...     print(mutant.where, mutant.change)
    longer a > 2 * b → a >= 2 * b
    longer a > 2 * b → a <= 2 * b
    longer a > 2 * b → a > 2 / b
    longer a > 2 * b → a > 3 * b
    """
    return list(_found([tree], ()))
