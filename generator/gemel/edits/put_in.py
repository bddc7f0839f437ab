"""One value put into a YAML text where there was none, and nothing else changed.

For a value that the family takes from a catalogue: to change the catalogue would change every family that uses it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ruamel.yaml import YAML
from ruamel.yaml.nodes import MappingNode

from gemel.documents import compose
from gemel.edits import codes
from gemel.edits.splice import values_of
from gemel.findings import Findings, Label, Span

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ruamel.yaml.nodes import Node

__all__ = ["put_in"]


def put_in(text: str, file: str, path: Sequence[str], new: str) -> str:
    """The YAML text with `new` at `path`, in the style of the mapping that it goes into.

    Args:
        text: the document.
        file: its name, for findings.
        path: keys from the top; mappings that are missing at its end are put in too.
        new: the value as it is to be spelled.

    Raises:
        Findings: `edit:not-one-value` where something stands there or no mapping takes it, `edit:shared-value`,
            `edit:other-values`.
    """
    label = Label(Span(file), ".".join(path))
    node: Node = YAML(typ="rt", pure=True).compose(text)
    for depth, key in enumerate(path):
        if not isinstance(node, MappingNode) or node.anchor is not None:
            cause = f"`{'.'.join(path[:depth])}` is no mapping of its own that a value could be put into"
            raise Findings([codes.NOT_SCALAR.found(cause, label)])
        following = next((value for name, value in node.value if name.value == key), None)
        if following is None:
            after = _with_key(text, node, key, _nested(path[depth + 1 :], new))
            _require_one_more(text, after, path, new, label)
            return after
        node = following
    raise Findings([codes.NOT_SCALAR.found(f"`{'.'.join(path)}` stands there already", label)])


def _nested(path: Sequence[str], new: str) -> str:
    for key in reversed(path):
        new = f"{{{key}: {new}}}"
    return new


def _with_key(text: str, node: MappingNode, key: str, value: str) -> str:
    if node.flow_style:
        end = node.end_mark.index - 1
        kept = len(text[:end].rstrip())
        comma = ", " if node.value else ""
        return f"{text[:kept]}{comma}{key}: {value}{text[kept:]}"
    first = node.value[0][0].start_mark
    return f"{text[: first.index]}{key}: {value}\n{' ' * first.column}{text[first.index :]}"


def _require_one_more(before: str, after: str, path: Sequence[str], new: str, label: Label) -> None:
    """That the second text has one value more, the wanted one, and all others as they were.

    Raises:
        Findings: `edit:other-values`.
    """
    try:
        old, now = (values_of(compose(text, label.span.source).value) for text in (before, after))
        [wanted] = compose(f"- {new}\n", label.span.source).value
    except (Findings, ValueError) as error:
        raise Findings([codes.MISSPLICED.found(f"with `{new}` the file would not be read any more", label)]) from error
    added = {place: now[place] for place in now.keys() - old.keys()}
    if added != {tuple(path): (type(wanted), wanted)} or any(now.get(place) != value for place, value in old.items()):
        raise Findings([codes.MISSPLICED.found(f"`{new}` cannot be put there without changing more", label)])
