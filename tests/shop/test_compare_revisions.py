"""Two states of a shop: every difference named, what only looks different called so, nothing else said."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from gemel.cli import main as boundary
from support.at_control import take
from support.repositories import git

OUTPUT = "output/twin-turnmill"


@pytest.fixture(scope="session")
def two_revisions(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two pairs at revision C, tag `c`; then one is a millimetre longer and both peck shorter, tag `d`."""
    root = tmp_path_factory.mktemp("revised") / "shop"
    shutil.copytree(laid_out, root, symlinks=True)
    family = root / "families/port-block.yaml"
    with pytest.MonkeyPatch.context() as patch:
        for who in ("AUTHOR", "COMMITTER"):
            patch.setenv(f"GIT_{who}_NAME", "A Programmer")
            patch.setenv(f"GIT_{who}_EMAIL", "programmer@shop.invalid")
        patch.chdir(root)
        assert boundary.run(["write", "port-block/20", "port-block/35"]) == 0
        git(root, "tag", "c")
        text = family.read_text()
        text = text.replace('"35": {length: 35', '"35": {length: 36').replace("{peck: 4}", "{peck: 3}")
        family.write_text(text.replace("revision: C", "revision: D"))
        assert boundary.run(["write", "port-block/20", "port-block/35"]) == 0
        git(root, "tag", "d")
    return root


