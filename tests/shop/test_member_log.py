"""The log of a pair: every writing, copy, sending and release, in the order in which it happened."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.shop.layout import Shop
from gemel.shop.member_log import What, log_of
from gemel.shop.release import Wish, release
from gemel.shop.send import send
from support.at_control import BRANCH, MACHINE, NAME, take
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def story(real_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Written, sent, edited at the control, taken in, decided, released; a minute apart."""
    minutes = iter(range(1, 60))

    def tick() -> None:
        for who in ("AUTHOR", "COMMITTER"):
            monkeypatch.setenv(f"GIT_{who}_DATE", f"2024-03-01T08:{minute:02d}:00+0000")

    there = tmp_path / "control"
    there.mkdir()
    minute = next(minutes)
    tick()
    send(Shop(real_shop), [NAME], there, None)
    path = there / "port-block-20.lower.nc"
    path.write_bytes(path.read_bytes().replace(b"F0.08", b"F0.06"))
    minute = next(minutes)
    tick()
    take(real_shop, there)
    words = ["decide", NAME, "--all", "--keep", "--by", "B. Reviewer", "--why", "the bar rang", "--on", "2024-03-01"]
    assert boundary.run(words) == 0
    path.write_bytes(path.read_bytes().replace(b"F0.06", b"F0.08"))
    minute = next(minutes)
    tick()
    take(real_shop, there)
    minute = next(minutes)
    tick()
    release(Shop(real_shop), Wish(NAME, MACHINE, "A. Setter", "2024-03-01"))
    return real_shop


def happened(shop: Path) -> list[What]:
    return [e.what for e in log_of(Shop(shop), NAME, None).events if e.what is not What.WRITTEN]


def test_everything_that_happened_is_told_in_order(story: Path) -> None:
    """Each event with who and what, at its moment; a decision at that of the commit that brought it."""
    assert happened(story) == [What.SENT, What.TAKEN_IN, What.DECIDED, What.TAKEN_IN, What.RELEASED]
    events = log_of(Shop(story), NAME, None).events
    assert What.WRITTEN in {e.what for e in events}
    said = {e.what: e for e in events}
    assert re.fullmatch(r"keep: .*0\.08.*0\.06.* \(the bar rang\)", said[What.DECIDED].said)
    assert said[What.DECIDED].at.startswith("2024-03-01T08:02")
    assert (said[What.DECIDED].by, said[What.RELEASED].by) == ("B. Reviewer", "A. Setter")
    taken = [e.said for e in events if e.what is What.TAKEN_IN]
    assert [text.partition("; ")[2] for text in taken] == ["changed: lower", "as gemel wrote it"]


def test_a_decision_that_is_not_committed_has_its_day(story: Path) -> None:
    """It stands behind the last copy up to that day."""
    git(story, "update-ref", "refs/heads/main", "main~1")
    assert happened(story) == [What.SENT, What.TAKEN_IN, What.TAKEN_IN, What.DECIDED, What.RELEASED]


def test_what_was_at_the_control_can_be_shown_with_plain_git(story: Path) -> None:
    """The commit that the log names holds the copy of that moment."""
    edited = next(e for e in log_of(Shop(story), NAME, None).events if "changed: lower" in e.said)
    assert "F0.06" in git(story, "show", f"{edited.ref}:port-block-20/lower.nc")
    assert "F0.06" not in git(story, "show", f"{BRANCH}:port-block-20/lower.nc")


def test_one_machine_or_all(story: Path) -> None:
    """The log of another machine has nothing; a member that never was is an error with its name."""
    with pytest.raises(Findings) as error:
        log_of(Shop(story), NAME, "inch-duplex")
    assert [f.name for f in error.value.findings] == ["shop:no-member"]
    assert len(log_of(Shop(story), NAME, MACHINE).events) == len(log_of(Shop(story), NAME, None).events)


def test_table_and_json(story: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The table has a row an event; the list has its fields in full."""
    assert boundary.run(["log", NAME]) == 0
    assert re.search(r"2024-03-01 08:02 +taken in +twin-turnmill", capsys.readouterr().out)
    assert boundary.run(["log", NAME, "--format", "json"]) == 0
    events = json.loads(capsys.readouterr().out)
    assert {"at", "what", "machine", "by", "said", "ref"} == set(events[0])
    assert boundary.run(["log", "nothing/9"]) == 2
    assert story.is_dir()


def test_a_file_of_decisions_with_a_fault_hides_nothing_else(story: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The fault is said with its place, and the other events are told."""
    (story / "families/port-block.edits.yaml").write_text("family: port-block\ndecisions: 7\n")
    assert boundary.run(["log", NAME]) != 0
    said = capsys.readouterr()
    assert "edits.yaml:2" in said.err
    assert "released" in said.out
