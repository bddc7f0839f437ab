"""A release is put on record only for what was written, proved, committed and decided."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.history import create_repository, read_repository
from gemel.history.releases import releases
from gemel.shop.layout import Shop
from gemel.shop.release import Wish, release
from support.at_control import FOLDER, MACHINE, NAME, PAIR, both, program, spoil_the_proof, take, write_unproved
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

WISH = Wish(NAME, MACHINE, "A. Setter", "2024-03-01", "first piece 0.02 long")
TAG = f"release/{MACHINE}/port-block-20"


def refused(shop: Path, wish: Wish = WISH) -> list[str]:
    with pytest.raises(Findings) as error:
        release(Shop(shop), wish)
    assert git(shop, "tag") == ""
    return [f.name for f in error.value.findings if f.is_error]


def test_a_release_is_an_annotated_tag_that_plain_git_reads(real_shop: Path) -> None:
    """`git show` tells who, when, which revision and digests; the tag names the commit that wrote the pair."""
    made = release(Shop(real_shop), WISH)
    assert made.tag == f"{TAG}/1"
    said = git(real_shop, "show", "--no-patch", made.tag)
    for part in ("Released-by: A. Setter", "Proved-out-on: 2024-03-01", "Revision: C", "Note: first piece 0.02 long"):
        assert part in said
    assert git(real_shop, "rev-parse", f"{made.tag}^{{commit}}") == git(real_shop, "log", "-1", "--format=%H", FOLDER)
    assert git(real_shop, "cat-file", "-t", made.tag).strip() == "tag"
    assert git(real_shop, "fsck", "--strict") == ""


def test_a_release_is_read_back_as_it_was_made(real_shop: Path) -> None:
    """What `status` and `send` read from the tag is what was put on record."""
    made = release(Shop(real_shop), WISH)
    [read] = releases(read_repository(real_shop))
    assert (read.pair, read.tag, read.commit, read.revision) == (PAIR, made.tag, made.commit, "C")
    assert (read.prove_out.by, read.prove_out.on, read.prove_out.note) == (WISH.by, WISH.on, WISH.note)
    assert set(read.texts) == {"port-block-20.lower.nc", "port-block-20.upper.nc"}


def test_a_second_prove_out_is_a_second_tag(real_shop: Path) -> None:
    """Nothing on record is replaced."""
    assert [release(Shop(real_shop), WISH).tag for _ in range(2)] == [f"{TAG}/1", f"{TAG}/2"]


def test_undecided_edits_stand_against_it(real_shop: Path, tmp_path: Path) -> None:
    """What ran at the prove-out had an edit that the text does not have."""
    both(real_shop, tmp_path, (b"F0.08", b"F0.06"))
    take(real_shop, *tmp_path.glob("*.nc"))
    assert refused(real_shop) == ["release:undecided"]


def test_a_copy_without_edits_does_not(real_shop: Path, tmp_path: Path) -> None:
    """A control that has renumbered the blocks has edited nothing."""
    both(real_shop, tmp_path, (b"\nN", b"\nN1"))
    take(real_shop, *tmp_path.glob("*.nc"))
    assert release(Shop(real_shop), WISH).findings == ()


def test_what_does_not_pass_the_proof_is_not_released(real_shop: Path) -> None:
    """A pair that got into output/ unproved, whose waits do not meet: refused with the proof's own findings."""
    spoil_the_proof(real_shop)
    write_unproved(real_shop)
    assert refused(real_shop)[-1] == "release:not-proved"


def test_what_is_in_no_commit_is_not_released(real_shop: Path) -> None:
    """A pair that was written without git cannot be found again."""
    git(real_shop, "rm", "-r", "--cached", "--quiet", FOLDER)
    git(real_shop, "commit", "--quiet", "-m", "output is not kept")
    assert refused(real_shop) == ["release:not-committed"]


def test_a_program_that_was_changed_by_hand_is_not_released(real_shop: Path) -> None:
    """The text on disk is not the one that gemel wrote and proved."""
    path = real_shop / FOLDER / "port-block-20.lower.nc"
    path.write_bytes(program(real_shop, "lower").replace(b"F0.08", b"F0.07"))
    assert refused(real_shop) == ["pair:hand-edited"]
    path.unlink()
    assert refused(real_shop) == ["release:no-pair"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"by": "  "}, "release:nobody"),
        ({"on": "yesterday"}, "release:nobody"),
        ({"on": (dt.date.today() + dt.timedelta(days=2)).isoformat()}, "release:nobody"),  # noqa: DTZ011 # a day
        ({"pair": "port-block/21"}, "release:no-pair"),
        ({"pair": "../../x"}, "release:no-pair"),
        ({"machine": "lathe"}, "release:which-machine"),
    ],
)
def test_a_wish_that_says_too_little_is_refused(real_shop: Path, change: dict[str, str], code: str) -> None:
    """No name, no day, a day to come, no such pair, another machine: each is said, and no tag is made."""
    values = {name: getattr(WISH, name) for name in Wish.__slots__} | change
    assert refused(real_shop, Wish(**values)) == [code]


def test_a_stale_pair_is_released_with_a_warning(real_shop: Path) -> None:
    """A prove-out of the old revision while the new one is being drawn is on record, and said to be old."""
    path = real_shop / "families/port-block.yaml"
    path.write_text(path.read_text().replace("revision: C", "revision: D"))
    made = release(Shop(real_shop), WISH)
    assert [f.name for f in made.findings] == ["release:stale"]
    [read] = releases(read_repository(real_shop))
    assert read.revision == "C"


def test_a_name_cannot_forge_a_record(real_shop: Path) -> None:
    """Line feeds and escapes in name and note do not become rows of the record or reach the terminal."""
    values = {name: getattr(WISH, name) for name in Wish.__slots__}
    forged = {"by": "A. Setter\nStamp: 0000000000\x1b[2J", "note": "x\nReleased-by: B"}
    release(Shop(real_shop), Wish(**(values | forged)))
    [read] = releases(read_repository(real_shop))
    assert read.stamp != "0000000000"
    assert "\x1b" not in git(real_shop, "show", "--no-patch", read.tag)
    assert "B" not in read.prove_out.by.removeprefix("A. Setter^JStamp: 0000000000^[[2J")


def test_a_tag_that_somebody_made_by_hand_is_no_release(real_shop: Path) -> None:
    """A plain or half tag under the same name is passed over."""
    git(real_shop, "tag", f"{TAG}/1")
    git(real_shop, "tag", "-a", "-m", "Released-by: me", f"{TAG}/2")
    assert releases(read_repository(real_shop)) == []
    assert release(Shop(real_shop), WISH).tag == f"{TAG}/3"


def test_the_command_says_the_tag(real_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Status 0 and the name of the tag; a pair that is not there gives status 2."""
    assert real_shop.is_dir()
    assert boundary.run(["release", NAME, "--by", "A. Setter"]) == 0
    assert f"tag {TAG}/1" in capsys.readouterr().out
    assert boundary.run(["release", "port-block/99", "--by", "A. Setter"]) == 2


def test_an_empty_repository_has_no_release(tmp_path: Path) -> None:
    """Reading releases needs no commit."""
    create_repository(tmp_path)
    assert releases(read_repository(tmp_path)) == []