@pytest.fixture
def revised(two_revisions: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = tmp_path / "shop"
    shutil.copytree(two_revisions, root, symlinks=True)
    monkeypatch.chdir(root)
    return root


class Ask:
    """Carries out `gemel compare`."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        """Exit status, standard output, standard error."""
        self._capsys.readouterr()
        status = boundary.run(["compare", *words])
        said = self._capsys.readouterr()
        return status, said.out, said.err

    def pairs(self, *words: str) -> dict[str, dict[str, Any]]:
        """The pairs of the answer for scripts, by family and member."""
        answer = json.loads(self(*words, "--format", "json")[1])
        return {f"{pair['family']}/{pair['member']}": pair for pair in answer["pairs"]}


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    return Ask(capsys)


def program(member: str, channel: str) -> Path:
    return Path(f"{OUTPUT}/port-block-{member}/port-block-{member}.{channel}.nc")


def test_a_drawing_revision_is_told_in_shop_words(revised: Path, ask: Ask) -> None:
    """Equal changes are one row with their size, the length in every operation that follows it, times in the head."""
    status, out, _ = ask("c", "d", "port-block/35")
    assert status == 1
    assert re.search(r"\ntwin-turnmill  port-block/35  KB-1042 C to D, [\d.]+ s to [\d.]+ s a part \([+-]", out)
    assert "2 x peck of drill ports Q4000 to Q3000, 25 % shorter" in out
    assert re.search(r"Z of cut off -37\.3 to -38\.3 mm, 1 mm further in$", out, re.MULTILINE)
    assert "A FRESH BAR STANDS 50 OUT OF THE CHUCK, 0.5 BEFORE Z0 to A FRESH BAR STANDS 51 OUT" in out
    assert "port-block/20" not in out
    assert out.endswith("1 with differences\n")
    assert revised.is_dir()


def test_nothing_is_told_but_what_git_finds_changed(revised: Path, ask: Ask) -> None:
    """Held against git: the programs with a difference are those that differ in bytes, and each word stands there."""
    changed = set(git(revised, "diff", "--name-only", "c", "d", "--", "output/**.nc").split())
    told = set()
    for name, pair in ask.pairs("c", "d").items():
        stem = name.replace("/", "-")
        for found in pair["programs"]:
            path = f"{OUTPUT}/{stem}/{stem}.{found['channel']}.nc"
            told |= {path} if found["said"] != "the same" else set()
            texts = [git(revised, "show", f"{tag}:{path}").splitlines() for tag in ("c", "d")]
            for change in found["changes"]:
                lines = [int(number) for number in change["lines"].split(" > ")]
                assert change["old"] in texts[0][lines[0] - 1]
                assert change["new"] in texts[1][lines[1] - 1]
    assert told == changed


def test_times_are_those_that_the_programs_take(revised: Path, ask: Ask, capsys: pytest.CaptureFixture[str]) -> None:
    """The cycle time after is what `gemel time` reads from `output/`; before is another one."""
    before, after = ask.pairs("c")["port-block/35"]["period_s"]
    boundary.run(["time", "port-block/35", "--format", "json"])
    timed = json.loads(capsys.readouterr().out)
    assert f"{after:.3f}" in {f"{value:.3f}" for value in _numbers(timed)}
    assert before != after
    assert revised.is_dir()


def _numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for inner in value.values() for number in _numbers(inner)]
    if isinstance(value, list):
        return [number for inner in value for number in _numbers(inner)]
    return [float(value)] if isinstance(value, int | float) else []


@pytest.mark.parametrize("words", [("HEAD",), ("d",), ("d", "output"), ("d", "."), ("main", "HEAD"), (".", "d")])
def test_states_that_are_one_are_the_same(revised: Path, ask: Ask, words: tuple[str, ...]) -> None:
    """Commit, tag, branch, the shop and its `output/` name the same pairs; status 0."""
    assert ask(*words)[0] == 0
    assert {pair["what"] for pair in ask.pairs(*words).values()} == {"same"}
    assert revised.is_dir()


def test_pairs_that_came_and_went_are_told(revised: Path, ask: Ask) -> None:
    """A pair that one state alone holds is added or removed, with its cycle time; that is a difference."""
    shutil.rmtree(revised / f"{OUTPUT}/port-block-35")
    status, out, _ = ask("d")
    assert status == 1
    assert re.search(r"port-block/35  removed, KB-1042 D, [\d.]+ s a part", out)
    assert {n: p["what"] for n, p in ask.pairs(".", "d").items()} == {"port-block/20": "same", "port-block/35": "added"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (rb"REV D", rb"REV E", "nothing but the header"),
        (rb"STAMP \w+", rb"STAMP 0123456789", "nothing but the header"),
        (rb"(?m)^N\d+ ", rb"", "nothing but sequence numbers"),
        (rb"(?m)^\(4 FLATS.*\n", rb"", "nothing but comments"),
        (rb" (?=[XYZ])", rb"", "nothing but spelling"),
        (rb"\n", rb"\r\r\n", "nothing but spelling"),
    ],
)
def test_what_only_looks_different_is_no_difference(revised: Path, ask: Ask, old: bytes, new: bytes, said: str) -> None:
    """It is said what differs, and the status says that the machine would do the same."""
    path = program("35", "upper")
    path.write_bytes(re.sub(old, new, path.read_bytes()))
    status, out, _ = ask("d")
    assert (status, f"  upper: {said}\n" in out) == (0, True)
    assert "  lower: the same\n" in out
    assert revised.is_dir()


def test_two_programs_are_compared_by_themselves(revised: Path, ask: Ask, tmp_path: Path) -> None:
    """Their channel is told by stamp, header, number or the end of the name; equal changes are one row."""
    text = program("35", "upper").read_bytes()
    other = tmp_path / "O1202.OLD"
    other.write_bytes(re.sub(rb"F1193\.7", rb"F1000.", text))
    status, out, _ = ask(str(program("35", "upper")), str(other))
    assert status == 1
    assert re.search(r"\d+ x feed of mill flats 1193\.7 to 1000\. mm/min, 16 % slower\n", out)
    other.write_bytes(re.sub(rb"\(.*?\)", rb"", text))
    assert ask(str(program("35", "upper")), str(other))[0] == 0
    other.write_bytes(re.sub(rb"O1202", rb"O7777", other.read_bytes()))
    status, _, err = ask(str(other), str(other))
    assert (status, "[compare:channel]" in err) == (2, True)
    assert ask(str(other), str(other), "-m", "twin-turnmill", "-c", "upper")[0] == 0
    assert revised.is_dir()


def test_programs_of_two_channels_are_not_held_against_each_other(revised: Path, ask: Ask) -> None:
    """The finding names both; who means it names the channel."""
    files = [str(program("35", channel)) for channel in ("upper", "lower")]
    status, _, err = ask(*files)
    assert (status, "[compare:unlike]" in err) == (2, True)
    assert ask(*files, "--channel", "upper")[0] == 1
    assert "did you mean `upper`?" in ask(*files, "--channel", "uper")[2]
    assert revised.is_dir()


def test_what_stands_at_a_control_is_compared(revised: Path, ask: Ask, tmp_path: Path) -> None:
    """The side branch is a state like any other: copies against what was sent, gemel's mark of release no edit."""
    stick = tmp_path / "stick"
    stick.mkdir()
    text = program("20", "lower").read_bytes()
    text = text.replace(b"LOWER)", b"LOWER) (RELEASED)", 1).replace(b"F0.08", b"F0.06")
    (stick / "O1201").write_bytes(text)
    take(revised, stick)
    status, out, _ = ask("d", "at-control/twin-turnmill", "port-block/20")
    assert status == 1
    assert "feed of cut off 0.08 to 0.06 mm/rev, 25 % slower" in out
    assert "RELEASED" not in out
    assert "  upper: the same\n" in out


def test_loose_programs_are_held_against_their_own(revised: Path, ask: Ask, tmp_path: Path) -> None:
    """A folder with one program is about that one; nothing is said of other pairs, and the pair is timed with it."""
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "O1202").write_bytes(program("35", "upper").read_bytes().replace(b"F1193.7", b"F1000."))
    (stick / "photo.jpg").write_bytes(bytes(range(256)))
    (stick / "notes.txt").write_text("Chatter on the second flat.\n")
    (stick / "away.nc").symlink_to(program("20", "upper").resolve())
    pairs = ask.pairs("HEAD", str(stick))
    assert list(pairs) == ["port-block/35"]
    assert [p["channel"] for p in pairs["port-block/35"]["programs"]] == ["upper"]
    before, after = pairs["port-block/35"]["period_s"]
    assert after > before
    assert pairs["port-block/35"]["revision"] == ["D", "D"]
    assert ask.pairs("c", str(stick))["port-block/35"]["revision"] == ["C", None]
    assert ask("HEAD", str(stick / "O1202"))[0] == 1
    (stick / "O1").write_text("O1\nG1 X5.\nM30\n")
    status, _, err = ask("HEAD", str(stick))
    assert (status, "[compare:unrecognised]" in err) == (2, True)
    shutil.copy(stick / "O1202", stick / "O1")
    assert "[compare:twice]" in ask("HEAD", str(stick))[2]
    assert revised.is_dir()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["nothing"], "unknown"),
        ([""], "unknown"),
        (["c", "nothing"], "unknown"),
        (["c..d"], "unknown"),
        (["c^{tree}"], "unknown"),
        (["HEAD:output"], "unknown"),
        (["--", "--upload-pack=touch ran"], "unknown"),
        (["--", "--all"], "unknown"),
        (["^c"], "unknown"),
        (["x" * 5000], "unknown"),
        (["c", "\x1b]0;owned\x07"], "unknown"),
        (["c", "$(touch ran);`touch ran`"], "unknown"),
        (["docs/empty"], "no-pairs"),
        (["families/port-block.yaml"], "not-a-program"),
        (["c", "picture"], "not-a-program"),
        (["c", "blank"], "not-a-program"),
        (["c", "d", "port-block/21"], "no-pair"),
        (["c", "port-block/21"], "no-pair"),
        (["c", "--machine", "twin-turnmil"], "no-pair"),
    ],
)
def test_what_cannot_be_compared_is_said(revised: Path, ask: Ask, words: list[str], code: str) -> None:
    """Status 2 and one finding; nothing is run, and a terminal shows the answer and does nothing else."""
    (revised / "docs/empty").mkdir(parents=True)
    (revised / "picture").write_bytes(bytes(range(256)) * 20)
    (revised / "blank").write_bytes(b"")
    status, _, err = ask(*words)
    assert (status, f"[compare:{code}]" in err) == (2, True)
    assert all(c.isprintable() or c == "\n" for c in err)
    assert not (revised / "ran").exists()


