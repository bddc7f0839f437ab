"""A program as its control wants it: encoding, line ends, wrapper, and the mark that says whether it is released."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from gemel.documents import label_of, place_of
from gemel.findings import Findings
from gemel.history.mark import marked, without_mark
from gemel.shop.release_codes import NAME
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from gemel.history import Record
    from gemel.machines.schema import Machine

__all__ = ["control_name", "for_control", "is_file_name"]

_LINE_END = re.compile("\r\r\n|\r\n|\n|\r")

# Names that are devices, with whatever ending. Source: Microsoft, "Naming Files, Paths, and Namespaces".
_DEVICES = frozenset({"CON", "PRN", "AUX", "NUL", *(f"{kind}{n}" for kind in ("COM", "LPT") for n in range(1, 10))})
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+-]*(?<!\.)\Z")


def control_name(machine: Machine, channel: str, record: Record) -> str:
    """What the program of a channel is called in the control's folder.

    Raises:
        Findings: `send:name` where the machine file's form does not fit.
    """
    form = machine.programs.file
    values = {"number": record.program, "family": record.family, "member": record.member, "channel": channel}
    try:
        return str(formatted(form, **values, suffix=str(machine.channels[channel].suffix)))
    except (KeyError, IndexError, ValueError, AttributeError):
        place = place_of(form)
        cause = f"`{form}` in the machine file is no form for {', '.join(values)}, suffix"
        raise Findings([NAME.found(cause, *((label_of(place),) if place else ()))]) from None


def is_file_name(name: str) -> bool:
    """Whether a name is that of a file on every system that a control may run on."""
    return bool(_NAME.match(name)) and name.partition(".")[0].upper() not in _DEVICES


def for_control(data: bytes, machine: Machine, word: str) -> bytes:
    """The program for the control.

    Of a pair that is current it is what lies in `output/`, with the mark; of an older one line ends and wrapper follow
    the machine file of today.

    Args:
        data: as it lies in `output/`.
        machine: the control's machine.
        word: the mark, `RELEASED` or `NOT RELEASED`; left out where the block would be too long for it.

    Raises:
        UnicodeError: the program holds a character that the control's encoding has not.
    """
    form = machine.lines
    start, end = str(form.wrapper.start), str(form.wrapper.end)
    rows = _LINE_END.split(data.decode(form.encoding))
    while rows and not rows[-1].strip():
        rows.pop()
    rows = rows[1:] if start and rows and rows[0] == start else rows
    rows = rows[:-1] if end and rows and rows[-1] == end else rows
    rows = [*([start] if start else []), *rows, *([end] if end else [])]
    plain = without_mark("".join(f"{row}{form.end}" for row in rows).encode(form.encoding))
    with_mark = marked(plain, word, (str(form.comment.start), str(form.comment.end)))
    longest = max(len(row) for row in _LINE_END.split(with_mark.decode(form.encoding)))
    return with_mark if longest <= form.longest else plain
