"""Codes of the family `words` about the spelling of blocks and the values that a move needs."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["RULES"]


def _rule(code: str, what: str, why: str, *, example: str, remedy: str) -> Explanation:
    return Explanation("words", code, Severity.ERROR, what, why, example, remedy)


RULES = (
    _rule(
        "decimal-point",
        "A dimension that is not zero stands without a decimal point.",
        "The control takes the number in its least increment: X20 is 0.02 mm.",
        example="G00 X20",
        remedy="write the decimal point: X20.",
    ),
    _rule(
        "number-format",
        "A number is not written as the control reads it: too many digits, or a point where none may stand.",
        "The control stops with an alarm, or drops digits without saying so.",
        example="S1200.5",
        remedy="write the number as the machine file says for this letter",
    ),
    _rule(
        "no-feed",
        "A feed move comes before any feed, or after the feed mode has changed without a new feed.",
        "The axis moves at whatever feed is left over: 0.2 mm a turn becomes 0.2 mm a minute, or the other way round.",
        example="G99\nG01 X20.      (no F since the mode changed)",
        remedy="give the feed mode and F in or before this block",
    ),
    _rule(
        "no-speed",
        "A spindle or a tool drive is started before any speed.",
        "It starts at the speed that somebody else left over, or not at all.",
        example="M03      (no S before)",
        remedy="give S in or before the block that starts it",
    ),
    _rule(
        "css-no-clamp",
        "Constant surface speed is switched on without a speed clamp.",
        "Towards the centre the spindle runs up to its top speed, whatever the clamp and the bar can stand.",
        example="G96 S180 M03      (no G50 S before)",
        remedy="clamp the speed before constant surface speed is switched on",
    ),
    _rule(
        "modal-group",
        "Two different codes of one group stand in one block.",
        "Only one of them acts, and which one depends on the control.",
        example="G00 G01 X20.",
        remedy="keep one of them, or use two blocks",
    ),
    _rule(
        "word-twice",
        "A word stands twice in one block.",
        "Only one of them acts, and which one depends on the control.",
        example="G01 X20. X21.",
        remedy="keep one of them",
    ),
    _rule(
        "absolute-and-incremental",
        "A block gives one axis both as a coordinate and as a distance.",
        "Only one of them acts, and which one depends on the control.",
        example="G01 X20. U-1.",
        remedy="keep one of them",
    ),
    _rule(
        "arc-radius",
        "The ends of an arc disagree about its radius, or no centre exists.",
        "The control stops with an alarm, or steps sideways at the end of the arc.",
        example="G02 X20. Z-5. R1.      (the ends lie further apart than 2 mm)",
        remedy="correct the end point or the centre",
    ),
    _rule(
        "character",
        "A character stands in the program that the control does not take.",
        "The control refuses the file, or reads another character in its place.",
        example="G01 X20. ~",
        remedy="take the character out, or put it into a comment that may hold it",
    ),
    _rule(
        "block-length",
        "A block is longer than the control reads.",
        "The rest of the block is cut off without a word, or the file is refused.",
        example="(a line of more than 80 characters)",
        remedy="use two blocks",
    ),
    _rule(
        "comment",
        "A comment is not closed.",
        "The rest of the block, or of the program, is taken for a comment.",
        example="G01 X20. (turn body",
        remedy="close the comment with `)`",
    ),
    _rule(
        "unit",
        "The unit of lengths is not that of the machine file.",
        "20 becomes 508: every length is wrong by 25.4 times.",
        example="G20      (the machine file says mm)",
        remedy="name the unit that the machine file names",
    ),
    _rule(
        "tool-unknown",
        "A tool is called that the machine file does not list.",
        "Nobody can say whether it turns, drills or cuts off; no rule about it can be checked.",
        example="T9999",
        remedy="correct the T word, or add the tool to the machine file",
    ),
)
