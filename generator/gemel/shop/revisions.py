"""What a word such as `v1`, `at-control/mill`, `output` or `a.nc` names: pairs of a commit or a folder, or programs."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Finding, Findings, Label, Span, printable
from gemel.history import PairName, Record, read_repository
from gemel.history.intake import INTAKE
from gemel.history.mark import without_mark
from gemel.history.record import RECORD
from gemel.shop import compare_codes as codes
from gemel.shop.intake_files import read_whole, walk
from gemel.shop.loose_programs import is_program
from gemel.shop.program_files import looks_binary, read_program

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from gemel.history import Repository
    from gemel.shop.layout import Shop

__all__ = ["Held", "Loose", "Revision", "revision"]

_FOLDERS = (RECORD, f"*/{RECORD}", f"*/*/{RECORD}", f"output/*/*/{RECORD}")
_SHORT = 10


@dataclass(frozen=True, slots=True)
class Held:
    """A pair in one state.

    Attributes:
        name: which pair.
        record: what gemel wrote down with it; of a control copy that of its baseline.
        texts: the programs, by file name; control copies by their channel's name (`.upper.nc`).
    """

    name: PairName
    record: Record
    texts: Mapping[str, bytes]


class Loose(NamedTuple):
    """A program that lies somewhere without a record: its name, and its bytes without gemel's mark of release."""

    name: str
    data: bytes


@dataclass(slots=True)
class Revision:
    """One of two states.

    Attributes:
        said: what it is, for people.
        pairs: those it holds with a record.
        loose: programs without one.
        single: whether it is one file that was named.
        findings: what cannot be read of it.
    """

    said: str
    pairs: dict[PairName, Held] = field(default_factory=dict)
    loose: list[Loose] = field(default_factory=list)
    single: bool = False
    findings: list[Finding] = field(default_factory=list)


def revision(shop: Shop, word: str | None) -> Revision:
    """What a word names: a file or folder that is there, else a revision. None is `output/` as it stands.

    Raises:
        Findings: `compare:unknown`, `compare:no-pairs`, `compare:not-a-program`; git's own.
        OSError: the system does not let a file be read.
    """
    if word is None:
        found = _in_folder(shop.root, "output/ as it stands", loose=False)
    elif _is_there(word):
        path = Path(word)
        found = _in_folder(path, f"folder {printable(word)}", loose=True) if path.is_dir() else _file(path, word)
    else:
        found = _in_commit(read_repository(shop.root), word)
    if not found.pairs and not found.loose and not found.findings:
        raise Findings([_fault(codes.NO_PAIRS.found, f"{found.said} holds no pair and no program", word or "output")])
    return found


def _fault(found: Callable[..., Finding], cause: str, word: str) -> Finding:
    return found(cause, Label(Span("gemel compare"), printable(word)))


def _is_there(word: str) -> bool:
    try:
        return bool(word) and Path(word).exists()
    except OSError:
        # A name that is too long for the disk, for one.
        return False


def _file(path: Path, word: str) -> Revision:
    try:
        data = without_mark(read_program(path, printable(word)))
    except Findings as error:
        cause = error.findings[0].cause
        raise Findings([_fault(codes.NOT_A_PROGRAM.found, cause, word)]) from None
    if not is_program(data):
        cause = f"{printable(word)} is {'no program: its lines are no blocks' if data.strip() else 'empty'}"
        raise Findings([_fault(codes.NOT_A_PROGRAM.found, cause, word)])
    return Revision(f"file {printable(word)}", loose=[Loose(word, data)], single=True)


def _in_folder(folder: Path, said: str, *, loose: bool) -> Revision:
    """The pairs of a folder that is, or holds, a shop, its `output/`, or pairs; without any the programs in it."""
    found = Revision(said)
    for path in dict.fromkeys(p for pattern in _FOLDERS for p in sorted(folder.glob(pattern))):
        inside = path.relative_to(folder).parent
        if any(part.startswith(".") for part in inside.parts):
            continue
        if _leads_away(folder, path):
            found.findings.append(_unreadable(inside.as_posix(), "it is a link to somewhere else"))
            continue

        def read(names: Iterable[str], here: Path = path.parent) -> Mapping[str, bytes]:
            files = {name: here / name for name in names}
            return {n: f.read_bytes() for n, f in files.items() if f.is_file() and not f.is_symlink()}

        _hold(found, inside.as_posix(), read)
    if loose and not found.pairs and not found.findings:
        found.loose.extend(_programs_in(folder))
    return found


def _leads_away(folder: Path, path: Path) -> bool:
    between = [p for p in path.parents if p != folder and p.is_relative_to(folder)]
    return any(p.is_symlink() for p in (path, *between))


