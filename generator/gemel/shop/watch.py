"""Watch a control's folder, and take in what appears there as soon as it stands still."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Findings, Label, Span, printable
from gemel.history import read_repository
from gemel.shop import codes
from gemel.shop.intake import Request, Result, take_in
from gemel.shop.intake_files import walk

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path
    from threading import Event

    from gemel.shop.layout import Shop

__all__ = ["Settling", "Watching", "watch"]

_TICK_S = 0.5
_PATIENCE = 5


class _Seen(NamedTuple):
    size: int
    changed_ns: int
    since_s: float


class Settling:
    """Which files stand still: neither size nor time of change have moved for a while.

    A pair comes as two files: while one still moves the other waits for it, yet not for ever.
    """

    def __init__(self, quiet_s: float) -> None:
        self._quiet_s = quiet_s
        self._moving: dict[Path, _Seen] = {}
        self._done: dict[Path, tuple[int, int]] = {}

    def look(self, sizes: dict[Path, tuple[int, int]], now_s: float) -> frozenset[Path]:
        """The files that have come to a stand and were not given before.

        Args:
            sizes: size and time of change, in nanoseconds, of every file that is there.
            now_s: of a clock that never goes back.
        """
        self._done = {path: seen for path, seen in self._done.items() if path in sizes}
        moving: dict[Path, _Seen] = {}
        for path, (size, changed_ns) in sizes.items():
            if self._done.get(path) == (size, changed_ns):
                continue
            before = self._moving.get(path)
            same = before is not None and (before.size, before.changed_ns) == (size, changed_ns)
            moving[path] = before if before is not None and same else _Seen(size, changed_ns, now_s)
        self._moving = moving
        still = {path for path, seen in moving.items() if now_s - seen.since_s >= self._quiet_s}
        long = {path for path in still if now_s - moving[path].since_s >= _PATIENCE * self._quiet_s}
        ready = still if still == set(moving) else long
        for path in ready:
            self._done[path] = sizes[path]
            del self._moving[path]
        return frozenset(ready)

    def forget(self, paths: Iterable[Path]) -> None:
        """Give these again: they could not be taken in."""
        for path in paths:
            self._done.pop(path, None)


@dataclass(frozen=True, slots=True)
class Watching:
    """What is watched.

    Attributes:
        folder: the control's.
        machine: whose control.
        quiet_s: how long a file must stand still.
        poll: look again and again instead of asking the system, for network drives that tell of no change.
    """

    folder: Path
    machine: str
    quiet_s: float = 2.0
    poll: bool = False


def watch(shop: Shop, watching: Watching, stop: Event) -> Iterator[Result]:
    """Begin to watch: what each intake gives, until `stop` is set. What lies there already is taken in first.

    A folder that goes away (a stick, a network drive) is waited for.

    Raises:
        Findings: `shop:no-file` when there is no such folder at the beginning, `shop:no-machine`, `git:` faults.
    """
    shop.machine(watching.machine)
    if not watching.folder.is_dir():
        cause = f"{printable(str(watching.folder))} is no folder"
        remedy = "name the folder that the control writes to; plug in or mount what it lies on"
        raise Findings([codes.NO_FILE.found(cause, Label(Span(printable(str(watching.folder)))), remedy=remedy)])
    read_repository(shop.root)  # without one nothing could be taken in, however long it watches
    return _results(_Keeper(shop, watching), watching, stop)


def _results(keeper: _Keeper, watching: Watching, stop: Event) -> Iterator[Result]:
    while not stop.is_set():
        for _ in _ticks(watching, stop):
            result = keeper.look()
            if result is not None:
                yield result
        stop.wait(_TICK_S)


def _ticks(watching: Watching, stop: Event) -> Iterator[None]:
    """Something changed in the folder, or some time has gone by; ends when it is another folder, or none."""
    from watchfiles import watch as changes  # noqa: PLC0415 # heavy, and needed by this command alone

    folder = watching.folder
    place = _place(folder)
    if place is None:
        return
    yield
    options = {"force_polling": True} if watching.poll else {}
    tick_ms = int(_TICK_S * 1000)
    found = changes(
        folder,
        watch_filter=None,
        stop_event=stop,
        rust_timeout=tick_ms,
        yield_on_timeout=True,
        raise_interrupt=True,
        **options,
    )
    for _ in found:
        if _place(folder) != place:
            return
        yield


def _place(folder: Path) -> tuple[int, int] | None:
    """Which folder it is, whatever it is called; None for none."""
    try:
        about = folder.stat()
    except OSError:
        return None
    return about.st_dev, about.st_ino


@dataclass(slots=True)
class _Keeper:
    shop: Shop
    watching: Watching
    settling: Settling = field(init=False)
    said: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.settling = Settling(self.watching.quiet_s)

    def look(self) -> Result | None:
        """Take in what stands still; None where there is nothing to say."""
        ready = self.settling.look(_sizes(self.watching.folder), time.monotonic())
        if not ready:
            return None
        request = Request((str(self.watching.folder),), self.watching.machine, only=ready)
        try:
            result = take_in(self.shop, request)
        except Findings as error:
            # Nothing was taken in: it is tried again, and said once.
            result = Result(findings=list(error.findings))
            if not all(finding.rule == "intake" for finding in error.findings):
                self.settling.forget(ready)
        except OSError as error:
            self.settling.forget(ready)
            cause = f"{printable(str(error.filename or self.watching.folder))}: {error.strerror or error}"
            result = Result(findings=[codes.NO_FILE.found(cause, Label(Span(printable(str(self.watching.folder)))))])
        return self._new(result)

    def _new(self, result: Result) -> Result | None:
        said = tuple(finding.cause for finding in result.findings)
        nothing_done = not result.stored and not any(one.commit for one in result.taken)
        if nothing_done and (not said or said == self.said):
            return None
        self.said = said
        return result


def _sizes(folder: Path) -> dict[Path, tuple[int, int]]:
    """Size and time of change of every file there; none where the folder has just gone."""
    found = {}
    try:
        for path in walk(folder):
            about = path.lstat()
            found[path] = (about.st_size, about.st_mtime_ns)
    except (OSError, Findings):
        return found
    return found
