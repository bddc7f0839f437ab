"""Take in what a control wrote: store it first, byte for byte; then read whose it is and put it with its pair."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Severity, Span, printable
from gemel.history import facts_of, hold_side_branches, look_aside, read_repository
from gemel.history.baselines import known_baselines
from gemel.history.received import File, Received, received, store_received
from gemel.shop import intake_codes as codes
from gemel.shop.edit_counts import count_edits
from gemel.shop.identify import Told, identify, told_of
from gemel.shop.intake_files import Gathered, files_of
from gemel.shop.pair_facts import derived_of
from gemel.shop.place_copies import Found, TakenIn, place_copies
from gemel.shop.prove_files import machine_of
from gemel.shop.recognise import is_called, pieces_of
from gemel.shop.register import Register

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.history import IntakeFacts, PairName, SideBranch
    from gemel.shop.layout import Shop
    from gemel.shop.recognise import Piece

__all__ = ["Request", "Result", "take_in"]


@dataclass(frozen=True, slots=True)
class Request:
    """What is wanted.

    Attributes:
        paths: files and folders as the user names them; none means what waits from earlier.
        machine: whose control wrote them.
        told: `[FILE=]MEMBER:CHANNEL` for programs that say nothing of themselves.
        only: of the files in the folders these alone; all when None.
    """

    paths: tuple[str, ...]
    machine: str
    told: tuple[str, ...] = ()
    only: frozenset[Path] | None = None


@dataclass(slots=True)
class Result:
    """What an intake did.

    Attributes:
        stored: how many files were stored that git did not hold yet.
        taken: the pairs that programs were put to, those that already had them included.
        waiting: files of which a program is not recognised, by name; they are stored.
        findings: everything that was said.
    """

    stored: int = 0
    taken: list[TakenIn] = field(default_factory=list)
    waiting: list[Received] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def take_in(shop: Shop, request: Request) -> Result:
    """Take in a control's files. What is stored stays stored, whatever is found out about it afterwards.

    Raises:
        Findings: `shop:no-machine`, `intake:nothing`, `git:`, `side:`, `lock:` faults: nothing was taken in.
        OSError: a file cannot be read, or the disk is full: what git names is whole.
    """
    shop.machine(request.machine)
    repository = read_repository(shop.root)
    gathered = files_of(request.paths, request.only) if request.paths else Gathered()
    repository.check_identity()
    result = Result(findings=list(gathered.findings))
    with hold_side_branches(repository.folder, f"intake from {request.machine}"):
        repository.sweep()
        side = look_aside(repository, request.machine)
        result.findings.extend(side.findings)
        side.bring_back()
        now = datetime.now(UTC).isoformat(timespec="seconds")
        result.stored = _store(side, gathered.files, now)
        try:
            _recognise(shop, look_aside(repository, request.machine), request, gathered, result)
        except Findings as error:
            result.findings.extend(error.findings)
    try:
        side = look_aside(repository, request.machine)
        result.waiting = received(side)
    except Findings as error:
        result.findings.extend(error.findings)
    else:
        result.taken = _counted(shop, side, result.taken)
    return result


def _counted(shop: Shop, side: SideBranch, taken: list[TakenIn]) -> list[TakenIn]:
    """The pairs with their undecided edits, where they can be counted; what is compared for it `status` need not.

    Why a pair cannot be compared is said by whoever wants to see its edits; here the copy is what matters.
    """
    pairs = [one.pair for one in taken]
    derived = derived_of(shop, side.repository)
    try:
        facts = {pair: one for pair, one in facts_of(side).items() if pair in pairs}
        counts, faults = count_edits(shop, facts, pairs, derived)
    except (Findings, OSError):
        return taken
    derived.save()
    return taken if faults else [replace(one, undecided=counts[one.pair].undecided) for one in taken]


def _store(side: SideBranch, files: list[File], now: str) -> int:
    """How many files were stored first of all; those that git holds as the latest copy of a pair are there already."""
    facts = facts_of(side)
    held = {given.file_sha256 for about in facts.values() for given in about.given.values()}
    held |= {one.sha256 for one in received(side)}
    new = [file for file in files if file.sha256 not in held]
    if new:
        store_received(side, new, now)
    return len({file.sha256 for file in new})


def _recognise(shop: Shop, side: SideBranch, request: Request, gathered: Gathered, result: Result) -> None:
    """Puts every program that is recognised to its pair."""
    machine = machine_of(shop, request.machine)
    known, faults = known_baselines(shop.root, side.repository)
    result.findings.extend(faults)
    register = Register(shop.root, side, machine, known)
    told = [told_of(words, register) for words in request.told]
    waiting = {one.sha256: one for one in received(side)}
    files = gathered.files or _from_git(side, list(waiting.values()))
    _check_told(told, files)
    reader = _Reader(register, told, gathered.alone, result.findings)
    found: list[Found] = []
    for file in {file.sha256: file for file in files}.values():
        found.extend(reader.programs_of(file, waiting.get(file.sha256)))
    found = _without_doubles(found, result)
    if not request.paths:
        found = _without_superseded(found, facts_of(side), result)
    result.taken, findings = place_copies(side, found, list(machine.channels))
    result.findings.extend(findings)


def _from_git(side: SideBranch, waiting: list[Received]) -> list[File]:
    """What waits from earlier intakes."""
    data = side.read(one.paths[0] for one in waiting)
    return [File(one.file, data[one.paths[0]]) for one in waiting]


def _check_told(told: list[Told], files: list[File]) -> None:
    """See that each `--as` means one file.

    Raises:
        Findings: `intake:as`.
    """
    found = []
    for one in told:
        meant = [file for file in files if _means(one, file)]
        if len({file.sha256 for file in meant}) != 1:
            cause = f"`{printable(one.file)}` is none of the files" if not meant else "several files may be meant"
            found.append(codes.NO_AS.found(cause, Label(Span("--as"))))
    if found:
        raise Findings(found)


def _means(told: Told, file: File) -> bool:
    short = file.name.rpartition("/")[2]
    return not told.file or told.file in (file.name, short) or file.sha256.startswith(told.file.lower())


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads files: whose programs they hold. What is said about those that are nobody's goes to `findings`."""

    register: Register
    told: list[Told]
    alone: set[str]
    findings: list[Finding]

    def programs_of(self, file: File, waiting: Received | None) -> list[Found]:
        """The recognised programs of one file."""
        means = [one for one in self.told if _means(one, file)]
        every = pieces_of(file.data)
        pieces = [piece for piece in every if waiting is None or piece.offset not in waiting.sorted]
        if len(means) not in (0, len(pieces)):
            cause = f"{printable(file.name)} holds {len(pieces)} programs, `--as` names {len(means)}"
            self.findings.append(codes.NO_AS.found(cause, Label(Span("--as"))))
            return []
        offsets = frozenset(piece.offset for piece in every)
        found: list[Found] = []
        for index, piece in enumerate(pieces):
            try:
                identity = identify(piece, file.name, self.register, means[index] if means else None)
            except Findings as error:
                if found and is_called(piece, found[-1].piece, self.register.machine):
                    found[-1] = _joined(found[-1], piece)
                else:
                    among = len(every) > 1 or file.name not in self.alone
                    self.findings.extend(_weighed(error, among_others=among))
                continue
            found.append(Found(file, piece, identity, waiting, (piece.offset,), offsets))
        return found


