"""What is no fault of a family, and still worth a look."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gemel.documents import Strict, label_of, place_of
from gemel.families import codes
from gemel.families.expressions import Fault, parsed
from gemel.families.formula import Written, WrittenThread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.schema import FamilyFile
    from gemel.findings import Finding

__all__ = ["unused_values"]


def unused_values(form: FamilyFile) -> list[Finding]:
    """A warning for each value, of the family or of a member, that no field and no other value names."""
    used = set(_named(form))
    names = dict.fromkeys(form.values)
    for row in form.members.values():
        names |= dict.fromkeys(name for name in row if name != "program")
    found = []
    for name in names:
        place = place_of(name)
        if name not in used:
            labels = (label_of(place),) if place else ()
            found.append(codes.UNUSED.found(f"nothing uses the value `{name}`", *labels))
    return found


def _named(value: Any) -> Iterator[str]:
    """Every name that an expression, or a field for a thread, says anywhere in a model."""
    if isinstance(value, Written):
        if value.value is None:
            try:
                yield from parsed(value.text).names
            except Fault:
                return  # it is named as a fault
    elif isinstance(value, WrittenThread):
        yield value.text
    elif isinstance(value, Strict):
        for inner in value.__dict__.values():
            yield from _named(inner)
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _named(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _named(inner)
