"""Documents: YAML text to values that know their place, and from there to a schema's model.

Takes text, never a path; gives `Document` and models, or raises `Findings` with all faults.
May import findings and numbers. Never touches a disk.
"""

from gemel.documents.compose import Document, compose
from gemel.documents.placed import PlacedFloat, PlacedInt, PlacedText, label_of, place_of, span_of
from gemel.documents.validate import Strict, validate

__all__ = [
    "Document",
    "PlacedFloat",
    "PlacedInt",
    "PlacedText",
    "Strict",
    "compose",
    "label_of",
    "place_of",
    "span_of",
    "validate",
]
