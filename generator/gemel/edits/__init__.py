"""Edits: what a person changed in a program at the control, named, traced, decided, replayed.

Takes two texts of one program, and where there is one the baseline's map of origins; gives a `Comparison` of `Edit`s,
proposals for the family's YAML, and kept edits set into a new baseline. May import proving, timing, writing and what
is below; touches neither disk nor git, and prints nothing.
"""

from gemel.edits.model import Anchor, Comparison, Decision, Edit, KeptEdit, Kind, Stranded, Verb, Where

__all__ = ["Anchor", "Comparison", "Decision", "Edit", "KeptEdit", "Kind", "Stranded", "Verb", "Where"]
