"""The faults of templates and of what they wrote."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = [
    "BLANK_LINE",
    "BLOCK_LENGTH",
    "CHARACTER",
    "CODES",
    "FAULT",
    "FUSED",
    "MAP_DROPPED",
    "NOT_FINITE",
    "NO_CODE",
    "NO_MACRO",
    "NO_ORIGIN",
    "NO_TEMPLATE",
    "PRIVATE",
    "SEQUENCE",
    "SYNTAX",
    "UNDEFINED",
    "UNFINISHED",
    "VANISHED",
]


def _error(rule: str, code: str, what: str, why: str, *more: str) -> Explanation:
    example, remedy = more
    return Explanation(rule, code, Severity.ERROR, what, why, example, remedy)


SYNTAX = _error(
    "template",
    "syntax",
    "A template cannot be read.",
    "Nothing can be written with it.",
    "{{ codes.home ",
    "correct the template at this line",
)
UNDEFINED = _error(
    "template",
    "undefined",
    "A template uses a name that nothing bears.",
    "A misspelt name would leave a word out of a block.",
    "{{ codes.hoem }}",
    "correct the name",
)
FAULT = _error(
    "template",
    "fault",
    "A template does something that fails or that templates may not do.",
    "Nothing is written from a template that stops half way.",
    "{{ step.x / none }}",
    "keep arithmetic out of templates; correct this line",
)
NO_TEMPLATE = _error(
    "template",
    "missing",
    "The machine's folder lacks a template.",
    "The wording of its programs is not known.",
    "templates/twin-turnmill/ without steps.nc.j2",
    "add the template",
)
NO_MACRO = _error(
    "template",
    "no-macro",
    "`steps.nc.j2` has no macro for a kind of step.",
    "The step would be missing from the program without a word.",
    "{% macro rapid(step) %} is not there",
    "write the macro; the other machines' templates show one",
)
FUSED = _error(
    "template",
    "fused-blocks",
    "A line of a template ends in a block tag behind text: the tag takes the line end with it.",
    "Two blocks become one line, and the control runs both at once or refuses them.",
    "{{ codes.home }}{% if more %} V0{% endif %}",
    "end the line with text or a value, put the tag on a line of its own, or write `+%}`",
)
UNFINISHED = _error(
    "template",
    "unfinished-line",
    "A macro's text does not end with a line end.",
    "The next block would stand in the same line.",
    "{% macro dwell(step) %}G04{% endmacro %}",
    "let the macro end with a line end",
)
BLANK_LINE = _error(
    "template",
    "blank-line",
    "A template left an empty line in the program.",
    "Lines and blocks no longer count alike; some controls stop at an empty block.",
    "an empty line between two macros' text",
    "take the empty line out of the template",
)
NO_ORIGIN = _error(
    "template",
    "number-without-origin",
    "A number reaches the program and nobody knows where it came from.",
    "`gemel why` could not explain it, and a hand edit of it could not be traced.",
    "{{ 3 * 4 }}",
    "take it from a step or the machine file; do arithmetic in operations",
)
NOT_FINITE = _error(
    "template",
    "not-a-number",
    "A number has no finite value.",
    "No control reads it.",
    "X nan",
    "this is a fault of gemel: report it with the family",
)
VANISHED = _error(
    "writing",
    "vanished",
    "A feed, speed, pitch, peck or dwell is spelled zero, though it is not zero.",
    "A feed of zero stops the program; a speed of zero turns nothing.",
    "feed: 0.0004  # on a machine that writes three decimals",
    "give a larger value, or more decimals in the machine file",
)
NO_CODE = _error(
    "writing",
    "no-code",
    "An operation asks for a function that the machine file gives no code for.",
    "The function would be left out of the program.",
    "catcher.out  # on a machine without a catcher",
    "give the code in the machine file, or leave the operation out on this machine",
)
BLOCK_LENGTH = _error(
    "writing",
    "block-length",
    "A block is longer than the control takes.",
    "The control cuts it or refuses the program.",
    "lines: {longest: 80}",
    "shorten the template's block",
)
CHARACTER = _error(
    "writing",
    "character",
    "The program holds a character that the control does not take.",
    "The control stops loading there, or changes it into another.",
    "title: Blöck",
    "use the characters that the machine file lists under `lines.characters`",
)
PRIVATE = _error(
    "writing",
    "private-character",
    "A text holds a private-use character.",
    "gemel marks the origin of words with such characters, and no control prints them.",
    "title: \\ue000",
    "take the character out",
)
SEQUENCE = _error(
    "writing",
    "sequence-full",
    "A stage has more blocks than there are sequence numbers before the next stage begins.",
    "Sequence numbers tell the stage; a restart by number would land in the wrong one.",
    "sequence: {stage: 100, blocks: all}  # and a stage of 150 blocks",
    "raise `sequence.stage` in the machine file",
)
MAP_DROPPED = Explanation(
    "writing",
    "map-dropped",
    Severity.WARNING,
    "The program came out differently when its words were traced, so the map of origins was dropped.",
    "`gemel why` cannot explain this program; the program itself is the plain one and whole.",
    "a template that asks for the length of another macro's text",
    "keep templates from measuring or cutting the text of macros",
)

CODES = (
    SYNTAX,
    UNDEFINED,
    FAULT,
    NO_TEMPLATE,
    NO_MACRO,
    FUSED,
    UNFINISHED,
    BLANK_LINE,
    NO_ORIGIN,
    NOT_FINITE,
    VANISHED,
    NO_CODE,
    BLOCK_LENGTH,
    CHARACTER,
    PRIVATE,
    SEQUENCE,
    MAP_DROPPED,
)
