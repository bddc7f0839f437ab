"""The family `words`: how a program must be written, as reading has remarked it, and tools called inside a zone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Explanation, Severity
from gemel.proving.rule import Place, Rule
from gemel.proving.rules.words_flow import RULES as FLOW_RULES
from gemel.proving.rules.words_values import RULES as VALUE_RULES
from gemel.proving.sightings import Sighting

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.proving.model import ChannelModel

__all__ = ["RULES", "TOOL_CHANGE", "explanation_of", "tool_changes"]

TOOL_CHANGE = Rule(
    "words",
    "tool-change-inside",
    Severity.ERROR,
    what="A channel inside a zone calls a tool of another station.",
    why="The turret turns, or the head changes its tool, at the workpiece.",
    example="G00 X30.\nT0202",
    remedy="retract to the clearance, or home, before the tool is called",
    cause="{a} calls another station while its channel is inside a zone",
)

RULES: tuple[Explanation, ...] = (*VALUE_RULES, *FLOW_RULES, TOOL_CHANGE)

_BY_CODE = {rule.code: rule for rule in RULES}


def explanation_of(code: str) -> Explanation:
    """The entry of a remark's code; one that this table does not know counts as not understood."""
    return _BY_CODE.get(code) or _BY_CODE["not-understood"]


def tool_changes(models: list[ChannelModel]) -> Iterator[Sighting]:
    """Calls of another station inside a zone."""
    for channel, model in enumerate(models):
        for index in model.tool_changes:
            yield Sighting(TOOL_CHANGE, (Place(channel, index),))
