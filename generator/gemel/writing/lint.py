"""Faults that a template shows before it is rendered, and a finding from an error of Jinja2."""

from __future__ import annotations

from typing import TYPE_CHECKING

from jinja2 import TemplateSyntaxError, UndefinedError

from gemel.findings import Findings, Label, Span
from gemel.writing.codes import FAULT, FUSED, SYNTAX, UNDEFINED

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from types import TracebackType

    from gemel.findings import Finding
    from gemel.writing.environment import TemplateEnvironment

__all__ = ["FAULTS", "fault_of", "lint"]

FAULTS = (Exception,)
"""What rendering may raise for a template's fault; a template may run into any error of the language."""

_OPENS_NO_LINE = frozenset({"endmacro", "endset", "import", "from", "set"})


def lint(environment: TemplateEnvironment, templates: Mapping[str, str]) -> list[Finding]:
    """Syntax errors, and lines whose block tag would fuse two blocks."""
    findings: list[Finding] = []
    for name, text in templates.items():
        file = f"{environment.folder}/{name}"
        try:
            environment.parse(text, name)
            findings.extend(_fused(environment.lex(text, name), file, text.split("\n")))
        except TemplateSyntaxError as error:
            findings.append(_syntax(error, file, text.split("\n")))
    return findings


def _row(rows: list[str], line: int) -> str:
    return rows[line - 1].strip() if 0 < line <= len(rows) else ""


def _label(file: str, line: int, rows: list[str]) -> Label:
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    return Label(Span(file, line, len(row) - len(row.lstrip()), max(1, len(row))), row.strip())


def _syntax(error: TemplateSyntaxError, file: str, rows: list[str]) -> Finding:
    return SYNTAX.found(f"the template cannot be read: {error.message}", _label(file, error.lineno, rows))


def _fused(tokens: Iterable[tuple[int, str, str]], file: str, rows: list[str]) -> list[Finding]:
    """Block tags that take the line end of a line with text in it."""
    findings: list[Finding] = []
    printed = False
    tag: list[str] = []
    expression: list[str] = []
    for line, kind, value in tokens:
        if kind == "data":
            printed = bool(value.rpartition("\n")[2].strip()) or (printed and "\n" not in value)
        elif kind == "block_begin":
            tag = []
        elif kind == "variable_begin":
            expression = []
        elif kind == "block_end":
            takes = value.endswith("\n") and printed and tag[:1] and tag[0] not in _OPENS_NO_LINE
            if takes:
                findings.append(FUSED.found(f"`{tag[0]}` takes the line end with it", _label(file, line, rows)))
            printed = printed and not value.endswith("\n")
        elif kind == "variable_end":
            if value.endswith("\n") and (printed or ")" not in expression[-1:]):
                findings.append(FUSED.found("`-}}` takes the line end with it", _label(file, line, rows)))
            printed = not value.endswith("\n")
        elif kind != "whitespace":
            tag.append(value)
            expression.append(value)
    return findings


def fault_of(error: Exception, environment: TemplateEnvironment, templates: Mapping[str, str]) -> Findings:
    """The findings behind an error of rendering: the template's line, and what went wrong there."""
    if isinstance(error, Findings):
        return error
    if isinstance(error, TemplateSyntaxError):
        name = error.name or ""
        rows = templates.get(name, "").split("\n")
        return Findings([_syntax(error, f"{environment.folder}/{name}", rows)])
    file, line = _place(error.__traceback__, environment.folder)
    rows = templates.get(file.removeprefix(f"{environment.folder}/"), "").split("\n")
    if isinstance(error, UndefinedError):
        return Findings([UNDEFINED.found(f"{error.message}", _label(file, line, rows))])
    return Findings([FAULT.found(f"the template fails: {error}", _label(file, line, rows))])


def _place(traceback: TracebackType | None, folder: str) -> tuple[str, int]:
    """The innermost template line of a traceback."""
    found = (folder, 0)
    while traceback is not None:
        file = traceback.tb_frame.f_code.co_filename
        if file.startswith(f"{folder}/"):
            found = (file, traceback.tb_lineno)
        traceback = traceback.tb_next
    return found
