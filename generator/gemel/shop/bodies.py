"""Files of blocks from elsewhere that a family's operations take their bodies from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.documents import label_of, place_of
from gemel.families.part import Body
from gemel.findings import Explanation, Findings, Label, Severity, Span
from gemel.shop.codes import NO_FILE, UNREADABLE
from gemel.shop.layout import LARGEST_BYTES

if TYPE_CHECKING:
    from gemel.documents import Document
    from gemel.findings import Finding
    from gemel.shop.layout import Shop

__all__ = ["OUTSIDE", "bodies_of"]

OUTSIDE = Explanation(
    "shop",
    "body-outside",
    Severity.ERROR,
    "An operation takes its body from a file outside the shop.",
    "The shop's history would not hold what the program was made from, and another machine would not have the file.",
    "body: ../../elsewhere/rough.nc",
    "copy the file into the shop, beside the family: `families/posted/`",
)


def bodies_of(shop: Shop, document: Document) -> dict[str, Body]:
    """The bodies that a family's operations name, by the name they use; read whole, as bytes.

    Raises:
        Findings: `shop:body-outside`, `shop:no-file`, `shop:unreadable`, all of the family in one go.
        OSError: the system does not let a file be read.
    """
    found: dict[str, Body] = {}
    findings: list[Finding] = []
    for name in _names(document):
        try:
            found[name] = _read(shop, document.file, name)
        except Findings as error:
            findings += error.findings
    if findings:
        raise Findings(findings)
    return found


def _names(document: Document) -> list[str]:
    """Every `body` of an operation; what has another form is the schema's to complain about."""
    operations = document.value.get("operations") if isinstance(document.value, dict) else None
    rows = operations.values() if isinstance(operations, dict) else ()
    named = [row.get("body") for row in rows if isinstance(row, dict)]
    return [name for name in named if isinstance(name, str) and name.strip()]


def _read(shop: Shop, family_file: str, name: str) -> Body:
    place = place_of(name)
    label = label_of(place) if place else Label(Span(family_file), name)
    root = shop.root.resolve()
    path = (root / family_file).parent / name
    # Links are followed before the question, so that none leads out of the shop.
    real = path.resolve()
    if not real.is_relative_to(root):
        raise Findings([OUTSIDE.found(f"`{name}` is outside the shop", label)])
    shown = real.relative_to(root).as_posix()
    if not real.is_file():
        raise Findings([NO_FILE.found(f"{shown} is not there", label)])
    if real.stat().st_size > LARGEST_BYTES:
        raise Findings([UNREADABLE.found(f"{shown} has more than {LARGEST_BYTES:,} bytes", label)])
    return Body(shown, real.read_bytes())
