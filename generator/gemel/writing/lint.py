"""Faults that a template shows before it is rendered, and a finding from an error of Jinja2."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from jinja2 import TemplateSyntaxError, UndefinedError, meta, nodes

from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.writing.codes import FAULT, FUSED, SYNTAX, UNDEFINED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from types import TracebackType

    from gemel.findings import Finding
    from gemel.writing.environment import TemplateEnvironment

__all__ = ["FAULTS", "fault_of", "lint", "lint_names"]

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


def lint_names(
    environment: TemplateEnvironment, templates: Mapping[str, str], context: frozenset[str]
) -> list[Finding]:
    """Names that nothing bears and codes that the machine file does not know, also in macros that no step uses yet.

    Args:
        environment: with its globals in place.
        templates: texts that `lint` has found readable.
        context: names that a rendering adds to the globals.
    """
    findings: list[Finding] = []
    for name, text in templates.items():
        tree = environment.parse(text, name)
        label = partial(_label, f"{environment.folder}/{name}", rows=text.split("\n"))
        unknown = meta.find_undeclared_variables(tree) - environment.globals.keys() - context
        findings.extend(
            UNDEFINED.found(
                f"`{node.name}` is not defined", label(node.lineno), remedy=did_you_mean(node.name, environment.globals)
            )
            for node in tree.find_all(nodes.Name)
            if node.name in unknown and node.ctx == "load"
        )
        findings.extend(_codes(tree, environment, label))
    return findings


def _codes(tree: nodes.Template, environment: TemplateEnvironment, label: Callable[[int], Label]) -> list[Finding]:
    """Paths that begin with `codes.` and lead nowhere."""
    findings = []
    for node in tree.find_all(nodes.Getattr):
        path = _path(node)
        here: object = environment.globals
        for attribute in path if path[:1] == ["codes"] else ():
            known = here if isinstance(here, dict) else getattr(here, "__dict__", {})
            if attribute in known:
                here = environment.getattr(here, attribute)
            elif here is not None:
                cause = f"`{'.'.join(path)}` leads nowhere: the machine file has no `{attribute}` there"
                findings.append(UNDEFINED.found(cause, label(node.lineno), remedy=did_you_mean(attribute, known)))
                break
    return findings


def _path(node: nodes.Node) -> list[str]:
    if isinstance(node, nodes.Getattr):
        inner = _path(node.node)
        return [*inner, node.attr] if inner else []
    return [node.name] if isinstance(node, nodes.Name) else []


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
