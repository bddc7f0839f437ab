"""The faults of a family's values and names; `part_codes` has those of sizes and tools."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("family", code, Severity.ERROR, what, why, example, remedy)


SYNTAX = _code(
    "expression",
    "A text that stands for a number cannot be read as an expression.",
    "A size that is half understood would be cut half right.",
    "length: 20 +",
    "write a number or an expression over values: + - * / // % ** ( ) and sqrt sin cos tan min max ceil floor round pi",
)
DECIMAL_COMMA = _code(
    "decimal-comma",
    "A number is written with a comma where a point belongs.",
    "`1,5` is two numbers to most readers; one of them would take 1 mm for 1.5 mm.",
    "corner: 0,4",
    "write a decimal point",
)
ATTRIBUTE = _code(
    "attribute",
    "An expression reaches for an attribute or an item of something.",
    "Expressions compute sizes and nothing else; a family from elsewhere must not be able to run anything.",
    "length: ().__class__",
    "use the family's values and the functions sqrt sin cos tan min max ceil floor round",
)
NOT_ALLOWED = _code(
    "not-allowed",
    "An expression uses something that gives no number: texts, lists, filters, tests, named arguments.",
    "Expressions compute sizes and nothing else.",
    'length: "20" ~ "5"',
    "use + - * / // % ** ( ) comparisons, and the functions sqrt sin cos tan min max ceil floor round",
)
UNKNOWN_NAME = _code(
    "unknown-name",
    "A name that no value of the family or of this member bears.",
    "A misspelt name must not become zero.",
    "to: lenght",
    "correct the name, or add the value",
)
VALUE_NAME = _code(
    "value-name",
    "A value bears a name that an expression could not use.",
    "A value that hides a function or an operator makes every expression doubtful.",
    "values: {min: 3}",
    "use letters, digits and _, beginning with a letter, and no name of a function or operator",
)
UNUSED = Explanation(
    "family",
    "unused",
    Severity.WARNING,
    "A value that no field and no other value uses.",
    "It may be a misspelt name beside one that silently keeps its old value.",
    "values: {cornr: 0.6}",
    "use it or take it out",
)
MISSING_VALUE = _code(
    "missing-value",
    "A member gives no value for a name that the family needs.",
    "gemel writes no program from a value that it must guess.",
    'members: {"20": {program: 1201}}  # and to: length',
    "give the value in the member's row, or a common one under `values:`",
)
CIRCULAR = _code(
    "circular",
    "Values depend on each other in a circle.",
    "None of them has a value.",
    "values: {a: b + 1, b: a - 1}",
    "give one of them a number",
)
DIVISION = _code(
    "division",
    "An expression divides by zero.",
    "There is no such number.",
    "spacing: length / (ports - 1)  # with one port",
    "change the expression, or keep it from this member with `a if condition else b`",
)
ARITHMETIC = _code(
    "arithmetic",
    "An expression gives no number: too large, a root of a negative, a wrong count of arguments.",
    "gemel writes finite numbers only.",
    "depth: sqrt(length - 40)  # with length 20",
    "change the expression or the values",
)
OUT_OF_BOUNDS = _code(
    "out-of-bounds",
    "A number that its field cannot have: a depth below zero, a feed of nothing, a hole and a half.",
    "Such a number would run a tool the wrong way, or not at all.",
    "depth: -6",
    "mend the number or the values it is made of; what a member does not need is left out by `when:` of its operation",
)
UNKNOWN = _code(
    "unknown",
    "A name that nothing bears: machine, material, channel, spindle, station, tool, feature.",
    "What is not known cannot be written, and a near guess could break a tool.",
    "tool: end-mil-12",
    "correct the name",
)
ONE_OF_TWO = _code(
    "one-of-two",
    "A feature has both of two fields that exclude each other, or neither.",
    "Which of the two is meant decides about the drill, or the length: gemel does not guess.",
    "hole: {kind: axial_hole, diameter: 5, thread: M6, depth: 12}",
    "give exactly one of them",
)
UNKNOWN_THREAD = _code(
    "unknown-thread",
    "A thread that no table holds.",
    "Pitch and tapping drill come from the name.",
    "thread: M5x0.9",
    "name a metric thread (M5, M8x1), a pipe thread (G1/8) or a unified one (1/4-20 UNC)",
)
UNKNOWN_TOLERANCE = _code(
    "unknown-tolerance",
    "A tolerance that no table holds, or that the table does not give for this size.",
    "Programs aim at the middle of the tolerance.",
    "across: {size: 15, tolerance: y9}",
    "write ISO 286 letters (h9, H8), a pair (+0.1 -0.05) or a general class (f m c v)",
)
STAGE_UNKNOWN = _code(
    "stage-unknown",
    "A stage names an operation that the family does not have.",
    "The job would be missing from the program without a word.",
    "stages: [{upper: [mill-flat]}]",
    "correct the name",
)
STAGE_MISSING = _code(
    "stage-missing",
    "An operation stands in no stage.",
    "It would be missing from the program without a word.",
    "operations: {mill-flats: ...}  # and no stage names it",
    "name it in the stage where it belongs, or take it out",
)
STAGE_TWICE = _code(
    "stage-twice",
    "An operation stands in the stage table twice.",
    "Edits and findings are tied to an operation by its name: it can run once only.",
    "stages: [{upper: [spot]}, {upper: [spot]}]",
    "take one of them out, or add a second operation",
)
STAGE_CHANNEL = _code(
    "stage-channel",
    "A stage gives an operation to another channel than its own.",
    "Tool and path are made for the channel of the operation.",
    "stages: [{lower: [mill-flats]}]  # mill-flats has channel: upper",
    "move it to its own channel in the stage, or change the operation's channel",
)
MEMBER_NAME = _code(
    "member-name",
    "The name of a family or member cannot be part of a file name.",
    "Programs are files named by family and member; a name with / or .. would leave the output folder.",
    'members: {"../x": ...}',
    "use letters, digits, point, hyphen and underscore, beginning with a letter or digit",
)
PROGRAM_TWICE = _code(
    "program-twice",
    "Two members have one program number.",
    "At the control the second would overwrite the first.",
    'members: {"20": {program: 1201}, "35": {program: 1201}}',
    "give each member a number of its own",
)
PROGRAM_RANGE = _code(
    "program-range",
    "A member has no program number, or one that the machine does not take.",
    "The control would refuse the program, or take it for one of the builder's.",
    'members: {"20": {program: 9001}}',
    "give a whole number in the machine's range",
)
WAITS_USED_UP = _code(
    "waits-used-up",
    "The stage table needs more wait marks than the machine has numbers.",
    "The last stages would run without waiting.",
    "200 stages with marks 701 to 799",
    "join stages that need no wait between them",
)
COMMENT = _code(
    "comment",
    "A text that is written into comments has characters that the control refuses.",
    "The control would stop loading the program at that line, or end the comment early.",
    "title: Block (left)",
    "use other characters",
)

CODES = (
    SYNTAX,
    DECIMAL_COMMA,
    ATTRIBUTE,
    NOT_ALLOWED,
    UNKNOWN_NAME,
    VALUE_NAME,
    UNUSED,
    MISSING_VALUE,
    CIRCULAR,
    DIVISION,
    ARITHMETIC,
    OUT_OF_BOUNDS,
    UNKNOWN,
    ONE_OF_TWO,
    UNKNOWN_THREAD,
    UNKNOWN_TOLERANCE,
    STAGE_UNKNOWN,
    STAGE_MISSING,
    STAGE_TWICE,
    STAGE_CHANNEL,
    MEMBER_NAME,
    PROGRAM_TWICE,
    PROGRAM_RANGE,
    WAITS_USED_UP,
    COMMENT,
)
