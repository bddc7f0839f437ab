"""Why a word of a program is what it is: the pair is made again, must be the same, and is asked."""

from __future__ import annotations

import contextlib
import json
import re
from dataclasses import asdict, dataclass
from pathlib import Path

from gemel.findings import Findings, Label, Span
from gemel.history.record import RECORD, PairName, Record, digest
from gemel.shop import codes, pipeline
from gemel.shop.kept import told
from gemel.shop.layout import Shop, find_shop
from gemel.shop.targets import Target
from gemel.writing import WordReason, explain_line

__all__ = ["Why", "as_json", "why"]

_PLACE = re.compile(r"(?P<file>.+?):(?P<line>[0-9]{1,7})(?::(?P<column>[0-9]{1,7}))?\Z", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Why:
    """One block, or one word of it.

    Attributes:
        file: the program, relative to the shop. line: 1-based.
        block: the whole line.
        words: in order; of a block with a kept edit those that it had before.
        kept: the kept edits in it, a sentence each.
    """

    file: str
    line: int
    block: str
    words: tuple[WordReason, ...]
    kept: tuple[str, ...] = ()


def as_json(answer: Why) -> str:
    """The answer as one JSON object."""
    plain = asdict(answer)
    for word, reason in zip(plain["words"], answer.words, strict=True):
        word["address"] = reason.address._asdict()
    return json.dumps(plain, indent=1, ensure_ascii=False)


def why(place: str) -> Why:
    """What is behind the words of a place, `FILE:LINE` or `FILE:LINE:COLUMN`.

    Raises:
        Findings: `shop:no-place`, `shop:not-ours`, `shop:stale`, and whatever is wrong with the family.
    """
    match = _PLACE.match(place)
    if match is None:
        raise Findings([codes.NO_PLACE.found(f"`{place}` names no place", Label(Span("gemel why"), place))])
    path = Path(match["file"]).absolute()
    line, column = int(match["line"]), int(match["column"] or 0)
    shop = find_shop(path.parent)
    record, name = _record_of(shop, path)
    made = _again(shop, record, name, path)
    shown = f"{name.folder}/{path.name}"
    channel = made.channels[path.name]
    rows = made.texts[path.name].decode(made.loaded.machine.lines.encoding).splitlines()
    if not 0 < line <= len(rows):
        cause = f"{shown} has no line {line}; it has {len(rows)}"
        raise Findings([codes.NO_PLACE.found(cause, Label(Span(shown), str(line)))])
    if column > len(rows[line - 1]):
        cause = f"line {line} of {shown} has no column {column}; it has {len(rows[line - 1])}"
        raise Findings([codes.NO_PLACE.found(cause, Label(Span(shown), str(column)))])
    before, kept = _kept(made, path.name, line)
    words = explain_line(channel.map, before) if channel.map is not None and before is not None else []
    if column:
        words = [word for word in words if word.start < column <= word.end]
    return Why(shown, line, rows[line - 1], tuple(words), kept)


def _kept(made: pipeline.Rendered, file: str, line: int) -> tuple[int | None, tuple[str, ...]]:
    """The line as the family gives it, None for one that a kept edit put in; and the kept edits in it."""
    if made.carried is None:
        return line, ()
    before, edits = made.carried.programs[file].lines[line - 1]
    return before, tuple(told(made.carried.records[edit]) for edit in edits)


def _record_of(shop: Shop, path: Path) -> tuple[Record, PairName]:
    """The record beside a program, which must lie where that pair lies."""
    record = None
    with contextlib.suppress(FileNotFoundError, NotADirectoryError):
        record = Record.from_bytes((path.parent / RECORD).read_bytes())
    if record is not None and path.name in record.texts:
        name = PairName(record.machine, record.family, record.member)
        if (shop.root / name.folder).resolve() == path.parent.resolve() and path.is_file():
            return record, name
    cause = f"{path.name} is {'no program of a pair in output/' if path.exists() else 'not there'}"
    raise Findings([codes.NOT_OURS.found(cause, Label(Span(str(path))))])


def _again(shop: Shop, record: Record, name: PairName, path: Path) -> pipeline.Rendered:
    """The pair, made again; its text must be that of the file."""
    data = path.read_bytes()
    shown = f"{name.folder}/{path.name}"
    if digest(data) != record.texts[path.name]:
        raise Findings([codes.STALE.found(f"{shown} was changed by hand since gemel wrote it", Label(Span(shown)))])
    [task] = pipeline.tasks(shop, Target(record.family, (record.member,)), record.machine, prove=False)
    made = pipeline.render(task)
    if made.texts.get(path.name) != data:
        cause = f"{shown} is out of date: the family gives another text today"
        raise Findings([codes.STALE.found(cause, Label(Span(shown)))])
    return made
