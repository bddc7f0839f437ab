"""What was worked out once and need not be again: proofs, cycle times, what a family's file lists.

A value stands under a digest of everything that it follows from, gemel's own code included, so it can be right or
missing, never out of date. The file is never the only place of anything: without it, or when it does not bear its own
checksum, all is worked out again. Nothing that is released or sent is believed because it stands here.
"""

from __future__ import annotations

import contextlib
import json
import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gemel import __version__
from gemel.history.record import digest

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Derived", "key_of"]

_NAME = "derived.json"
_MOST = 5_000


def key_of(kind: str, *parts: str | Mapping[str, str]) -> str:
    """The key of a value that follows from these digests and names, by this gemel."""
    rows = [dict(sorted(part.items())) if not isinstance(part, str) else part for part in parts]
    return f"{kind}:{digest(json.dumps([_code_mark(), *rows]).encode())}"


@cache
def _code_mark() -> str:
    """Version of gemel, and when its newest module was changed: who works on gemel must not see old answers."""
    package = Path(__file__).parents[1]
    times = [entry.stat().st_mtime_ns for entry in package.rglob("*.py")]
    return f"{__version__} {len(times)} {max(times)}"


class Derived:
    """The values of one shop; read when first asked for, written by `save`. Without a folder it knows nothing."""

    def __init__(self, folder: Path | None = None) -> None:
        self._path = folder / _NAME if folder else None
        self._values: dict[str, Any] | None = None
        self._used: dict[str, Any] = {}
        self._changed = False

    @property
    def folder(self) -> str:
        """The folder in which the values are kept; empty for none."""
        return str(self._path.parent) if self._path else ""

    @property
    def _held(self) -> dict[str, Any]:
        if self._values is None:
            self._values = _read(self._path) if self._path else {}
        return self._values

    def get(self, key: str) -> Any:
        """The value under a key; None when it has not been worked out."""
        value = self._used.get(key, self._held.get(key))
        if value is not None:
            self._used[key] = value
        return value

    def put(self, key: str, value: Any) -> None:
        """Remember a value that JSON can hold."""
        if self.get(key) != value:
            self._used[key] = value
            self._changed = True

    def save(self) -> None:
        """Write what is new, whole or not at all. Where it cannot be written, it is worked out again next time."""
        if not self._changed or self._path is None:
            return
        # What another gemel wrote meanwhile stays; of too many, those that were asked for now.
        values = _read(self._path) | self._used
        if len(values) > _MOST:
            values = self._used
        body = json.dumps(values, sort_keys=True)
        whole = json.dumps({"sha256": digest(body.encode()), "values": body}).encode()
        staged = self._path.with_name(f"{_NAME}.{os.getpid()}")
        with contextlib.suppress(OSError):
            self._path.parent.mkdir(exist_ok=True)
            staged.write_bytes(whole)
            staged.replace(self._path)
            self._changed = False
        with contextlib.suppress(OSError):
            staged.unlink()


def _read(path: Path) -> dict[str, Any]:
    try:
        whole = json.loads(path.read_bytes())
        if whole["sha256"] != digest(whole["values"].encode()):
            return {}
        values = json.loads(whole["values"])
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}
    return values if isinstance(values, dict) else {}
