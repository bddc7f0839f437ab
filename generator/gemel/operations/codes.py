"""The faults of a toolpath: what a process cannot make from what the family asks."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES", "NO_DATA", "TOOL_FIT", "UNREACHABLE"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("operation", code, Severity.ERROR, what, why, example, remedy)


NO_DATA = _code(
    "no-cutting-data",
    "An operation needs a speed, feed, depth or tool size that neither it, nor its tool, nor the material gives.",
    "A guessed feed breaks the tool or leaves a part that nobody can explain.",
    "rough: {process: rough_turn, tool: turn-rough-80}   # the material knows no turning",
    "give it in `cutting:` of the operation, in the tool catalogue or in the material catalogue",
)
TOOL_FIT = _code(
    "tool-does-not-fit",
    "The tool's shape cannot make the feature: wider than the groove, a corner larger than the radius, too short.",
    "The tool cuts where the drawing has material, or rubs with its shank.",
    "a 3 mm groove tool in a 2 mm groove",
    "choose another tool, or change the feature",
)
UNREACHABLE = _code(
    "impossible",
    "The sizes contradict each other: nothing is left to cut, or less than nothing.",
    "Such a path runs backwards through the part.",
    "a finished diameter larger than the bar",
    "mend the sizes named",
)

CODES = (NO_DATA, TOOL_FIT, UNREACHABLE)
