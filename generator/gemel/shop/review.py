"""The review page of a pair at its control, in the folder `reviews/` or wherever it is wanted."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.side_by_side import side_by_side
from gemel.findings import printable
from gemel.history.files import replace_file
from gemel.reports.review import Command, Facts, ReviewRow, ReviewSource, State, review_page
from gemel.shop.judge import program_names
from gemel.shop.judged_pairs import judged_pair
from gemel.shop.prove_files import machine_of, pair_names

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from gemel.history import PairName
    from gemel.shop.judge import Judged, Pass
    from gemel.shop.judge_rows import Row
    from gemel.shop.layout import Shop

__all__ = ["Reviewed", "store_review"]

_FOLDER = "reviews"
_WHO = '--by "NAME" --why "REASON"'


class Reviewed(NamedTuple):
    """Where the page is, and what it is about."""

    path: Path
    judged: Judged


def store_review(shop: Shop, word: str, machine: str = "", out: Path | None = None) -> Reviewed:
    """Make the page of a pair, `FAMILY/MEMBER`, and put it in place of the one before.

    Raises:
        Findings: `shop:no-pair`, `decide:no-copy`, or why the pair cannot be judged.
        OSError: the disk; an older page stands.
    """
    judged = judged_pair(shop, word, machine)
    page = review_page(_source(shop, judged)).encode()
    path = out or _place(shop, judged.pair.name)
    replace_file(path.parent, path.name, page)
    return Reviewed(path, judged)


def _place(shop: Shop, name: PairName) -> Path:
    """In a folder that git leaves alone: a page can be made again from what git holds."""
    folder = shop.root / _FOLDER / name.machine
    folder.mkdir(parents=True, exist_ok=True)
    ignore = shop.root / _FOLDER / ".gitignore"
    if not ignore.exists():
        ignore.write_text("*\n", encoding="utf-8")
    return folder / f"{name.stem}.html"


def _source(shop: Shop, judged: Judged) -> ReviewSource:
    pair, machine = judged.pair, machine_of(shop, judged.pair.name.machine)
    said = _Commands(shop, pair.name)
    undecided = [row for row in judged.rows if row.verb is None]
    return ReviewSource(
        name=f"{pair.name.family}/{pair.name.member}",
        machine=machine,
        facts=tuple(_facts(judged)),
        rows=tuple(_row(row, said) for row in judged.rows),
        channels={name: side_by_side(one.baseline, one.copy.text) for name, one in pair.channels.items()},
        before=_state(judged, judged.before, 0),
        after=_state(judged, judged.after, 1),
        new=judged.change.new,
        gone=judged.change.gone,
        following=judged.change.following,
        both=judged.change.both,
        notes=judged.notes,
        every=said.every() if len(undecided) > 1 else (),
    )


def _state(judged: Judged, one: Pass, which: int) -> State:
    files = ", ".join(names[which] for names in program_names(judged.pair).values())
    return State(files, one.verdict, one.timeline)


def _facts(judged: Judged) -> Iterable[Facts]:
    intake, channels = judged.pair.intake, judged.pair.channels
    undecided, count = len(judged.pair.undecided), len(judged.pair.edits)
    yield Facts("Edits", f"{count}, {undecided} undecided", _differences(judged))
    taken_at = intake.facts.taken_at.replace("T", " ").replace("+00:00", " UTC")
    yield Facts("Taken in", taken_at, f"by {intake.facts.taken_by}; kept as {intake.commit[:12]}")
    records = dict.fromkeys(
        (channel.copy.record.drawing, channel.copy.record.revision, channel.stamp) for channel in channels.values()
    )
    drawings = " / ".join(f"{drawing} {revision}" for drawing, revision, _ in records)
    yield Facts("Written from drawing", drawings, "stamp " + ", ".join(stamp or "?" for _, _, stamp in records))
    files = ", ".join(f"{name}: {files[1]}" for name, files in program_names(judged.pair).items())
    yield Facts("Programs at the control", files)


def _differences(judged: Judged) -> str:
    """What differs without being an edit."""
    found = [channel.found for channel in judged.pair.channels.values()]
    said = []
    if any(one.renumbered for one in found):
        said.append("renumbered")
    for count, what, how in (
        (sum(one.respelled for one in found), "block", "spelled in another way"),
        (sum(one.comments_lost for one in found), "comment", "cut or lost"),
        (sum(one.wrapped for one in found), "block", "wrapped"),
    ):
        if count:
            said.append(f"{count} {what}{'' if count == 1 else 's'} {how}")
    return f"besides, without meaning: {', '.join(said)}" if said else ""


def _row(row: Row, said: _Commands) -> ReviewRow:
    kept = row.record.edit if row.record else None
    return ReviewRow(
        edits=row.edits,
        risk=row.risk,
        said=row.said,
        place=row.place,
        lines=row.lines,
        time=row.time,
        verdict=row.verdict,
        accused=row.accused,
        changes=row.changes,
        decided=f"{row.verdict} by {kept.by} on {kept.when}: {kept.why}" if kept else "",
        commands=said.of(row),
    )


class _Commands:
    """Command lines that decide about edits of one pair."""

    def __init__(self, shop: Shop, name: PairName) -> None:
        self._pair = shlex.quote(f"{name.family}/{name.member}")
        alike = [p for p in pair_names(shop) if (p.family, p.member) == (name.family, name.member)]
        self._machine = f" --machine {shlex.quote(name.machine)}" if len(alike) > 1 else ""

    def of(self, row: Row) -> tuple[Command, ...]:
        """Those for a row."""
        found = []
        for rank, proposal in enumerate(row.proposals, 1):
            candidate = f" --candidate {rank}" if rank > 1 else ""
            does = "into the family" if rank == 1 else printable(f"or: {proposal.guess.at.name.rpartition('.')[2]}")
            found.append(Command(does, self._line(row.edits[0].id, f"--into-family{candidate}")))
        ids = " ".join(edit.id for edit in row.edits)
        if len(row.edits) > 1 and len({edit.said for edit in row.edits}) == 1:
            ids = f"{row.edits[0].id} --alike"
        return (*found, Command("keep", self._line(ids, "--keep")), Command("drop", self._line(ids, "--drop")))

    def every(self) -> tuple[Command, ...]:
        """Those for all that are undecided."""
        return (Command("keep all", self._line("--all", "--keep")), Command("drop all", self._line("--all", "--drop")))

    def _line(self, edits: str, verb: str) -> str:
        return f"gemel decide {self._pair} {edits} {verb}{self._machine} {_WHO}"
