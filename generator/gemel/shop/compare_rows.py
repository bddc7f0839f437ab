"""A comparison of two states in words, and as an object for scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gemel.edits.gathered import gathered, lines_said, some_of_each
from gemel.findings import printable

if TYPE_CHECKING:
    from gemel.edits.gathered import Gathered
    from gemel.edits.meaning import Meaning
    from gemel.edits.model import Edit
    from gemel.findings import Finding
    from gemel.shop.compare_revisions import ComparedPair, ComparedProgram, Comparison
    from gemel.shop.periods import Period

__all__ = ["as_object", "headline", "meaning_rows", "program_rows", "summary"]


def headline(pair: ComparedPair) -> str:
    """What a pair follows in both states, and what a part takes: `  KB-1042 C to D, 243.2 s to 245.9 s a part`."""
    if pair.same_bytes:
        return "  the same"
    said = [] if pair.what == "compared" else [pair.what]
    said += _drawing(pair)
    said += _time(*pair.periods)
    return f"  {', '.join(said)}" if said else ""


def _drawing(pair: ComparedPair) -> list[str]:
    """Drawing and revision of both states; nothing where one of them is not known."""
    records = [record for record in pair.records if record is not None]
    if len(records) < (2 if pair.what == "compared" else 1):
        return []
    first, last = records[0], records[-1]
    said = f"{first.drawing} {first.revision}"
    if first.drawing != last.drawing:
        said += f" to {last.drawing} {last.revision}"
    elif first.revision != last.revision:
        said += f" to {last.revision}"
    return [printable(said)]


def _time(before: Period | None, after: Period | None) -> list[str]:
    sides = [side for side in (before, after) if side is not None]
    if not sides:
        return []
    words = [_seconds(side) for side in sides]
    if len(sides) == 1 or words[0] == words[1]:
        return [f"{words[0]} a part"]
    apart = ""
    if before is not None and after is not None and before.seconds is not None and after.seconds is not None:
        apart = f" ({round(after.seconds, 1) - round(before.seconds, 1):+.1f} s)"
    return [f"{words[0]} to {words[1]} a part{apart}"]


def _seconds(period: Period) -> str:
    if period.seconds is None:
        return "no end"
    return f"{'at least ' if period.unknown else ''}{period.seconds:.1f} s"


def program_rows(program: ComparedProgram, *, single: bool) -> list[str]:
    """A program in rows, the first its channel.

    Args:
        program: compared.
        single: a row for every change.
    """
    if program.found is None:
        return [f"  {program.channel}: only one of the two has this program"]
    found = program.found
    head = f"  {program.channel}: {found.said}"
    rows = [_row(row) for row in _all_rows(found, single=single)]
    if found.comments_lost and not single:
        rows.append(f"    {found.comments_lost} comment{'s' if found.comments_lost > 1 else ''} cut or gone")
    return [head, *rows]


def meaning_rows(found: Meaning, most: int) -> tuple[list[str], int]:
    """So many rows about a program at most, the first of each kind before the second of any; and how many are left."""
    rows = gathered(found.changes) or gathered((*found.comments, *found.header))
    shown = some_of_each(rows, most)
    return [printable(row.said) for row in shown], len(rows) - len(shown)


def _all_rows(found: Meaning, *, single: bool) -> list[Gathered]:
    return [row for edits in (found.changes, found.comments, found.header) for row in gathered(edits, single=single)]


def _row(row: Gathered) -> str:
    return f"    {row.lines:<11}  {printable(row.said)}"


def summary(found: Comparison) -> str:
    """One sentence about all pairs."""
    counts = {
        "with differences": sum(p.what == "compared" and not p.same_meaning for p in found.pairs),
        "added": sum(p.what == "added" for p in found.pairs),
        "removed": sum(p.what == "removed" for p in found.pairs),
        "of the same meaning": sum(p.same_meaning and not p.same_bytes for p in found.pairs),
        "the same": sum(p.same_bytes for p in found.pairs),
    }
    said = [f"{count} {what}" for what, count in counts.items() if count]
    return ", ".join(said) or "no pairs"


def as_object(found: Comparison) -> dict[str, Any]:
    """The comparison for scripts; times in seconds, lines from 1."""
    return {
        "from": found.said[0],
        "to": found.said[1],
        "pairs": [_pair_object(pair) for pair in found.pairs],
        "findings": [_finding_object(finding) for finding in found.findings],
    }


def _finding_object(finding: Finding) -> dict[str, Any]:
    return {"code": finding.name, "cause": finding.cause, "remedy": finding.remedy}


def _pair_object(pair: ComparedPair) -> dict[str, Any]:
    before, after = pair.records
    return {
        "machine": pair.machine,
        "family": pair.name.family if pair.name else None,
        "member": pair.name.member if pair.name else None,
        "what": "same" if pair.same_bytes else "same meaning" if pair.same_meaning else pair.what,
        "drawing": [record.drawing if record else None for record in (before, after)],
        "revision": [record.revision if record else None for record in (before, after)],
        "period_s": [period.seconds if period else None for period in pair.periods],
        "programs": [_program_object(program) for program in pair.programs],
    }


def _program_object(program: ComparedProgram) -> dict[str, Any]:
    found = program.found
    if found is None:
        return {"channel": program.channel, "said": "only one of the two has this program", "changes": []}
    return {
        "channel": program.channel,
        "said": found.said,
        "blocks": list(found.blocks),
        "besides": list(found.besides),
        "comments_lost": found.comments_lost,
        "changes": [_edit_object(edit) for edit in found.changes],
        "comments": [_edit_object(edit) for edit in (*found.comments, *found.header)],
    }


def _edit_object(edit: Edit) -> dict[str, Any]:
    return {
        "id": edit.id,
        "kind": edit.kind.value,
        "stage": edit.anchor.stage,
        "operation": edit.anchor.operation,
        "said": edit.said,
        "size": edit.size,
        "old": edit.old,
        "new": edit.new,
        "lines": lines_said(edit),
        "blocks": edit.blocks,
    }
