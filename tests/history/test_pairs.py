"""A pair on disk is the old one or the new one, never a mixture, and never over a person's work."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from gemel.findings import Findings
from gemel.history import PairName, pairs, read_pair, recover, store_pair
from gemel.history.record import RECORD
from support.repositories import NAME, record_of, texts_of

CHILD = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from support.repositories import NAME, record_of, texts_of
from gemel.history import pairs, read_pair, recover, store_pair
if sys.argv[3] == "two renames":
    pairs.exchange = lambda one, other: False
shop = Path(sys.argv[1])
recover(shop)
print("ready", flush=True)
number = 0
while True:
    number += 1
    texts = texts_of("x" * 20000 + str(number))
    store_pair(shop, texts, record_of(texts), read_pair(shop, NAME))
"""


def put(shop: Path, body: str) -> None:
    texts = texts_of(body)
    store_pair(shop, texts, record_of(texts), read_pair(shop, NAME))


def names_under(folder: Path) -> list[str]:
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def whole() -> list[str]:
    return sorted([*(f"{NAME.folder}/{file}" for file in texts_of("")), f"{NAME.folder}/{RECORD}"])


def code_of(error: pytest.ExceptionInfo[Findings]) -> str:
    return error.value.findings[0].name


def test_a_pair_is_read_back_as_it_was_stored(tmp_path: Path) -> None:
    """What is stored is what is read, byte for byte, with its record."""
    texts = texts_of("first")
    store_pair(tmp_path, texts, record_of(texts), None)
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert (stored.texts, stored.record, stored.edited) == (texts, record_of(texts), ())


def test_a_new_pair_takes_the_old_ones_place_and_leaves_nothing_behind(tmp_path: Path) -> None:
    """After a second writing the folder holds the new pair, and no temporary file stays."""
    put(tmp_path, "first")
    put(tmp_path, "second")
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.texts == texts_of("second")
    assert names_under(tmp_path) == whole()