def _programs_in(folder: Path) -> Iterable[Loose]:
    try:
        files = list(walk(folder))
    except Findings as error:
        raise Findings([_fault(codes.NO_PAIRS.found, error.findings[0].cause, str(folder))]) from None
    for path in files:
        try:
            data = read_whole(path, path.name)
        except Findings:
            # Links, pipes, images of memory cards: no programs.
            continue
        if not looks_binary(data) and is_program(data):
            yield Loose(path.relative_to(folder).as_posix(), without_mark(data))


def _hold(found: Revision, folder: str, read: Callable[[Iterable[str]], Mapping[str, bytes]]) -> None:
    """Put a pair with a record among those that are found, or say why it cannot be read."""
    record = Record.from_bytes(read([RECORD]).get(RECORD, b""))
    if record is None:
        found.findings.append(_unreadable(folder, f"its {RECORD} is none that gemel wrote"))
        return
    name = PairName(record.machine, record.family, record.member)
    try:
        _ = name.folder
    except Findings as error:
        found.findings.append(_unreadable(folder, error.findings[0].cause))
        return
    plain = [file for file in record.texts if file == Path(file).name and file not in {"", ".", ".."}]
    found.pairs[name] = Held(name, record, dict(read(plain)))


def _unreadable(folder: str, why: str) -> Finding:
    return codes.UNREADABLE.found(f"{printable(folder)}: {printable(why)}", Label(Span(printable(folder))))


def _in_commit(repository: Repository, word: str) -> Revision:
    commit, said = _commit(repository, word)
    files = repository.files(commit)
    places = [path.rpartition("/") for path in sorted(files)]
    folders = {folder: last for folder, _, last in places if _holds(folder, last)}
    # One start of git for all: starting it costs more than the reading.
    wanted = [path for path in files if _folder(path) in folders or _folder(_folder(path)) in folders]
    data = dict(zip(wanted, repository.read_blobs([files[path] for path in wanted]), strict=True)) if wanted else {}
    found = Revision(said)
    for folder, last in folders.items():
        inside = {path.removeprefix(f"{folder}/"): text for path, text in data.items() if path.startswith(f"{folder}/")}

        def read(names: Iterable[str], inside: Mapping[str, bytes] = inside) -> Mapping[str, bytes]:
            return {name: inside[name] for name in names if name in inside}

        if last == RECORD:
            _hold(found, folder, read)
        else:
            _hold_copy(found, folder, inside)
    return found


def _folder(path: str) -> str:
    return path.rpartition("/")[0]


def _holds(folder: str, last: str) -> bool:
    """Whether a file says that its folder is a pair: in `output/`, or on the side branch of a control."""
    if last == RECORD:
        return folder.startswith("output/") and folder.count("/") == 2
    return last == INTAKE and bool(folder) and "/" not in folder


def _hold_copy(found: Revision, folder: str, data: Mapping[str, bytes]) -> None:
    """A pair as it stands at a control, as far as anybody knows: copies, and baselines of what never came back."""
    channels = [
        p.removeprefix("baseline/")[:-3] for p in sorted(data) if p.startswith("baseline/") and p.endswith(".nc")
    ]
    records = [Record.from_bytes(data.get(f"baseline/{channel}.json", b"")) for channel in channels]
    record = next((one for one in records if one is not None), None)
    if record is None or PairName(record.machine, record.family, record.member).stem != folder:
        found.findings.append(_unreadable(folder, "git does not hold what gemel recorded"))
        return
    texts = {f".{c}.nc": without_mark(data.get(f"{c}.nc", data[f"baseline/{c}.nc"])) for c in channels}
    name = PairName(record.machine, record.family, record.member)
    found.pairs[name] = Held(name, record, texts)


def _commit(repository: Repository, word: str) -> tuple[str, str]:
    """The id of the commit that a word names, and what it is, for people."""
    answer = repository.ask("rev-parse", "--verify", "--quiet", "--end-of-options", f"{word}^{{commit}}")
    commit = answer.out.decode("ascii", "replace").strip()
    if answer.status or not commit.isalnum():  # `^NAME` is all but that commit
        cause = f"`{printable(word)}` is no file, no folder and no revision"
        if ".." in word:
            fault = codes.UNKNOWN.found(
                f"{cause} by itself",
                Label(Span("gemel compare"), printable(word)),
                remedy="name the two revisions apart: `gemel compare A B`",
            )
            raise Findings([fault])
        raise Findings([_fault(codes.UNKNOWN.found, cause, word)])
    subject = repository.run("log", "-1", "--format=%cs %s", commit).out.decode("utf-8", "replace").strip()
    return commit, printable(f"{commit[:_SHORT]}, {subject}")
