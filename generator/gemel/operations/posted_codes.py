"""What can be wrong with a file of blocks that an operation takes its body from."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = [
    "BEHIND_END",
    "CODES",
    "EMPTY",
    "FORBIDDEN",
    "LEFT_ON",
    "MACRO",
    "OFFSET",
    "PLANE",
    "TOOL",
    "UNIT",
    "UNSAFE_END",
    "UNSAFE_START",
    "WORD",
]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("body", code, Severity.ERROR, what, why, example, remedy)


TOOL = _code(
    "tool",
    "The file calls another tool than the operation, or changes the tool's offset.",
    "The path was made for another tool; it cuts at the wrong place.",
    "T0202 in the body of an operation with the tool of station T0101",
    "post the file for the operation's tool, or name that tool in the operation",
)
UNIT = _code(
    "unit",
    "The file states another unit than the machine's.",
    "Every coordinate is wrong by 25.4 times.",
    "G20 on a machine in millimetres",
    "post the file in the machine's unit",
)
PLANE = _code(
    "plane",
    "The file states a plane in which the operation's process does not work.",
    "Arcs, cycles and nose compensation work in another plane than the tool moves in.",
    "G17 in a turning operation",
    "post the file for the process, or give the operation the right one",
)
OFFSET = _code(
    "offset",
    "The file states the work offset of another spindle than the operation's.",
    "The tool cuts at the other spindle.",
    "G55 in an operation on the left spindle",
    "post the file for the operation's spindle",
)
UNSAFE_START = _code(
    "unsafe-start",
    "The file goes below the clearance before it has said where it stands along Z.",
    "gemel brings the tool to the clearance and promises nothing about Z: the way in may lead through the chuck.",
    "G0 X54. Z2.   # as the first move",
    "begin with a rapid along Z at or above the clearance, then go in along X",
)
UNSAFE_END = _code(
    "unsafe-end",
    "The file ends with X below the clearance, or at a place that its text does not tell.",
    "The next tool change or wait mark happens inside the zone.",
    "G1 X-1.6 F0.1   # as the last move",
    "end with a rapid along X to the clearance or further out",
)
LEFT_ON = _code(
    "left-on",
    "The file ends with nose compensation or a cycle still in force.",
    "The way out is bent by the compensation, or drills once more.",
    "G42 without G40",
    "cancel it before the last move",
)
FORBIDDEN = _code(
    "forbidden",
    "The file does something that is not the business of one operation.",
    "Waits, clamps, the other spindle, the slide, the catcher, the bar, shifts of the origin belong to the pair.",
    "M701 or M69 in a body",
    "take the word out of the file; the stage table and the hand-over operations do it",
)
MACRO = _code(
    "macro",
    "The file holds variables, jumps, a subprogram or a reference to block numbers.",
    "Block numbers change when the body is set into the pair, and what a variable holds at the control is not known.",
    "IF [#1 GT 5] GOTO 10",
    "post the blocks in full length",
)
WORD = _code(
    "word",
    "A word or block of the file is not as this machine's control takes it.",
    "The control stops there, or reads another number than was meant.",
    "X54   # a dimension without a decimal point",
    "post the file for this machine, or correct the word",
)
BEHIND_END = _code(
    "behind-end",
    "Blocks stand behind the end of the program, or a second program begins.",
    "A control would not run them; gemel cannot know whether they are meant.",
    "M30, then G0 X54.",
    "take them out of the file",
)
EMPTY = _code(
    "empty",
    "The file moves nothing.",
    "The job would be missing from the program without a word.",
    "a file with a wrapper and comments only",
    "name the file that holds the blocks",
)

CODES = (
    TOOL,
    UNIT,
    PLANE,
    OFFSET,
    UNSAFE_START,
    UNSAFE_END,
    LEFT_ON,
    FORBIDDEN,
    MACRO,
    WORD,
    BEHIND_END,
    EMPTY,
)
