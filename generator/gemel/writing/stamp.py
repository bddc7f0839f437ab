"""The stamp: a short digest by which a program names its baseline.

It is taken over the bodies of all channels, so the programs of one pair bear the same stamp and a program from
another writing shows. The body begins with the first block that is neither the wrapper, nor a program number, nor a
comment alone: the header, in which the stamp itself stands, is no part of it. Line ends and blanks at line ends do
not count.
"""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine

__all__ = ["body_of", "stamp_of"]

_LENGTH = 10


def stamp_of(texts: Mapping[str, str], machine: Machine) -> str:
    """Ten hexadecimal digits (upper case) over the bodies of all channels, in the machine file's order."""
    digest = hashlib.sha256()
    for channel in machine.channels:
        digest.update(f"{channel}\n{body_of(texts.get(channel, ''), machine)}\n".encode())
    return digest.hexdigest()[:_LENGTH].upper()


def body_of(text: str, machine: Machine) -> str:
    """The normalised body of one channel's program."""
    lines = [line.rstrip() for line in re.split("\r\n|\r|\n", text)]
    while lines and not lines[-1]:
        lines.pop()
    start = next((index for index, line in enumerate(lines) if _is_body(line, machine)), len(lines))
    return "\n".join(lines[start:])


def _is_body(line: str, machine: Machine) -> bool:
    form = machine.lines
    prefix = re.escape(str(machine.programs.write).partition("{")[0])
    is_number = bool(prefix) and re.match(rf"{prefix}\d", line) is not None
    return bool(line) and line != form.wrapper.start and not line.startswith(form.comment.start) and not is_number
