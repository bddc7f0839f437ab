"""Jinja2 as templates see it: sandboxed, strict, attributes only, no filters but the few below.

The tracing environment compiles the same sources with every expression wrapped and every line of literal text marked.
"""

from __future__ import annotations

import operator
from typing import TYPE_CHECKING, Any

from jinja2 import FunctionLoader, StrictUndefined, nodes
from jinja2.compiler import CodeGenerator
from jinja2.ext import Extension
from jinja2.lexer import Token
from jinja2.runtime import Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment

from gemel.writing.marks import Site, literal_mark

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from jinja2.compiler import Frame
    from jinja2.lexer import TokenStream

__all__ = ["TRACE", "TemplateEnvironment", "TracingEnvironment"]

TRACE = "_trace"
"""The name under which a tracing environment's templates reach the tracer; no template may say it itself."""

_FILTERS = ("upper", "trim")
_TESTS = ("none", "in")


class _DirectCalls(CodeGenerator):
    """Calls without a detour: `getattr` has seen to it that templates reach macros and gemel's own words only."""

    def visit_Call(self, node: nodes.Call, frame: Frame, forward_caller: bool = False) -> None:  # noqa: FBT001, FBT002, N802 # the name and signature are Jinja2's
        """Emit the call."""
        self.write("environment.direct(")
        if isinstance(node.node, nodes.Name) and node.node.name == TRACE:
            self.write("environment.trace")
        else:
            self.visit(node.node, frame)
        self.signature(node, frame, {"caller": "caller"} if forward_caller else None)
        self.write(")")


class TemplateEnvironment(ImmutableSandboxedEnvironment):
    """An environment over template texts: `templates` by name, `folder` for their shown file names.

    Its globals must stand before the first template is compiled.
    """

    code_generator_class = _DirectCalls
    direct: Any = staticmethod(operator.call)

    def __init__(self, templates: Mapping[str, str], folder: str, **options: Any) -> None:
        def load(name: str) -> tuple[str, str, Any] | None:
            text = templates.get(name)
            if text is None:
                return None
            # Names that a template binds itself are plain variables in its macros: no lookup at every call.
            bound = "".join(f"{{% set {word} = {word} %}}" for word in self.globals)
            return bound + text, f"{folder}/{name}", lambda: True

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
        self._records: set[type] = set()
        self.filters = {name: self.filters[name] for name in _FILTERS}
        self.tests = {name: self.tests[name] for name in _TESTS}
        self.globals = {}

    def getattr(self, obj: Any, attribute: str) -> Any:
        """The attribute, or the value of a mapping under that key; nothing that begins with `_`, nothing to call."""
        if attribute[:1] == "_":
            return self.unsafe_undefined(obj, attribute)
        try:
            if type(obj) in self._records:
                return getattr(obj, attribute)
            return self._careful(obj, attribute)
        except AttributeError:
            return self.undefined(obj=obj, name=attribute)

    def _careful(self, obj: Any, attribute: str) -> Any:
        """The attribute of an object whose type may have methods."""
        if isinstance(obj, dict):
            return obj[attribute] if attribute in obj else self.undefined(obj=obj, name=attribute)
        kind = type(obj)
        if not any(callable(getattr(kind, name, None)) for name in dir(kind) if name[:1] != "_"):
            self._records.add(kind)
        value = getattr(obj, attribute)
        return self.unsafe_undefined(obj, attribute) if callable(value) and type(value) is not Macro else value


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
        trace: takes what an expression prints and the index of its site.
    """

    def __init__(self, templates: Mapping[str, str], folder: str, trace: Callable[[object, int], object]) -> None:
        self.trace = trace
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