def _joined(before: Found, piece: Piece) -> Found:
    """A program with a subprogram of its own behind it."""
    joined = replace(before.piece, data=before.piece.data + piece.data)
    return replace(before, piece=joined, offsets=(*before.offsets, piece.offset))


def _weighed(error: Findings, *, among_others: bool) -> list[Finding]:
    """Among many programs of a control those of others are expected; a file that was named alone is not."""
    weight = Severity.WARNING if among_others else Severity.ERROR
    return [replace(f, severity=weight) if f.name == codes.UNKNOWN.name else f for f in error.findings]


def _without_doubles(found: list[Found], result: Result) -> list[Found]:
    """Two different programs for one channel of one pair: neither is taken for the running one."""
    by_place: dict[tuple[PairName, str], list[Found]] = {}
    for one in found:
        by_place.setdefault((one.identity.pair, one.identity.channel), []).append(one)
    kept = []
    for (pair, channel), group in by_place.items():
        if len({one.sha256 for one in group}) == 1:
            kept.append(group[0])
            continue
        files = " and ".join(printable(one.file.name) for one in group)
        cause = f"{files} are both the {channel} program of {pair.family}/{pair.member}, and differ"
        result.findings.append(codes.TWICE.found(cause, Label(Span(printable(group[0].file.name)))))
    return kept


def _without_superseded(found: list[Found], facts: dict[PairName, IntakeFacts], result: Result) -> list[Found]:
    """What waited longer than the pair's latest intake is old does not become the latest."""
    kept = []
    for one in found:
        latest = facts.get(one.identity.pair)
        old = bool(one.waiting and latest and latest.taken_at > one.waiting.received_at)
        if old and one.waiting and latest:
            cause = f"{printable(one.file.name)} came {one.waiting.received_at}, a newer copy {latest.taken_at}"
            result.findings.append(codes.SUPERSEDED.found(cause, Label(Span(printable(one.file.name)))))
        kept.append(replace(one, superseded=old))
    return kept
