"""What was written, held against the control's rules for lines; and sequence numbers for every block."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from gemel.findings import Label, Span
from gemel.writing.codes import BLANK_LINE, BLOCK_LENGTH, CHARACTER, PRIVATE, SEQUENCE
from gemel.writing.marks import PRIVATE_USE
from gemel.writing.words import formatted

if TYPE_CHECKING:
    from gemel.findings import Finding
    from gemel.machines.schema import Machine

__all__ = ["check_lines", "prefixes"]


def check_lines(text: str, channel: str, machine: Machine) -> list[Finding]:
    """Blocks too long, characters that the control does not take, empty lines; `text` ends lines with LF."""
    rules = machine.lines
    refused, any_fault = _patterns(str(rules.characters), rules.longest)
    findings: list[Finding] = []
    if not any_fault.search(text):
        return findings
    lines = text.split("\n")
    if lines[-1] == "":
        lines.pop()
    for number, line in enumerate(lines, 1):
        label = Label(Span(f"program {channel}", number, 0, max(1, len(line))), line, channel=channel)
        if not line.strip():
            findings.append(BLANK_LINE.found(f"line {number} of the `{channel}` program is empty", label))
        if len(line) > rules.longest:
            cause = f"the block has {len(line)} characters; `{machine.machine}` takes {rules.longest}"
            findings.append(BLOCK_LENGTH.found(cause, label))
    if refused.search(text):
        findings.extend(_characters(lines, channel, refused, machine))
    return findings


@lru_cache(maxsize=8)
def _patterns(characters: str, longest: int) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What no line may hold, and what tells that some line has a fault at all."""
    refused = f"[^{re.escape(characters)}\n]"
    return re.compile(refused), re.compile(rf"{refused}|^[ \t]*\n|^[^\n]{{{longest + 1}}}", re.MULTILINE)


def _characters(lines: list[str], channel: str, refused: re.Pattern[str], machine: Machine) -> list[Finding]:
    findings = []
    for number, line in enumerate(lines, 1):
        match = refused.search(line)
        if match is None:
            continue
        label = Label(Span(f"program {channel}", number, match.start(), match.end()), line, channel=channel)
        private = PRIVATE_USE.match(match.group()) is not None
        code = PRIVATE if private else CHARACTER
        what = "a private-use character" if private else f"`{match.group()}`"
        findings.append(code.found(f"the program holds {what}, which `{machine.machine}` does not take", label))
    return findings


def prefixes(text: str, machine: Machine) -> tuple[dict[int, tuple[str, object]], list[Finding]]:
    """Sequence numbers for blocks that have none, by line number, where the machine numbers every block.

    Inside a stage they count on by one from the number that opens it; before the first stage from 1.
    """
    if machine.sequence.blocks != "all":
        return {}, []
    found: dict[int, tuple[str, object]] = {}
    findings: list[Finding] = []
    prefix = re.escape(str(machine.sequence.write).partition("{")[0])
    own = re.compile(rf"{prefix}(\d+)")
    count, limit = 0, machine.sequence.stage
    for number, line in enumerate(text.split("\n"), 1):
        match = own.match(line)
        if match is not None:
            count = int(match.group(1))
            limit = count + machine.sequence.stage
        elif _is_block(line, machine):
            count += 1
            word = formatted(machine.sequence.write, number=count)
            found[number] = f"{word} ", word
            if count == limit:
                findings.append(SEQUENCE.found(f"the stage has more than {machine.sequence.stage - 1} blocks"))
    return found, findings


def _is_block(line: str, machine: Machine) -> bool:
    form = machine.lines
    program = str(machine.programs.write).partition("{")[0]
    is_number = bool(program) and re.match(rf"{re.escape(program)}\d", line) is not None
    wrapper = (form.wrapper.start, form.wrapper.end)
    return bool(line.strip()) and line not in wrapper and not line.startswith(form.comment.start) and not is_number
