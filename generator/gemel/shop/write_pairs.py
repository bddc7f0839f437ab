"""Write pairs: make them, compare them with what stands, put what differs in place, commit each."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from gemel.edits.meaning import Text
from gemel.findings import Finding, Findings
from gemel.history import PairName, hold_shop, orphans, read_pair, read_repository, recover, store_pair
from gemel.history.files import raw_file, replace_file
from gemel.history.git import blob_id
from gemel.history.record import RECORD
from gemel.shop import pipeline
from gemel.shop.changes import TextChange, compare, difference
from gemel.shop.interrupts import deferred_interrupts
from gemel.shop.pair_facts import derived_of, remember_same
from gemel.shop.pool import in_order
from gemel.shop.targets import Target, duplicate_programs, targets_of
from gemel.shop.unproved import clear_unproved

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from gemel.history import Repository, StoredPair
    from gemel.history.derived import Derived
    from gemel.shop.layout import Shop
    from gemel.shop.pipeline import MadePair, Task

__all__ = ["Done", "Order", "Outcome", "Writing", "prepare"]


@dataclass(frozen=True, slots=True)
class Order:
    """What is wanted.

    Attributes:
        targets: families or `family/member`; all families when empty.
        machine: the machine to write for, when not the family's own.
        dry_run: say what would change, and change nothing.
        commit: commit what is written.
        prove: prove the texts first, and write none that do not pass.
        unproved: write those elsewhere, under another name and marked, for looking at.
    """

    targets: tuple[str, ...] = ()
    machine: str | None = None
    dry_run: bool = False
    commit: bool = True
    prove: bool = True
    unproved: bool = False


class Done(StrEnum):
    """What came of one pair."""

    WRITTEN = "written"
    UNCHANGED = "unchanged"
    COMMITTED = "committed"  # on disk as it should be, but not in git yet
    WOULD_CHANGE = "would change"
    REFUSED = "refused"
    UNPROVED = "not proved"  # written elsewhere, for looking at


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one pair.

    Attributes:
        name: `family/member`.
        done: what was done.
        folder: the pair's folder relative to the shop, where it is known.
        changes: what changed in each program.
        difference: the whole difference, on a dry run.
        findings: why it was refused, or what was remarked.
        cited: the lines of its programs that the findings point at.
        commit: id of its commit.
        as_before: whether it was made from the very files that it stands for already.
    """

    name: str
    done: Done
    folder: str = ""
    changes: tuple[TextChange, ...] = ()
    difference: str = ""
    findings: tuple[Finding, ...] = ()
    commit: str | None = None
    cited: Mapping[str, str] = field(default_factory=dict)
    as_before: bool = False


