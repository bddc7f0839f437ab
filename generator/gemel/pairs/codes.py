"""The faults of pairing."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES", "NO_TOOLPATH", "SEQUENCE_FULL"]

SEQUENCE_FULL = Explanation(
    "pairs",
    "sequence-full",
    Severity.ERROR,
    "A stage holds more operations than there are sequence numbers before the next stage begins.",
    "Sequence numbers tell the stage; a restart by number would land in the wrong one.",
    "sequence: {stage: 10, operation: 10}  # and two operations in one stage",
    "raise `sequence.stage` in the machine file, or split the stage",
)
NO_TOOLPATH = Explanation(
    "pairs",
    "no-toolpath",
    Severity.ERROR,
    "An operation stands in the stage table and nothing says what it does.",
    "The job would be missing from the program without a word.",
    "stages: [{upper: [mill-flats]}]  # without a toolpath for mill-flats",
    "this is a fault of gemel: report it with the family",
)

CODES = (SEQUENCE_FULL, NO_TOOLPATH)
