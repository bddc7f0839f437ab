"""YAML text to plain values whose scalars know their place.

The document is composed (ruamel gives every node its mark), never loaded: no tag is carried out,
no object is built. All faults of a document are collected; parsing errors end it at the first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from gemel.documents import codes
from gemel.documents.placed import PlacedFloat, PlacedInt, PlacedText
from gemel.findings import Finding, Findings, Label, Span
from gemel.numbers import Source

__all__ = ["Document", "compose"]

LARGEST_BYTES = 1_000_000
MOST_VALUES = 100_000
_REMEMBERED_BYTES = 50_000
_AMBIGUOUS = frozenset({"yes", "no", "on", "off"})
_PLAIN_TAGS = frozenset(
    f"tag:yaml.org,2002:{kind}" for kind in ("str", "int", "float", "bool", "null", "map", "seq", "timestamp", "value")
)
_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+|[0-9]+)(?:[eE][-+]?[0-9]+)?\Z")


@dataclass(frozen=True, slots=True)
class Document:
    """A composed document.

    Attributes:
        file: its name, relative to the shop.
        value: plain dicts and lists with placed scalars.
        places: the place of every node by its path; keys of a mapping stand under `(*path, key, "key")`.
    """

    file: str
    value: Any
    places: dict[tuple[str | int, ...], Span] = field(default_factory=dict)


def compose(text: str, file: str) -> Document:
    """The values of a YAML text.

    Raises:
        Findings: `document:` faults: not YAML, too large, duplicate keys, aliases that explode, ambiguous words.
    """
    if len(text) > LARGEST_BYTES:
        cause = f"the file holds {len(text):,} characters; at most {LARGEST_BYTES:,} are read"
        raise Findings([codes.TOO_LARGE.found(cause, Label(Span(file)))])
    node = _known(text, file) if len(text) <= _REMEMBERED_BYTES else _parse(text, file)
    walk = _Walk(file)
    value = walk.value(node, (), "")
    if walk.findings:
        raise Findings(walk.findings)
    return Document(file, value, walk.places)


@lru_cache(maxsize=12)
def _known(text: str, file: str) -> Node:
    """The nodes of a text; who looks for the value behind an edit asks for the same few texts again and again."""
    return _parse(text, file)


def _parse(text: str, file: str) -> Node:
    tab = re.search(r"^ *\t", text, re.MULTILINE)
    if tab:
        line = text.count("\n", 0, tab.start()) + 1
        label = Label(Span(file, line, len(tab.group()) - 1, len(tab.group())), "a tab")
        raise Findings([codes.NOT_YAML.found("a tab stands in the indentation", label, remedy="indent with spaces")])
    try:
        # The round-trip loader in pure Python is the one that gives every node its marks.
        node = YAML(typ="rt", pure=True).compose(text)
    except MarkedYAMLError as error:
        raise Findings([_syntax(error, file)]) from None
    except (YAMLError, RecursionError, ValueError, AttributeError) as error:
        cause = f"this is not YAML: {str(error).splitlines()[0] if str(error) else type(error).__name__}"
        raise Findings([codes.NOT_YAML.found(cause, Label(Span(file)))]) from None
    if not isinstance(node, Node):
        raise Findings([codes.NOT_YAML.found("the file is empty", Label(Span(file)))])
    return node


def _syntax(error: MarkedYAMLError, file: str) -> Finding:
    mark = error.problem_mark or error.context_mark
    span = Span(file, mark.line + 1, mark.column, mark.column + 1) if mark else Span(file)
    problem = " ".join(str(part) for part in (error.context, error.problem) if part).strip()
    return codes.NOT_YAML.found(f"this is not YAML: {problem}", Label(span))


class _Walk:
    """One walk over the nodes of one document; collects places and faults."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.places: dict[tuple[str | int, ...], Span] = {}
        self.findings: list[Finding] = []
        self._count = 0
        self._open: set[int] = set()

    def value(self, node: Node, path: tuple[str | int, ...], name: str) -> Any:
        self._count += 1
        if self._count > MOST_VALUES or id(node) in self._open or len(path) > 40:
            cause = "aliases contain themselves" if id(node) in self._open else "the document grows without end"
            raise Findings([codes.EXPANDS.found(cause, self._label(node))])
        self.places[path] = self._span(node)
        if node.tag is not None and str(node.tag) not in _PLAIN_TAGS:
            self.findings.append(codes.NOT_YAML.found(f"the tag `{node.tag}` is not taken", self._label(node)))
            return None
        if isinstance(node, ScalarNode):
            return self._scalar(node, name)
        self._open.add(id(node))
        try:
            if isinstance(node, MappingNode):
                return self._mapping(node, path, name)
            assert isinstance(node, SequenceNode)
            return [self.value(item, (*path, i), f"{name}[{i}]") for i, item in enumerate(node.value)]
        finally:
            self._open.discard(id(node))

    def _mapping(self, node: MappingNode, path: tuple[str | int, ...], name: str) -> dict[PlacedText, Any]:
        result: dict[PlacedText, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, ScalarNode) or key_node.value == "<<":
                cause = "a key is a single text; merges (`<<`) are not taken"
                self.findings.append(codes.NOT_YAML.found(cause, self._label(key_node)))
                continue
            key = PlacedText(key_node.value, self._place(key_node, f"{name}.{key_node.value}".lstrip(".")))
            if key in result:
                cause = f"the key `{key}` stands twice in one mapping"
                self.findings.append(codes.DUPLICATE_KEY.found(cause, self._label(key_node)))
            self.places[(*path, key, "key")] = self._span(key_node)
            result[key] = self.value(value_node, (*path, key), f"{name}.{key}".lstrip("."))
        return result

    def _scalar(self, node: ScalarNode, name: str) -> Any:
        text = node.value
        place = self._place(node, name)
        if node.style is not None:
            return PlacedText(text, place)
        if text in ("", "~", "null"):
            return None
        if text in ("true", "false"):
            return text == "true"
        if _INT.match(text):
            return PlacedInt(int(text), place) if len(text) < 20 else PlacedFloat(float(text), place)
        if _FLOAT.match(text):
            return PlacedFloat(float(text), place)
        if text.lower() in _AMBIGUOUS:
            self.findings.append(codes.WORD.found(f"`{text}` may be a text or a truth", self._label(node)))
        return PlacedText(text, place)

    def _place(self, node: ScalarNode, name: str) -> Source:
        mark = node.start_mark
        return Source(name, self.file, mark.line + 1, mark.column, node.value)

    def _span(self, node: Node) -> Span:
        start, end = node.start_mark, node.end_mark
        stop = end.column if end.line == start.line else start.column + 1
        return Span(self.file, start.line + 1, start.column, max(stop, start.column + 1))

    def _label(self, node: Node) -> Label:
        return Label(self._span(node), node.value if isinstance(node, ScalarNode) else "")
