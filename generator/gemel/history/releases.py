"""Releases: annotated tags that say who proved a pair out at the machine, when, and which bytes that were.

`release/<machine>/<family>-<member>/<n>`; `git show` reads them, and `git tag -v` where a shop signs what it fetches.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.findings import Findings, printable
from gemel.history.git import TRIES, is_held, raced, refused
from gemel.history.record import PairName

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.history.git import Repository
    from gemel.history.record import Record

__all__ = ["ProveOut", "Release", "make_release", "releases"]

_TAGS = "refs/tags/release/"
_ROW = re.compile(r"([A-Z][A-Za-z0-9-]*): (.*)")


@dataclass(frozen=True, slots=True)
class ProveOut:
    """What is said about a prove-out at the machine.

    Attributes:
        by: who proved the pair out.
        on: ISO date.
        note: what else there is to say; may be empty.
        findings: what the proof by gemel gave, `no errors, 5 warnings`.
    """

    by: str
    on: str
    note: str
    findings: str


@dataclass(frozen=True, slots=True)
class Release:
    """A release that is on record.

    Attributes:
        pair: which pair.
        tag: full name of the tag, without `refs/tags/`.
        commit: that holds the pair.
        prove_out: who, when.
        revision, stamp: of the pair.
        texts: SHA-256 of each program that was proved out, by file name.
        recorded_at: when the tag was made, ISO 8601.
    """

    pair: PairName
    tag: str
    commit: str
    prove_out: ProveOut
    revision: str
    stamp: str
    texts: Mapping[str, str]
    recorded_at: str


def make_release(repository: Repository, commit: str, record: Record, prove_out: ProveOut) -> str:
    """The name of a new annotated tag on a commit that holds the pair.

    Raises:
        Findings: `git:refused`, `git:raced`.
    """
    pair = PairName(record.machine, record.family, record.member)
    prefix = f"{_TAGS}{pair.machine}/{pair.stem}/"
    tagger = repository.run("var", "GIT_COMMITTER_IDENT").out.decode("utf-8", "replace").strip()
    for _ in range(TRIES):
        known = repository.run("for-each-ref", "--format=%(refname)", prefix).out.decode().split()
        numbers = [int(name.removeprefix(prefix)) for name in known if name.removeprefix(prefix).isdigit()]
        name = f"{prefix}{max(numbers, default=0) + 1}"
        short = name.removeprefix("refs/tags/")
        head = f"object {commit}\ntype commit\ntag {short}\ntagger {tagger}\n\n"
        made = repository.run("mktag", stdin=(head + _message(record, prove_out)).encode()).out.decode().strip()
        answer = repository.ask("update-ref", name, made, repository.zero)
        if answer.status == 0:
            return short
        if "already exists" not in answer.said and not is_held(answer.said):
            raise Findings([refused(answer.said)])
    raise raced(prefix, answer.said)


def _message(record: Record, prove_out: ProveOut) -> str:
    rows = {
        "Family": record.family,
        "Member": record.member,
        "Released-by": prove_out.by,
        "Proved-out-on": prove_out.on,
        "Control": record.machine,
        "Program": str(record.program),
        "Drawing": record.drawing,
        "Revision": record.revision,
        "Stamp": min(record.stamp.values(), default=""),
        "Findings": prove_out.findings,
    }
    if prove_out.note:
        rows["Note"] = prove_out.note
    said = [f"{key}: {printable(value)}" for key, value in rows.items()]
    said += [f"Text-sha256: {value} {file}" for file, value in sorted(record.texts.items())]
    subject = f"{record.family} {record.member} released for {record.machine} by {printable(prove_out.by)}"
    return "\n".join([subject, "", *said, ""])


def releases(repository: Repository) -> list[Release]:
    """Every release on record, the oldest first.

    Raises:
        Findings: `git:refused`.
    """
    fields = ("refname", "*objectname", "taggerdate:iso-strict", "contents")
    form = "%00".join(f"%({field})" for field in fields) + "%00%01"
    listed = repository.run("for-each-ref", f"--format={form}", "--sort=taggerdate", _TAGS).out
    rows = (row.lstrip("\n").split("\0") for row in listed.decode("utf-8", "replace").split("\x01"))
    found = (_release(*row[:4]) for row in rows if len(row) >= 4)
    return [release for release in found if release is not None]


def _release(name: str, commit: str, when: str, text: str) -> Release | None:
    """What a tag says; None for one that gemel did not make."""
    said: dict[str, str] = {}
    texts: dict[str, str] = {}
    for row in text.splitlines():
        match = _ROW.fullmatch(row)
        if match and match[1] == "Text-sha256":
            sha256, _, file = match[2].partition(" ")
            texts[file] = sha256
        elif match:
            said.setdefault(match[1], match[2])
    pair = PairName(name.removeprefix(_TAGS).partition("/")[0], said.get("Family", ""), said.get("Member", ""))
    right_place = name.startswith(f"{_TAGS}{pair.machine}/{pair.stem}/") and said.get("Control") == pair.machine
    if not (commit and texts and right_place and said.get("Released-by")):
        return None
    prove_out = ProveOut(
        said["Released-by"], said.get("Proved-out-on", ""), said.get("Note", ""), said.get("Findings", "")
    )
    short = name.removeprefix("refs/tags/")
    return Release(pair, short, commit, prove_out, said.get("Revision", ""), said.get("Stamp", ""), texts, when)