def test_an_option_that_is_none_is_refused(revised: Path, ask: Ask) -> None:
    """A word that begins like an option and stands where options stand is no revision."""
    assert ask("--upload-pack=touch ran", "c")[0] == 2
    assert not (revised / "ran").exists()


def test_a_pair_that_cannot_be_read_hides_no_other(revised: Path, ask: Ask) -> None:
    """Its folder is named, the other pairs are compared, and the status says that this is not all."""
    (revised / f"{OUTPUT}/port-block-20/record.json").write_text("{")
    status, out, err = ask("c")
    assert (status, "[compare:unreadable]" in err) == (2, True)
    assert "2 x peck of drill ports" in out
    shutil.rmtree(revised / f"{OUTPUT}/port-block-20")
    (revised / f"{OUTPUT}/port-block-20").symlink_to(revised / f"{OUTPUT}/port-block-35")
    assert "it is a link to somewhere else [compare:unreadable]" in ask("c")[2]


def test_a_record_that_names_files_elsewhere_reads_none(revised: Path, ask: Ask) -> None:
    """A record is data: a name with a path in it is no program of the pair."""
    path = revised / f"{OUTPUT}/port-block-20/record.json"
    record = json.loads(path.read_text())
    record["texts"] = {"../../../families/port-block.yaml": "", "../port-block-35/port-block-35.upper.nc": ""}
    path.write_text(json.dumps(record))
    pair = ask.pairs("c")["port-block/20"]
    assert {p["said"] for p in pair["programs"]} == {"only one of the two has this program"}
    record["member"] = "../../x"
    path.write_text(json.dumps(record))
    assert ask("c")[0] == 2


