"""Jinja2 as templates see it: sandboxed, strict, attributes only, no filters but the few below.

The tracing environment compiles the same sources with every expression wrapped and every line of literal text marked.
"""

from __future__ import annotations

from types import MethodType
from typing import TYPE_CHECKING, Any

from jinja2 import FunctionLoader, StrictUndefined, Undefined
from jinja2.exceptions import SecurityError
from jinja2.ext import Extension
from jinja2.lexer import Token
from jinja2.runtime import Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment

from gemel.writing.marks import Site, literal_mark

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from jinja2.lexer import TokenStream
    from jinja2.runtime import Context

__all__ = ["TRACE", "TemplateEnvironment", "TracingEnvironment"]

TRACE = "_trace"
"""The name under which a tracing environment's templates reach the tracer; no template may say it itself."""

_FILTERS = ("upper", "trim")
_TESTS = ("none", "in")


class TemplateEnvironment(ImmutableSandboxedEnvironment):
    """An environment over template texts: `templates` by name, `folder` for their shown file names."""

    def __init__(self, templates: Mapping[str, str], folder: str, **options: Any) -> None:
        def load(name: str) -> tuple[str, str, Any] | None:
            text = templates.get(name)
            return None if text is None else (text, f"{folder}/{name}", lambda: True)

        super().__init__(
            loader=FunctionLoader(load),
            undefined=StrictUndefined,
            autoescape=False,  # a program is no markup; its characters are checked by the machine file
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            auto_reload=False,
            **options,
        )
        self.folder = folder
        self.filters = {name: self.filters[name] for name in _FILTERS}
        self.tests = {name: self.tests[name] for name in _TESTS}
        self.globals = {}

    def getattr(self, obj: Any, attribute: str) -> Any:
        """The attribute, or the value of a mapping under that key; nothing that begins with `_`, nothing to call."""
        if attribute[:1] == "_":
            return self.unsafe_undefined(obj, attribute)
        if isinstance(obj, dict):
            return obj[attribute] if attribute in obj else self.undefined(obj=obj, name=attribute)
        try:
            value = getattr(obj, attribute)
        except AttributeError:
            return self.undefined(obj=obj, name=attribute)
        return self.unsafe_undefined(obj, attribute) if callable(value) and not isinstance(value, Macro) else value

    def call(self, context: Context, obj: Any, /, *args: Any, **kwargs: Any) -> Any:
        """Call a macro or one of the words that gemel gives to templates; nothing else."""
        del context
        kind = type(obj)
        if kwargs:  # the compiler adds these inside loops and blocks, for functions that ask for the context
            kwargs.pop("_loop_vars", None)
            kwargs.pop("_block_vars", None)
        if kind is MethodType or kind is Macro or isinstance(obj, Undefined):
            return obj(*args, **kwargs)
        raise SecurityError(f"{obj!r} may not be called")


class _Tracing(Extension):
    """Wraps each `{{ expression }}` into a call of the tracer and marks each line of literal text."""

    environment: TracingEnvironment

    def filter_stream(self, stream: TokenStream) -> Iterator[Token]:
        """The stream with the tracer's tokens in it."""
        name = stream.name or ""
        begun = 0
        for token in stream:
            line = token.lineno
            if token.type == "data":
                yield Token(line, "data", self._marked(token.value, name, line))
            elif token.type == "variable_begin":
                begun = line
                yield token
                yield Token(line, "name", TRACE)
                yield Token(line, "lparen", "(")
                yield Token(line, "lparen", "(")
            elif token.type == "variable_end":
                yield Token(line, "rparen", ")")
                yield Token(line, "comma", ",")
                yield Token(line, "integer", self.environment.site(name, begun))  # type: ignore[arg-type] # the lexer gives integers as such
                yield Token(line, "rparen", ")")
                yield token
            else:
                yield token

    def _marked(self, text: str, name: str, line: int) -> str:
        lines = text.split("\n")
        marked = [
            literal_mark(self.environment.site(name, line + further)) + part if part or further + 1 < len(lines) else ""
            for further, part in enumerate(lines)
        ]
        return "\n".join(marked)


class TracingEnvironment(TemplateEnvironment):
    """The same sources, traced.

    Attributes:
        sites: every template line that prints something, in the order of compilation.
    """

    def __init__(self, templates: Mapping[str, str], folder: str) -> None:
        self.sites: list[Site] = []
        self._index: dict[Site, int] = {}
        super().__init__(templates, folder, extensions=[_Tracing])

    def site(self, template: str, line: int) -> int:
        """The index of a template line."""
        site = Site(f"{self.folder}/{template}", line)
        if site not in self._index:
            self._index[site] = len(self.sites)
            self.sites.append(site)
        return self._index[site]
