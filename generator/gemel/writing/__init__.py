"""Writing: Jinja2 rendering, the words of a machine, and the origin of every word.

Takes `Part`, `PairPlan`, `Machine` and template texts (never a path); gives `WrittenPair`, or raises `Findings`.
May import pairs, operations, families, machines, documents, findings, numbers. Never reads a disk or a clock.
"""

from gemel.writing.explain import WordReason, explain_line
from gemel.writing.origins import Piece, TextMap, Word
from gemel.writing.stamp import body_of, stamp_of
from gemel.writing.writer import Writer, Written, WrittenPair, write_pair

__all__ = [
    "Piece",
    "TextMap",
    "Word",
    "WordReason",
    "Writer",
    "Written",
    "WrittenPair",
    "body_of",
    "explain_line",
    "stamp_of",
    "write_pair",
]