@dataclass(slots=True)
class Writing:
    """A writing that is ready to begin.

    Attributes:
        total: how many pairs it will look at.
        refused: families of which nothing can be written.
        interrupted: whether somebody asked to stop before the end.
        looked_at: how many pairs are done.
    """

    shop: Shop
    order: Order
    tasks: list[Task]
    refused: list[Outcome]
    interrupted: bool = field(default=False, init=False)
    looked_at: int = field(default=0, init=False)

    def orphans(self) -> list[Finding]:
        """Pairs in `output/` that belong to no member any more, of the families that were written whole."""
        found: list[Finding] = []
        whole = {target.family for target in targets_of(self.shop, self.order.targets) if target.members is None}
        pairs: dict[tuple[str, str], set[str]] = {}
        for task in self.tasks:
            pairs.setdefault((task.machine, task.family), set()).add(task.member)
        for (machine, family), members in pairs.items():
            if family in whole:
                found.extend(orphans(self.shop.root, machine, family, members))
        return found

    def left(self) -> list[str]:
        """The pairs that were not looked at, in order."""
        return [f"{task.family}/{task.member}" for task in self.tasks[self.looked_at :]]

    def uncommitted(self) -> list[str]:
        """Families and what else the pairs are made from, as far as the last commit does not hold them as they are."""
        if not self.order.commit or self.order.dry_run or not self.tasks:
            return []
        repository = read_repository(self.shop.root)
        held = repository.tracked("families") | repository.tracked("templates")
        names = {f"families/{task.family}.yaml" for task in self.tasks}
        for task in self.tasks:
            folder = self.shop.root / "templates" / task.machine
            names |= {path.relative_to(self.shop.root).as_posix() for path in folder.rglob("*") if path.is_file()}
        names |= {"templates/tools.yaml", "templates/materials.yaml"}
        data = {name: raw_file(self.shop.root, name) for name in sorted(names)}
        return [
            name for name, raw in data.items() if raw is not None and held.get(name) != blob_id(raw, repository.zero)
        ]

    @property
    def total(self) -> int:
        """How many pairs it will look at."""
        return len(self.tasks)

    def outcomes(self) -> Iterator[Outcome]:
        """What comes of each pair, one after the other; stops after the pair in hand when somebody asks.

        Raises:
            Findings: another gemel is at work, or git cannot take commits; nothing has been written.
            OSError: the disk; every pair is the old one or the new one.
        """
        yield from self.refused
        with ExitStack() as stack:
            repository = None
            if not self.order.dry_run:
                repository = read_repository(self.shop.root) if self.order.commit else None
                stack.enter_context(hold_shop(self.shop.root, "writing pairs"))
                recover(self.shop.root)
                if repository is not None:
                    repository.sweep()
            interrupts = stack.enter_context(deferred_interrupts())
            derived = derived_of(self.shop, repository)
            stack.callback(derived.save)
            writer = _Writer(self.shop, self.order, repository, derived)
            tasks = [replace(task, proofs=derived.folder) for task in self.tasks]
            for pair in in_order(pipeline.make, tasks, self.total):
                outcome = writer.take(pair)
                self.looked_at += 1
                yield outcome
                if interrupts.asked:
                    self.interrupted = self.looked_at < self.total
                    return


def prepare(shop: Shop, order: Order) -> Writing:
    """Find out what is to be written, reading only.

    Raises:
        Findings: a family that is not there.
    """
    doubles = duplicate_programs(shop)
    tasks: list[Task] = []
    refused: list[Outcome] = []
    for target in targets_of(shop, order.targets):
        try:
            tasks.extend(_tasks(shop, order, target, doubles.get(target.family, [])))
        except Findings as error:
            refused.append(Outcome(target.family, Done.REFUSED, findings=error.findings))
    return Writing(shop, order, tasks, refused)


def _tasks(shop: Shop, order: Order, target: Target, doubles: Iterable[Finding]) -> list[Task]:
    if doubles:
        raise Findings(list(doubles))
    return pipeline.tasks(shop, target, order.machine, prove=order.prove)


