"""How long a family of 300 lines takes from text to checked model, against composing the same text."""

from __future__ import annotations

from itertools import count

from benchmarks.side_by_side import HEAD, Figure, compare, work_s
from ruamel.yaml import YAML

from gemel.documents import compose, validate
from gemel.families.schema import FamilyFile

_HEAD = """\
family: long-pin
title: Pin with many flats
drawing: {number: KB-9000, revision: A}
machine: twin-turnmill
material: aluminium-6082
unit: mm
stock: {shape: round, size: 20, bar: 3000, remnant: 120}
values:
  length: 30
  across: {size: 15, tolerance: h9}
  body: {size: 18, tolerance: h8}
  chamfer: 0.5
  spacing: length / 3
"""
_MEMBER = '  "{n}": {{length: {n}.5, chamfer: 0.{d}, program: {n}}}'
_FEATURE = "  flats-{n}: {{kind: square, across: across, from: spacing * {d}, to: length - {d}}}"
_OPERATION = """\
  # Flats number {n}, with the cutter that stands in the head for every family.
  mill-flats-{n}:
    feature: flats-{n}
    process: mill_flats
    channel: upper
    spindle: left
    tool: end-mill-12
    cutting:
      surface_speed: 180
      tooth_feed: 0.05{d}
      depth: 2.5
      width: 8"""
_STAGE = "  - {{upper: [mill-flats-{n}]}}"
_LINES, _OPERATIONS = 300, 18


def text() -> str:
    """A family of 300 lines: members, features, operations and stages as a family has them that grew for years."""
    head = _HEAD.splitlines()
    each = sum(form.count("\n") + 1 for form in (_FEATURE, _OPERATION, _STAGE))
    members = _LINES - len(head) - 4 - each * _OPERATIONS
    rows = [*head, "members:", *(_MEMBER.format(n=n, d=n % 9 + 1) for n in range(1, members + 1))]
    for name, form in (("features", _FEATURE), ("operations", _OPERATION), ("stages", _STAGE)):
        rows += [f"{name}:", *(form.format(n=n, d=n % 9 + 1) for n in range(1, _OPERATIONS + 1))]
    return "\n".join(rows) + "\n"


def measure() -> Figure:
    """Composing, walking, checking against the schema; and composing alone."""
    family = text()

    goes = count()

    def ours() -> FamilyFile:
        # A text that was read before is remembered: each go has one of its own.
        return validate(FamilyFile, compose(f"{family}# {next(goes)}\n", "families/long-pin.yaml"))

    return compare(
        (f"load {family.count(chr(10))} lines of family", "ruamel's compose of the same text"),
        ours,
        lambda: YAML(typ="rt", pure=True).compose(family),
        goal=1.3,
        clock=work_s,
    )


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
