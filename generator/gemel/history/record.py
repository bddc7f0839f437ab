"""The record that lies beside a pair: what it was made from, and the digest of each text. No clock, no user name."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from gemel.findings import Findings, Label, Span
from gemel.history import codes

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["RECORD", "PairName", "Record", "digest"]

RECORD = "record.json"
_SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+-]{0,99}\Z")


def digest(data: bytes) -> str:
    """SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True, slots=True, order=True)
class PairName:
    """Which pair: machine, family, member."""

    machine: str
    family: str
    member: str

    @property
    def stem(self) -> str:
        """What the names of its folder and its programs begin with."""
        return f"{self.family}-{self.member}"

    @property
    def folder(self) -> str:
        """The pair's folder relative to the shop, with forward slashes.

        Raises:
            Findings: `pair:name` when the folder would not lie in `output/<machine>/`.
        """
        for kind, name in (("machine", self.machine), ("family", self.family), ("member", self.member)):
            if not _SAFE.match(name) or name.endswith("."):
                cause = f"the {kind} name `{name}` cannot be part of a file name"
                raise Findings([codes.NAME.found(cause, Label(Span("output"), name))])
        return f"output/{self.machine}/{self.stem}"


@dataclass(frozen=True, slots=True)
class Record:
    """What a pair was made from.

    Attributes:
        gemel: version that wrote it.
        family, member, machine: which pair.
        program: its program number.
        drawing, revision: what it follows.
        stamp: by which each text names its baseline.
        inputs: SHA-256 of every file that went into it, by its name relative to the shop.
        texts: SHA-256 of every program, by file name.
        titles: by file name the family's id of each operation by the title that it has in that program; by these an
            edit finds its operation, also when the family has moved on. Empty in records of before.
    """

    gemel: str
    family: str
    member: str
    machine: str
    program: int
    drawing: str
    revision: str
    stamp: Mapping[str, str]
    inputs: Mapping[str, str]
    texts: Mapping[str, str]
    titles: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def to_bytes(self) -> bytes:
        """JSON, keys in order, one line each, ending in a line feed."""
        return (json.dumps(asdict(self), indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()

    @classmethod
    def from_bytes(cls, data: bytes) -> Record | None:
        """The record, or None when these bytes are none."""
        try:
            value = json.loads(data)
            fields = {"titles": {}} | value
            fields = {name: fields[name] for name in cls.__slots__}
        except (ValueError, TypeError, KeyError, RecursionError):
            return None
        return cls(**fields) if _is_record(fields) else None


def _is_record(fields: Mapping[str, Any]) -> bool:
    texts = ("gemel", "family", "member", "machine", "drawing", "revision")
    maps = ("stamp", "inputs", "texts")
    return (
        all(isinstance(fields[name], str) for name in texts)
        and isinstance(fields["program"], int)
        and all(_is_text_map(fields[name]) for name in maps)
        and isinstance(fields["titles"], dict)
        and all(_is_text_map(titles) for titles in fields["titles"].values())
    )


def _is_text_map(value: Any) -> bool:
    return isinstance(value, dict) and all(isinstance(item, str) for item in value.values())
