"""A place in a text.

Lines are 1-based. Columns are 0-based and half-open in code, and shown 1-based to people.
Every other module links here instead of saying it again.
"""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """A piece of one line of one source (a YAML file, a template, a program, a control copy).

    Attributes:
        source: the file as the user would name it, relative to the shop.
        line: 1-based; 0 for the file as a whole.
        start: 0-based column of the first character.
        end: 0-based column behind the last character.
    """

    source: str
    line: int = 0
    start: int = 0
    end: int = 0

    def shown(self) -> str:
        """`file:line:column`, columns counted from 1."""
        return f"{self.source}:{self.line}:{self.start + 1}" if self.line else self.source
