"""Proving: what can go wrong with a pair, from its texts and the machine file alone.

Takes the bytes of every channel's program and a `Machine`; gives a `Verdict`. May import machines, reading, findings
and numbers; never families, operations, pairs or writing: nothing is proved from the values that wrote it.
"""

from gemel.proving.prove import prove
from gemel.proving.report import as_json, as_object
from gemel.proving.table import TABLE, explained, manual
from gemel.proving.text import as_rows, as_text, headline, in_brief
from gemel.proving.verdict import Fault, Verdict

__all__ = [
    "TABLE",
    "Fault",
    "Verdict",
    "as_json",
    "as_object",
    "as_rows",
    "as_text",
    "explained",
    "headline",
    "in_brief",
    "manual",
    "prove",
]
