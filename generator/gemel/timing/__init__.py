"""Timing: how long every block of a pair takes, what the channels wait for, and what a part costs.

Takes the texts of all channels and a `Machine`; gives a `Timeline`. May import proving, machines, reading, findings and
numbers; never families, operations, pairs or writing: times are read from the text that runs. Pure: the same texts and
machine give the same timeline.
"""

from gemel.timing.model import (
    Arrival,
    Bar,
    BlockTime,
    CriticalPiece,
    Lane,
    Load,
    Meeting,
    Spent,
    SpindleLane,
    SpindleSpan,
    Stuck,
    Timeline,
    Unknown,
)
from gemel.timing.pair import time_pair, time_texts
from gemel.timing.report import as_json, as_object
from gemel.timing.text import headline, overview_row

__all__ = [
    "Arrival",
    "Bar",
    "BlockTime",
    "CriticalPiece",
    "Lane",
    "Load",
    "Meeting",
    "Spent",
    "SpindleLane",
    "SpindleSpan",
    "Stuck",
    "Timeline",
    "Unknown",
    "as_json",
    "as_object",
    "headline",
    "overview_row",
    "time_pair",
    "time_texts",
]