def test_texts_from_a_control_are_shown_and_nothing_else(revised: Path, ask: Ask) -> None:
    """Escapes in comments and blocks reach no terminal; the answer for scripts has them as they are."""
    path = program("20", "lower")
    hostile = b"(\x1b[31mRED\x1b[0m \x1b]0;title\x07 [bold]MARKUP[/bold])\nG01 X9\x07.\n"
    path.write_bytes(path.read_bytes().replace(b"\nM30", b"\n" + hostile + b"M30"))
    status, out, _ = ask("d")
    assert status == 1
    assert all(c.isprintable() or c == "\n" for c in out)
    assert "[BOLD]MARKUP[/BOLD]" in out
    assert revised.is_dir()


def test_folders_are_compared_without_git(revised: Path, ask: Ask, tmp_path: Path) -> None:
    """Two folders need no repository."""
    shutil.copytree(revised / "output", tmp_path / "monday")
    shutil.rmtree(revised / ".git")
    path = program("20", "lower")
    path.write_bytes(path.read_bytes().replace(b"F0.08", b"F0.06"))
    status, out, _ = ask(str(tmp_path / "monday"))
    assert (status, "feed of cut off 0.08 to 0.06 mm/rev" in out) == (1, True)
    assert "[git:" in ask("c")[2]


def test_writing_says_what_a_revision_means(revised: Path, ask: Ask, capsys: pytest.CaptureFixture[str]) -> None:
    """A few rows for each program, one of every kind first; the command that it names shows the rest."""
    family = revised / "families/port-block.yaml"
    text = family.read_text().replace('"35": {length: 36', '"35": {length: 38').replace("{peck: 3}", "{peck: 2}")
    family.write_text(text)
    assert boundary.run(["write", "port-block/35"]) == 0
    out = capsys.readouterr().out
    assert "2 x peck of drill ports Q3000 to Q2000, 33 % shorter" in out
    more = re.search(r"and (\d+) more: gemel (compare \w+~1 port-block/35)", out)
    assert more
    status, rows, _ = ask(*more[2].split()[1:])
    assert status == 1
    upper = rows.partition("  upper:")[2].partition("  lower:")[0]
    shown = out.partition(".upper.nc:")[2].partition("and ")[0]
    assert len(re.findall(r"^    \d", upper, re.MULTILINE)) >= len(shown.strip().splitlines()) - 1 + int(more[1])


def test_writing_a_new_revision_letter_is_nothing_but_the_header(
    revised: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A drawing revision that changes no value is told so for both programs; the dry run tells it too."""
    family = revised / "families/port-block.yaml"
    family.write_text(family.read_text().replace("revision: D", "revision: E"))
    for words in (["--dry-run"], []):
        assert boundary.run(["write", "port-block/20", *words]) == 0
        out = capsys.readouterr().out
        assert re.findall(r"nc: (.*)", out) == ["nothing but the header"] * 2
        assert "comment changed: DRAWING KB-1042 REV D, MEMBER 20 to DRAWING KB-1042 REV E, MEMBER 20" in out
        assert ("+(DRAWING KB-1042 REV E, MEMBER 20)" in out) is bool(words)


@pytest.mark.usefixtures("revised")
def test_a_channel_is_of_two_programs_only(ask: Ask) -> None:
    """Of two states it would change nothing: said, not passed over."""
    status, out, err = ask("HEAD~1", "--channel", "upper")
    assert (status, out) == (2, "")
    assert "no two programs" in err
