"""The faults of a machine file beyond its form: what contradicts itself, or no program could be written by."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES", "CONTRADICTION", "FORM", "MISSING", "RANGE"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("machine", code, Severity.ERROR, what, why, example, remedy)


FORM = _code(
    "form",
    "A word or a form of the machine file is none: a code without letter and number, a form without its braces.",
    "Every program would hold a word that the control does not read.",
    'waits: {write: "M701"}   # no {number}',
    "write it as the control wants it, the changing part in braces",
)
RANGE = _code(
    "range",
    "Two numbers are the wrong way round, or one is zero that counts or limits something.",
    "A limit that no number keeps would refuse every program, or none.",
    "travel: {x: [420, -60]}",
    "give the smaller one first; steps and speeds are over 0",
)
MISSING = _code(
    "missing",
    "Something is named that the machine file does not have: a spindle without codes, an axis without travel.",
    "The first program that needs it could not be written.",
    "start: {offset: centre}",
    "add it, or correct the name",
)
CONTRADICTION = _code(
    "contradiction",
    "Two entries that must differ are the same: file suffixes, channel numbers, spindles of one side.",
    "The second program would overwrite the first, or a wait would name the wrong channel.",
    "both channels with the suffix .nc",
    "give each its own",
)
CODES = (FORM, RANGE, MISSING, CONTRADICTION)