@dataclass(slots=True)
class _Writer:
    """Puts made pairs in place."""

    shop: Shop
    order: Order
    repository: Repository | None
    derived: Derived
    tracked: dict[str, str] = field(default_factory=dict, init=False)
    indexed: dict[str, str] = field(default_factory=dict, init=False)
    ready: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        if self.repository is not None:
            self.tracked = self.repository.tracked("output")
            self.indexed = self.repository.indexed("output")

    def take(self, made: MadePair) -> Outcome:
        """Compare one pair with what stands, and put it in place where it differs; remember its proof if it is new."""
        if made.proved is not None and not self.order.dry_run:
            self.derived.put(*made.proved)
        return replace(self._taken(made), cited=made.cited)

    def _taken(self, made: MadePair) -> Outcome:
        title = f"{made.family}/{made.member}"
        if made.record is None or made.look is None:
            return self._not_proved(title, made)
        name = PairName(made.record.machine, made.record.family, made.record.member)
        if not self.order.dry_run:
            clear_unproved(self.shop.root, name.machine, name.stem)
        try:
            before = read_pair(self.shop.root, name)
            same = before is not None and before.texts == made.texts
            if before is not None and before.edited and not same:
                return Outcome(title, Done.REFUSED, name.folder, findings=(*before.hand_edits(), *made.findings))
            if same and before is not None and not before.edited:
                return self._unchanged(title, made, before)
            return self._write(title, made, before, name)
        except Findings as error:
            if any(f.rule == "git" for f in error.findings):
                raise
            return Outcome(title, Done.REFUSED, findings=(*error.findings, *made.findings))

    def _not_proved(self, title: str, made: MadePair) -> Outcome:
        if not made.unproved or not self.order.unproved or self.order.dry_run:
            return Outcome(title, Done.REFUSED, findings=made.findings)
        for file, data in made.unproved.items():
            replace_file(self.shop.root, file, data)
        return Outcome(title, Done.UNPROVED, ", ".join(made.unproved), findings=made.findings)

    def _check_ready(self) -> None:
        """Before the first byte is written: can git take a commit? Where nothing changes nobody needs to know."""
        if self.repository is not None and not self.ready:
            self.repository.check_ready()
            self.ready = True

    def _unchanged(self, title: str, made: MadePair, before: StoredPair) -> Outcome:
        """Nothing is written; what a killed gemel left uncommitted, or out of the user's index, is put right."""
        files = _files(before.name.folder, before.texts, before.raw_record)
        done, commit = Done.UNCHANGED, None
        if not self.order.dry_run and made.record is not None and made.record.inputs != before.record.inputs:
            # Files changed, the texts did not: `status` need not call the pair stale.
            remember_same(self.derived, made.record)
        if self.repository is not None and not self._has(files):
            self._check_ready()
            commit = self.repository.commit(files, (), _message(made, (), self.order))
            done = Done.COMMITTED if commit else Done.UNCHANGED
        as_before = made.record is not None and made.record.inputs == before.record.inputs
        return Outcome(title, done, before.name.folder, findings=made.findings, commit=commit, as_before=as_before)

    def _has(self, files: dict[str, bytes]) -> bool:
        assert self.repository is not None
        ids = {path: blob_id(data, self.repository.zero) for path, data in files.items()}
        return all(self.tracked.get(path) == self.indexed.get(path) == blob for path, blob in ids.items())

    def _write(self, title: str, made: MadePair, before: StoredPair | None, name: PairName) -> Outcome:
        assert made.record is not None
        assert made.look is not None
        old = before.texts if before is not None else {}
        changes = tuple(_change(made, before, file) for file in made.texts)
        if self.order.dry_run:
            shown = [
                difference(f"{name.folder}/{file}", old.get(file), data, made.look)
                for file, data in made.texts.items()
                if data != old.get(file)
            ]
            return Outcome(title, Done.WOULD_CHANGE, name.folder, changes, "\n".join(shown), made.findings)
        self._check_ready()
        store_pair(self.shop.root, made.texts, made.record, before)
        commit = None
        if self.repository is not None:
            gone = tuple(f"{name.folder}/{file}" for file in old if file not in made.texts)
            files = _files(name.folder, made.texts, made.record.to_bytes())
            commit = self.repository.commit(files, gone, _message(made, changes, self.order))
        return Outcome(title, Done.WRITTEN, name.folder, changes, findings=made.findings, commit=commit)


def _change(made: MadePair, before: StoredPair | None, file: str) -> TextChange:
    assert made.record is not None
    assert made.look is not None
    new = Text(made.texts[file], made.record.titles.get(file, {}))
    if before is None or file not in before.texts:
        return compare(file, None, new, made.look)
    return compare(file, Text(before.texts[file], before.record.titles.get(file, {})), new, made.look)


def _files(folder: str, texts: Mapping[str, bytes], record: bytes) -> dict[str, bytes]:
    return {f"{folder}/{file}": data for file, data in texts.items()} | {f"{folder}/{RECORD}": record}


def _message(made: MadePair, changes: tuple[TextChange, ...], order: Order) -> str:
    record = made.record
    assert record is not None
    head = f"{record.family} {record.member}: drawing {record.drawing} revision {record.revision}"
    rows = [f"{change.file}: {change.shown()}" for change in changes]
    rows.append(f"machine {record.machine}, program {record.program}, " + ("proved" if order.prove else "not proved"))
    return "\n".join([head, "", *rows, ""])
