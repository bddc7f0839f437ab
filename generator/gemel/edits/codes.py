"""The faults of changing a family's YAML and of the records of what was decided."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["ALIASED", "CODES", "EMPTY", "LOST", "MISSPLICED", "NOT_SCALAR", "STRANDED"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("edit", code, Severity.ERROR, what, why, example, remedy)


LOST = _code(
    "value-gone",
    "The value that an edit was traced to no longer stands where it stood in the family's YAML.",
    "To write into the place all the same would change another number than the one that was looked at.",
    "families/port-block.yaml, line 18, has been changed since the edit was traced",
    "ask for the edits again (`gemel edits`), then decide",
)
NOT_SCALAR = _code(
    "not-one-value",
    "The place in the YAML holds a list, a mapping or a text of several lines, not one value.",
    "Only one value at a time is changed, so that the difference in git shows what was decided and no more.",
    "cutting: {feed: 0.2, depth: 2}",
    "change the family by hand, and write it",
)
ALIASED = _code(
    "shared-value",
    "The value carries an anchor (`&name`), is used by an alias (`*name`) or comes in by a merge (`<<`).",
    "To change it would also change other places of the family that nobody has looked at.",
    "feed: &slow 0.1",
    "decide whether all places should move: change the anchored value by hand, or write the value out at each place",
)
EMPTY = _code(
    "empty-value",
    "The place in the YAML is empty.",
    "gemel cannot know whether a value was left out on purpose.",
    "peck:",
    "write a value there by hand first",
)
MISSPLICED = _code(
    "other-values",
    "Changing the one value would have changed another value too, or not given the value that was wanted.",
    "A family in which another number moved unseen makes wrong parts later.",
    'feed: 0.2 # becomes "0,15", which is a text',
    "change the family by hand; nothing was written",
)
STRANDED = _code(
    "stranded",
    "A kept edit does not find its place in the regenerated program, or the revision changed the same word.",
    "A hand edit set in at a guess may end in the sibling block: another depth, another tool, another wait.",
    "kept: feed F0.2 -> F0.15 in face-front; the new revision has F0.18 there",
    "look at both sides and decide: `gemel decide` with --keep (with the new place), --drop or --into-family",
)

CODES = (LOST, NOT_SCALAR, ALIASED, EMPTY, MISSPLICED, STRANDED)
"""All codes of this layer that are errors, for `gemel explain` and the page of findings."""
