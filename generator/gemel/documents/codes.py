"""The faults of a document, before anybody asks what it describes."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES", "DUPLICATE_KEY", "EXPANDS", "NOT_YAML", "TOO_LARGE", "UNKNOWN_KEY", "VALUE", "WORD"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("document", code, Severity.ERROR, what, why, example, remedy)


NOT_YAML = _code(
    "not-yaml",
    "The file is not a YAML document, or holds what gemel does not take (tags, tabs, several documents).",
    "A description that is half understood gives a program that is half right.",
    "values: {length: 20",
    "mend the document at the place named; an editor with the schema shows it while you type",
)
TOO_LARGE = _code(
    "too-large",
    "The file is larger than any description gemel expects (1 MB).",
    "Such a file was put there by mistake, or to keep gemel busy.",
    "a family of 100 MB",
    "name the right file, or split the family",
)
EXPANDS = _code(
    "expands",
    "Aliases (`*name`) make the document grow past 100,000 values, or they contain themselves.",
    "A few lines can describe more than a machine can hold.",
    "a: &a [*b, *b, *b]",
    "write the values out, or use `values:` and expressions",
)
DUPLICATE_KEY = _code(
    "duplicate-key",
    "One key stands twice in one mapping.",
    "YAML readers keep one of the two in silence: the depth that is cut may not be the one that you read.",
    "cutting: {feed: 0.1, feed: 0.2}",
    "take one of the two out",
)
UNKNOWN_KEY = _code(
    "unknown-key",
    "A key that has no meaning here.",
    "A misspelt optional key would take its default without a word.",
    "coolnat: high",
    "correct the name",
)
VALUE = _code(
    "value",
    "A value is missing, of the wrong kind, or outside what is allowed.",
    "gemel writes no program from a value that it must guess.",
    "bar: long",
    "give the value in the form named",
)
WORD = _code(
    "word",
    "A plain `yes`, `no`, `on` or `off`: some YAML readers take it for true or false, others for a text.",
    "The same file must mean the same everywhere.",
    "title: yes",
    "put it in quotes, or write true or false",
)

CODES = (NOT_YAML, TOO_LARGE, EXPANDS, DUPLICATE_KEY, UNKNOWN_KEY, VALUE, WORD)
