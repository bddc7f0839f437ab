"""Watching takes in what a control writes when it stands still, and outlives what happens to folders."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.history import PairName, latest_intake, read_repository
from gemel.shop.intake import Request, take_in
from gemel.shop.layout import Shop
from gemel.shop.watch import Settling, Watching, watch
from support.at_control import MACHINE, PAIR, both, program

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from gemel.shop.intake import Result

A, B = Path("a"), Path("b")


def test_a_file_is_given_when_it_has_stood_still() -> None:
    """Not while it grows; after two quiet seconds once, and not again."""
    settling = Settling(2.0)
    assert settling.look({A: (10, 1)}, 0.0) == frozenset()
    assert settling.look({A: (20, 2)}, 1.5) == frozenset()
    assert settling.look({A: (20, 2)}, 3.0) == frozenset()
    assert settling.look({A: (20, 2)}, 3.5) == {A}
    assert settling.look({A: (20, 2)}, 9.0) == frozenset()


def test_a_file_that_changed_again_is_given_again() -> None:
    """The same size at another time counts, so does a file that went and came back."""
    settling = Settling(1.0)
    looks: list[tuple[dict[Path, tuple[int, int]], bool]] = [
        ({A: (5, 1)}, False), ({A: (5, 1)}, True), ({A: (5, 2)}, False), ({A: (5, 2)}, True),
        ({}, False), ({A: (5, 2)}, False), ({A: (5, 2)}, True),
    ]  # fmt: skip
    for when, (files, given) in enumerate(looks):
        assert settling.look(files, float(when)) == (frozenset({A}) if given else frozenset())


def test_the_first_program_of_a_pair_waits_for_the_second() -> None:
    """Both are given together; a file that never stands still holds the others up for a while only."""
    settling = Settling(1.0)
    settling.look({A: (5, 1), B: (5, 1)}, 0.0)
    assert settling.look({A: (5, 1), B: (6, 2)}, 1.0) == frozenset()
    assert settling.look({A: (5, 1), B: (6, 2)}, 2.0) == {A, B}
    for second in range(3, 9):
        given = settling.look({A: (7, 7), B: (second, second)}, float(second))
    assert given == {A}


def test_what_could_not_be_taken_in_is_given_again() -> None:
    """After a failure the file comes back at the next look, once it is quiet."""
    settling = Settling(1.0)
    settling.look({A: (5, 1)}, 0.0)
    assert settling.look({A: (5, 1)}, 1.0) == {A}
    settling.forget([A])
    settling.look({A: (5, 1)}, 2.0)
    assert settling.look({A: (5, 1)}, 3.0) == {A}


class Watched:
    """A watch in a thread, with what it has given so far."""

    def __init__(self, shop: Path, folder: Path) -> None:
        self.results: list[Result] = []
        self.stop = threading.Event()
        self.came = threading.Condition()
        self._shop, self._watching = Shop(shop), Watching(folder, MACHINE, quiet_s=0.2)
        self.thread = threading.Thread(target=self._run)
        self.thread.start()

    def _run(self) -> None:
        for result in watch(self._shop, self._watching, self.stop):
            with self.came:
                self.results.append(result)
                self.came.notify_all()

    def wait_until(self, done: Callable[[], bool]) -> None:
        """Until it is so; a minute at most, so that a fault ends the test."""
        with self.came:
            assert self.came.wait_for(done, timeout=60)

    def end(self) -> None:
        """Stop it, and see that it stops."""
        self.stop.set()
        self.thread.join(timeout=60)
        assert not self.thread.is_alive()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "control").mkdir()
    return tmp_path / "control"


@pytest.fixture
def watched(real_shop: Path, folder: Path) -> Iterator[Watched]:
    one = Watched(real_shop, folder)
    yield one
    one.end()


def lower_copy(shop: Path) -> bytes | None:
    intake = latest_intake(read_repository(shop), PAIR)
    return intake.channels["lower"].copy if intake else None


def test_copies_are_taken_in_as_they_appear(real_shop: Path, folder: Path, watched: Watched) -> None:
    """What the control writes lies on the side branch without anybody doing anything; a second change too."""
    for feed in (b"F0.06", b"F0.05"):
        both(real_shop, folder, (b"F0.08", feed))
        changed = program(real_shop, "lower").replace(b"F0.08", feed)
        watched.wait_until(lambda changed=changed: lower_copy(real_shop) == changed)  # type: ignore[misc]
    assert {one.pair for r in watched.results for one in r.taken} == {PAIR}


def test_a_folder_that_goes_away_and_comes_back_is_watched_again(
    real_shop: Path, folder: Path, watched: Watched
) -> None:
    """A stick that is pulled out and put in again."""
    both(real_shop, folder)
    watched.wait_until(lambda: lower_copy(real_shop) is not None)
    shutil.rmtree(folder)
    folder.mkdir()
    both(real_shop, folder, (b"F0.08", b"F0.06"))
    watched.wait_until(lambda: b"F0.06" in (lower_copy(real_shop) or b""))


def test_what_lies_there_already_is_taken_in(real_shop: Path, folder: Path) -> None:
    """Files that were written before the watch began are not forgotten."""
    both(real_shop, folder)
    watched = Watched(real_shop, folder)
    watched.wait_until(lambda: lower_copy(real_shop) == program(real_shop, "lower"))
    watched.end()


def test_a_failure_is_said_once_and_tried_again(real_shop: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While git refuses, the watch goes on; when it does no longer, the copy is taken in."""
    failing = threading.Event()
    failing.set()

    def sometimes(shop: Shop, request: Request) -> Result:
        if failing.is_set():
            raise OSError(28, "No space left on device", ".git")
        return take_in(shop, request)

    monkeypatch.setattr("gemel.shop.watch.take_in", sometimes)
    both(real_shop, folder)
    watched = Watched(real_shop, folder)
    watched.wait_until(lambda: bool(watched.results))
    failing.clear()
    watched.wait_until(lambda: lower_copy(real_shop) == program(real_shop, "lower"))
    watched.end()
    assert sum(len(result.findings) for result in watched.results) == 1


def test_a_folder_that_is_not_there_is_said(real_shop: Path, folder: Path) -> None:
    """A name that is no folder, and a machine that is none, end the command at once."""
    for watching, code in (
        (Watching(folder / "none", MACHINE), "shop:no-file"),
        (Watching(folder, "lathe"), "shop:no-machine"),
    ):
        with pytest.raises(Findings) as error:
            next(watch(Shop(real_shop), watching, threading.Event()))
        assert [f.name for f in error.value.findings] == [code]
    assert PairName(MACHINE, "port-block", "20") == PAIR


def test_a_shop_without_git_is_not_watched_for(tmp_path: Path) -> None:
    """Nothing could be taken in, so it is said at once, and not only when the first copy comes."""
    shop, control = tmp_path / "shop", tmp_path / "control"
    control.mkdir()
    for part in ("families", "templates"):
        shutil.copytree(Path(__file__).parents[2] / part, shop / part)
    with pytest.raises(Findings) as error:
        watch(Shop(shop), Watching(control, "twin-turnmill"), threading.Event())
    assert [finding.name for finding in error.value.findings] == ["git:no-repository"]
