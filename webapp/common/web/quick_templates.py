"""The same templates as Jinja's own, written out with fewer steps.

Jinja makes a `Markup` of every value that it escapes, and another copy of the markup of
every macro, only to join them at once. Here a value is escaped to plain text, and markup
is taken as it is.
"""

from __future__ import annotations

import re
from types import FunctionType
from typing import Any

from jinja2 import Environment, nodes
from jinja2.compiler import CodeGenerator, Frame
from jinja2.runtime import Context, Macro
from markupsafe import Markup, escape

_special = re.compile("[&<>'\"]").search


def shown(value: object) -> str:
    """A value as it stands in a page: escaped, unless it is markup.

    >>> shown("A & B"), shown(Markup("<b>"))
    (Markup('A &amp; B'), Markup('<b>'))
    >>> shown("plain"), shown(12)
    ('plain', Markup('12'))
    """
    kind = type(value)
    if kind is Markup or (kind is str and not _special(value)):  # type: ignore[call-overload]
        return value  # type: ignore[return-value]
    return escape(value)


class _Generator(CodeGenerator):
    def _output_child_pre(
        self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo
    ) -> None:
        if frame.eval_ctx.volatile or not frame.eval_ctx.autoescape or finalize.src is not None:
            super()._output_child_pre(node, frame, finalize)
        else:
            self.write("environment.shown(")


class _Context(Context):
    def call(self, obj: Any, /, *args: Any, **kwargs: Any) -> Any:
        # Neither macros nor functions that ask for nothing need Jinja's look at what they ask for.
        if type(obj) is Macro or (type(obj) is FunctionType and not hasattr(obj, "jinja_pass_arg")):
            kwargs.pop("_block_vars", None)
            kwargs.pop("_loop_vars", None)
            return obj(*args, **kwargs)
        return super().call(obj, *args, **kwargs)


class QuickEnvironment(Environment):
    """An environment whose templates write the same text as Jinja's own, in less time."""

    code_generator_class = _Generator
    context_class = _Context
    shown = staticmethod(shown)