def test_two_renames_do_where_the_system_cannot_exchange(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the one-step exchange the result is the same."""
    monkeypatch.setattr(pairs, "exchange", lambda _one, _other: False)
    put(tmp_path, "first")
    put(tmp_path, "second")
    assert names_under(tmp_path) == whole()
    assert read_pair(tmp_path, NAME) is not None


def test_an_edited_program_is_known_by_its_digest(tmp_path: Path) -> None:
    """One changed byte makes the program edited, and the finding names the file."""
    put(tmp_path, "first")
    path = tmp_path / NAME.folder / f"{NAME.stem}.lower.nc"
    path.write_bytes(path.read_bytes() + b" ")
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.edited == (path.name,)
    [finding] = stored.hand_edits()
    assert finding.name == "pair:hand-edited"
    assert finding.labels[0].span.source.endswith(path.name)


def test_an_edit_between_reading_and_writing_is_put_back(tmp_path: Path) -> None:
    """A program changed after gemel looked at it is found at its place again, and the writing is refused."""
    put(tmp_path, "first")
    before = read_pair(tmp_path, NAME)
    path = tmp_path / NAME.folder / f"{NAME.stem}.upper.nc"
    path.write_bytes(b"my own\n")
    texts = texts_of("second")
    with pytest.raises(Findings) as error:
        store_pair(tmp_path, texts, record_of(texts), before)
    assert code_of(error) == "pair:hand-edited"
    assert path.read_bytes() == b"my own\n"
    assert names_under(tmp_path) == whole()


def test_a_folder_that_appears_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    """A pair that somebody else put there after gemel saw none stays."""
    put(tmp_path, "first")
    texts = texts_of("second")
    with pytest.raises(OSError, match="not empty"):
        store_pair(tmp_path, texts, record_of(texts), None)
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.texts == texts_of("first")
    assert names_under(tmp_path) == whole()


@pytest.mark.parametrize("name", ["../x", "a/b", "", ".hidden", "a\\b", "a\nb", "x" * 101, "..", "end."])
def test_a_name_that_would_leave_the_folder_is_refused(name: str) -> None:
    """Only plain names become part of a path."""
    for pair in (PairName("m", "f", name), PairName("m", name, "1"), PairName(name, "f", "1")):
        with pytest.raises(Findings) as error:
            _ = pair.folder
        assert code_of(error) == "pair:name"


def test_a_link_in_the_way_is_refused(tmp_path: Path) -> None:
    """A linked output folder is neither read nor written through."""
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "output").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(Findings) as error:
        read_pair(tmp_path, NAME)
    assert code_of(error) == "pair:link"


def test_a_strange_file_in_the_folder_is_refused(tmp_path: Path) -> None:
    """A file that gemel did not write would vanish with the exchange, so it is named instead."""
    put(tmp_path, "first")
    (tmp_path / NAME.folder / "notes.txt").write_text("mine")
    with pytest.raises(Findings) as error:
        read_pair(tmp_path, NAME)
    assert code_of(error) == "pair:foreign-file"


@pytest.mark.parametrize("record", [b"", b"{}", b"[1]", b"\xff", b'{"gemel": 1}', b"[" * 100_000])
def test_an_unreadable_record_is_refused(tmp_path: Path, record: bytes) -> None:
    """Without its record gemel takes a folder for a person's."""
    put(tmp_path, "first")
    (tmp_path / NAME.folder / RECORD).write_bytes(record)
    with pytest.raises(Findings) as error:
        read_pair(tmp_path, NAME)
    assert code_of(error) == "pair:no-record"


def test_a_deleted_program_is_written_again(tmp_path: Path) -> None:
    """A program that was deleted is missing, not edited, and comes back with the next writing."""
    put(tmp_path, "first")
    (tmp_path / NAME.folder / f"{NAME.stem}.upper.nc").unlink()
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.edited == ()
    put(tmp_path, "first")
    assert names_under(tmp_path) == whole()


def test_a_writer_killed_between_two_renames_is_rolled_forward(tmp_path: Path) -> None:
    """The old pair set aside and the new one whole: the new one takes the place."""
    put(tmp_path, "first")
    standing = tmp_path / NAME.folder
    standing.rename(standing.parent / f".gemel-old-{NAME.stem}")
    pairs._fill(standing.parent / f".gemel-new-{NAME.stem}", texts_of("second"), record_of(texts_of("second")))
    assert recover(tmp_path) == (NAME.folder,)
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.texts == texts_of("second")
    assert names_under(tmp_path) == whole()


def test_a_writer_killed_while_it_built_is_rolled_back(tmp_path: Path) -> None:
    """The old pair set aside and the new one torn: the old one comes back."""
    put(tmp_path, "first")
    standing = tmp_path / NAME.folder
    standing.rename(standing.parent / f".gemel-old-{NAME.stem}")
    torn = standing.parent / f".gemel-new-{NAME.stem}"
    torn.mkdir()
    (torn / f"{NAME.stem}.upper.nc").write_bytes(b"half")
    recover(tmp_path)
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.texts == texts_of("first")
    assert names_under(tmp_path) == whole()


def test_a_hand_edit_set_aside_by_a_killed_writer_comes_back(tmp_path: Path) -> None:
    """Killed after the exchange and before it looked at what it took away: a person's change is put back."""
    put(tmp_path, "first")
    standing = tmp_path / NAME.folder
    (standing / f"{NAME.stem}.upper.nc").write_bytes(b"my own\n")
    aside = standing.parent / f".gemel-new-{NAME.stem}"
    standing.rename(aside)
    pairs._fill(standing, texts_of("second"), record_of(texts_of("second")))
    recover(tmp_path)
    assert (standing / f"{NAME.stem}.upper.nc").read_bytes() == b"my own\n"
    assert names_under(tmp_path) == whole()


@pytest.mark.parametrize("way", ["exchange", "two renames"])
def test_kill_at_any_moment_leaves_a_whole_pair(tmp_path: Path, way: str) -> None:
    """Forty kills at random moments of a writer in a tight loop: after each, recovery finds one whole pair."""
    moments = random.Random(1)  # noqa: S311 # seeded moments, no secret
    for _ in range(40):
        command = [sys.executable, "-c", CHILD, str(tmp_path), str(Path(__file__).parents[1]), way]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as child:  # noqa: S603 # our own interpreter
            assert child.stdout is not None
            assert child.stdout.readline() == b"ready\n"
            time.sleep(moments.random() * 0.03)
            child.send_signal(signal.SIGKILL)
        recover(tmp_path)
        stored = read_pair(tmp_path, NAME)
        if stored is None:
            assert names_under(tmp_path) == []
            continue
        assert stored.edited == ()
        assert set(stored.texts) == set(texts_of(""))
        assert len({data.replace(b"upper", b"lower") for data in stored.texts.values()}) == 1
        assert names_under(tmp_path) == whole()


def test_a_full_disk_leaves_the_old_pair(tmp_path: Path) -> None:
    """On a disk without room the old pair stands and nothing temporary is left."""
    put(tmp_path, "first")
    code = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        f"sys.path.insert(0, {str(Path(__file__).parents[1])!r})\n"
        "from support.repositories import NAME, record_of, texts_of\n"
        "from gemel.history import read_pair, store_pair\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))\n"
        f"shop = Path({str(tmp_path)!r})\n"
        "texts = texts_of('x' * 20000)\n"
        "try: store_pair(shop, texts, record_of(texts), read_pair(shop, NAME))\n"
        "except OSError as error: sys.exit(0 if error.filename else 5)\n"
        "sys.exit(6)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True)  # noqa: S603 # our own interpreter
    assert run.returncode == 0, run.stderr
    stored = read_pair(tmp_path, NAME)
    assert stored is not None
    assert stored.texts == texts_of("first")
    assert names_under(tmp_path) == whole()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="mounting a small disk needs root")
def test_a_really_full_disk_leaves_the_old_pair(tmp_path: Path) -> None:
    """The same on a file system of 128 kB that is full."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=128k", "none", str(disk)]
    if subprocess.run(mount, check=False, capture_output=True).returncode:  # noqa: S603 # fixed words
        pytest.skip("no small disk can be mounted here")
    try:
        put(disk, "first")
        texts = texts_of("x" * 100_000)
        with pytest.raises(OSError, match="No space left") as error:
            store_pair(disk, texts, record_of(texts), read_pair(disk, NAME))
        assert NAME.stem in str(error.value.filename)
        stored = read_pair(disk, NAME)
        assert stored is not None
        assert stored.texts == texts_of("first")
        assert names_under(disk) == whole()
    finally:
        subprocess.run(["umount", str(disk)], check=True)  # noqa: S603, S607 # fixed words
