"""The same templates as Jinja's own, written out with fewer steps.

Jinja makes a `Markup` of every value that it escapes, and another copy of the markup of
every macro, only to join them at once; and it asks of everything that is called whether it
wants the context, which nothing in these templates does. Here a value is escaped to plain
text, markup is taken as it is, a field is read and a macro called without a detour.
"""

from __future__ import annotations

import re
from keyword import iskeyword
from types import FunctionType
from typing import Any

from jinja2 import Environment, Template, nodes
from jinja2.compiler import CodeGenerator, Frame
from jinja2.environment import TemplateModule
from jinja2.runtime import Context, Macro, markup_join, missing  # type: ignore[attr-defined]
from markupsafe import Markup, escape

_MADE = str.__new__
_special = re.compile("[&<>\"']").search


def shown(value: object) -> str:
    """A value as it stands in a page: escaped, unless it is markup.

    >>> shown("A & B"), shown(Markup("<b>"))
    (Markup('A &amp; B'), Markup('<b>'))
    >>> shown("plain"), shown(12)
    ('plain', Markup('12'))
    """
    if type(value) is str and not _special(value):
        return value
    return escape(value)


def joined(parts: tuple[object, ...]) -> str:
    """Values joined to one: to markup, the others escaped, where one of them is markup.

    >>> joined(("a", 1)), joined((Markup("<b>"), "&"))
    ('a1', Markup('<b>&amp;'))
    """
    return markup_join(parts) if Markup in map(type, parts) else "".join(map(str, parts))


class QuickMacro(Macro):
    """A macro whose values are put in their places at once, where each has one."""

    def __init__(self, environment: Environment, func: FunctionType, *given: Any) -> None:
        super().__init__(environment, func, *given)
        func.__defaults__ = (missing,) * self._argument_count
        self._place_of = {name: at for at, name in enumerate(self.arguments)}
        self._by_jinja = bool(self.catch_kwargs or self.catch_varargs or self.explicit_caller)
        self._in_order = not (self._by_jinja or self.caller)

    def __call__(self, *args: Any, **kwargs: Any) -> str:
        """The macro's markup; every use that is out of the common is Jinja's to answer."""
        if self._in_order and not kwargs:
            return _MADE(Markup, self._func(*args))
        if self._by_jinja or len(args) > self._argument_count:
            return super().__call__(*args, **kwargs)
        given = [*args, *(missing,) * (self._argument_count - len(args))]
        if self.caller:
            given.append(kwargs.pop("caller", None))
            if given[-1] is None:
                return super().__call__(*args, **kwargs)
        for name, value in kwargs.items():
            at = self._place_of.get(name, -1)
            if at < len(args):
                return super().__call__(*args, **kwargs)
            given[at] = value
        return _MADE(Markup, self._func(*given))


class _Template(Template):
    """A template whose macros are the same for every page that imports them without its context."""

    def _get_default_module(self, ctx: Context | None = None) -> TemplateModule:
        return self._module or super()._get_default_module(ctx)


class _Generator(CodeGenerator):
    """Writes expressions whose value, and what it was read from, have a name for a moment."""

    def write_commons(self) -> None:
        super().write_commons()
        self.writeline("special, shown = environment.special, environment.shown")
        self.writeline("joined, unless = environment.joined, environment.unless")
        self.writeline("Macro = environment.macro")

    def _output_child_pre(
        self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo
    ) -> None:
        if self._as_jinja(frame, finalize):
            super()._output_child_pre(node, frame, finalize)
        else:
            self.write("(v if type(v := ")

    def _output_child_post(
        self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo
    ) -> None:
        if self._as_jinja(frame, finalize):
            super()._output_child_post(node, frame, finalize)
        else:
            self.write(") is Markup or type(v) is str and not special(v) else shown(v))")

    def _as_jinja(self, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> bool:
        return frame.eval_ctx.volatile or not frame.eval_ctx.autoescape or finalize.src is not None

    def visit_Getattr(self, node: nodes.Getattr, frame: Frame) -> None:  # noqa: N802
        self._read(node, frame)
        self.write(f"environment.getattr(o, {node.attr!r}))")

    def visit_Filter(self, node: nodes.Filter, frame: Frame) -> None:  # noqa: N802
        field, usual = node.node, node.args
        named = node.kwargs or node.dyn_args or node.dyn_kwargs
        plain = node.name == "default" and len(usual) == 1 and not named
        if not plain or not isinstance(field, nodes.Getattr):
            super().visit_Filter(node, frame)
            return
        self._read(field, frame)
        self.write(f"unless(o, {field.attr!r}, ")
        self.visit(usual[0], frame)
        self.write("))")

    def visit_Test(self, node: nodes.Test, frame: Frame) -> None:  # noqa: N802
        if node.name != "string":
            super().visit_Test(node, frame)
            return
        self.write("isinstance(")
        self.visit(node.node, frame)
        self.write(", str)")

    def visit_Concat(self, node: nodes.Concat, frame: Frame) -> None:  # noqa: N802
        self.write("joined((")
        for each in node.nodes:
            self.visit(each, frame)
            self.write(", ")
        self.write("))")

    def _read(self, node: nodes.Getattr, frame: Frame) -> None:
        """A field of an object; what stands for it when there is none follows."""
        self.write("(v if (v := getattr((o := ")
        self.visit(node.node, frame)
        self.write(f"), {node.attr!r}, missing)) is not missing else ")

    def visit_Call(self, node: nodes.Call, frame: Frame, forward_caller: bool = False) -> None:  # noqa: N802
        if node.dyn_args or node.dyn_kwargs or any(iskeyword(each.key) for each in node.kwargs):
            super().visit_Call(node, frame, forward_caller=forward_caller)
            return
        self.visit(node.node, frame)
        self.write("(")
        for each in (*node.args, *node.kwargs):
            self.visit(each, frame)
            self.write(", ")
        self.write("caller=caller)" if forward_caller else ")")


class QuickEnvironment(Environment):
    """An environment whose templates write the same text as Jinja's own, in less time.

    What is called in them gets the values given there alone: no global may ask for the context.
    """

    code_generator_class = _Generator
    template_class = _Template
    joined = staticmethod(joined)
    shown = staticmethod(shown)
    special = staticmethod(_special)
    macro = QuickMacro

    @staticmethod
    def unless(value: Any, name: str, default: Any) -> Any:
        """What a mapping has under a name; the default where there is none, or no mapping."""
        try:
            return value[name]
        except (AttributeError, LookupError, TypeError):
            return default
