"""One value of a YAML text replaced by another, and not a character more.

The characters of the one scalar are cut out and the new ones set in; then both texts are composed and compared:
exactly that path must have changed, to exactly the wanted value, else nothing is given back but findings.
A document is never dumped: a round trip without any change already alters spacing, long lines and some numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ruamel.yaml import YAML
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from gemel.documents import compose, place_of
from gemel.edits import codes
from gemel.findings import Findings, Label, Span

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.findings import Explanation
    from gemel.numbers import Source

__all__ = ["splice", "values_of"]

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class _Place:
    """A scalar of the document, how one comes to it, and how often nodes on that way are used."""

    node: ScalarNode
    path: Path
    shared: bool


def splice(text: str, at: Source, new: str) -> str:
    """The YAML text with the scalar at `at` spelled `new`.

    Args:
        text: the document, its line ends a single line feed.
        at: the scalar: file, line (from 1), column (from 0), and its text as it was when it was looked at.
        new: the new spelling of the value, without quotes; quotes that stand there stay.

    Raises:
        Findings: `edit:value-gone`, `edit:not-one-value`, `edit:shared-value`, `edit:empty-value`,
            `edit:other-values`.
    """
    label = Label(Span(at.file, at.line, at.column, at.column + max(len(at.text), 1)), at.text)
    place = _find(text, at, label)
    start, end = place.node.start_mark.index, place.node.end_mark.index
    old = text[start:end].rstrip()
    quote = old[0] if place.node.style in ("'", '"') else ""
    spliced = text[:start] + quote + new + quote + text[start + len(old) :]
    _require_one_change(text, spliced, place, new, label)
    return spliced


def _find(text: str, at: Source, label: Label) -> _Place:
    """The one scalar at that place that may be changed."""
    root = YAML(typ="rt", pure=True).compose(text)
    at_place = [p for p in _scalars(root) if (p.node.start_mark.line + 1, p.node.start_mark.column) == at[2:4]]
    if not at_place:
        raise _refused(codes.LOST, f"no value stands at line {at.line}, column {at.column + 1}", label)
    place = at_place[0]
    if len(at_place) > 1 or place.shared:
        raise _refused(codes.ALIASED, f"`{at.name}` is shared with other places of the document", label)
    if not place.node.value and place.node.style is None:
        raise _refused(codes.EMPTY, f"`{at.name}` is empty", label)
    if place.node.style in ("|", ">") or place.node.start_mark.line != place.node.end_mark.line:
        raise _refused(codes.NOT_SCALAR, f"`{at.name}` has several lines", label)
    if place.node.value != at.text:
        cause = f"`{at.name}` was {at.text} when it was looked at, and is {place.node.value} now"
        raise _refused(codes.LOST, cause, label)
    return place


def _refused(code: Explanation, cause: str, label: Label) -> Findings:
    return Findings([code.found(cause, label)])


def _scalars(root: Node) -> Iterator[_Place]:
    """Every scalar with every way to it; `shared` when a node on the way has an anchor or a merge beside it."""
    stack: list[tuple[Node, Path, bool]] = [(root, (), False)]
    while stack:
        node, path, shared = stack.pop()
        shared = shared or node.anchor is not None
        if isinstance(node, ScalarNode):
            yield _Place(node, path, shared)
        elif isinstance(node, SequenceNode):
            stack.extend((item, (*path, i), shared) for i, item in enumerate(node.value))
        elif isinstance(node, MappingNode):
            merged = shared or any(key.value == "<<" for key, _ in node.value)
            stack.extend((value, (*path, str(key.value)), merged) for key, value in node.value)


def _require_one_change(before: str, after: str, place: _Place, new: str, label: Label) -> None:
    """That the two texts differ in the one value, which now reads `new`, and in nothing else.

    Raises:
        Findings: `edit:other-values`.
    """
    quoted = new if place.node.style is None else repr(new)
    try:
        old, now = (values_of(compose(text, label.span.source).value) for text in (before, after))
        [wanted] = compose(f"- {quoted}\n", label.span.source).value
    except (Findings, ValueError) as error:
        raise _refused(codes.MISSPLICED, f"with `{new}` the file would not be read any more", label) from error
    changed = {path for path in old.keys() | now.keys() if old.get(path) != now.get(path)}
    written = place_of(wanted)
    one_value = written is not None and written.text == new
    if not one_value or changed != {place.path} or now[place.path] != (type(wanted), wanted):
        raise _refused(codes.MISSPLICED, f"`{new}` would not change this value, or not only this one", label)


def values_of(value: Any, path: Path = ()) -> dict[Path, tuple[type, Any]]:
    """Every scalar of a composed document by its path, with its kind: `1` and `1.0` are not the same spelling."""
    if isinstance(value, dict):
        return {k: v for key, item in value.items() for k, v in values_of(item, (*path, str(key))).items()}
    if isinstance(value, list):
        return {k: v for i, item in enumerate(value) for k, v in values_of(item, (*path, i)).items()}
    return {path: (type(value), value)}
