"""JSON Schemas of the files that people write, for editors."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from gemel.edits.records import EditsFile
from gemel.families.catalogue import Materials, Tools
from gemel.families.schema import FamilyFile
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.machines.schema import Machine
from gemel.shop import codes

if TYPE_CHECKING:
    from pydantic import BaseModel

__all__ = ["KINDS", "schema"]

KINDS: dict[str, type[BaseModel]] = {
    "family": FamilyFile,
    "machine": Machine,
    "tools": Tools,
    "materials": Materials,
    "edits": EditsFile,
}


def schema(kind: str) -> str:
    """The JSON Schema of a kind of file, as text that ends in a line feed; the same bytes each time.

    Raises:
        Findings: `shop:no-schema`.
    """
    if kind not in KINDS:
        cause = f"there is no schema for `{kind}`"
        label = Label(Span("gemel schema"), kind)
        raise Findings([codes.NO_SCHEMA.found(cause, label, remedy=did_you_mean(kind, KINDS))])
    value = {"$schema": "https://json-schema.org/draft/2020-12/schema"} | KINDS[kind].model_json_schema()
    return json.dumps(value, indent=1, ensure_ascii=False) + "\n"
