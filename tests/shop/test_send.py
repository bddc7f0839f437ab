"""Sending puts whole pairs into a control's folder, over nothing that nobody has taken in."""

from __future__ import annotations

import json
import re
import shutil
from typing import TYPE_CHECKING

import pytest

from gemel.cli import main as boundary
from gemel.findings import Findings
from gemel.history import delivery, read_repository
from gemel.history.mark import marked, without_mark
from gemel.shop.for_control import for_control, is_file_name
from gemel.shop.inputs import load_machine_of
from gemel.shop.layout import Shop
from gemel.shop.release import Wish, release
from gemel.shop.send import SentPair, send
from support.at_control import BRANCH, FOLDER, MACHINE, NAME, program, spoil_the_proof, take, write_unproved
from support.demo import IDS, ROOT, demo, names
from support.repositories import git

if TYPE_CHECKING:
    from pathlib import Path

CHANNELS = ("upper", "lower")
UNSENT = "(NOT RELEASED)"


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """A control's folder."""
    folder = tmp_path / "control"
    folder.mkdir()
    return folder


def put(shop: Path, there: Path, *more: str) -> SentPair:
    [sent] = send(Shop(shop), [NAME, *more], there, None)
    return sent


def codes(sent: SentPair) -> list[str]:
    return [finding.name for finding in sent.findings]


def at(there: Path, channel: str) -> Path:
    return there / f"port-block-20.{channel}.nc"


def litter(there: Path) -> list[str]:
    return sorted(path.name for path in there.iterdir() if path.name.startswith("."))


def test_both_programs_arrive_marked_as_not_released(real_shop: Path, there: Path) -> None:
    """What arrives is what lies in output/, but for the mark behind the program number; nothing else stays there."""
    sent = put(real_shop, there)
    assert (sent.wrote, sent.released, codes(sent)) == (True, False, ["send:not-released"])
    for channel in CHANNELS:
        data = at(there, channel).read_bytes()
        assert without_mark(data) == program(real_shop, channel)
        assert f"O1201 (PORT-BLOCK 20 {channel.upper()}) {UNSENT}\n".encode() in data
    assert len(list(there.iterdir())) == 2


def test_a_released_pair_is_marked_so(real_shop: Path, there: Path) -> None:
    """After a release the same pair is sent again, and says it; a revision after that does not."""
    put(real_shop, there)
    release(Shop(real_shop), Wish(NAME, MACHINE, "A. Setter", "2024-03-01"))
    sent = put(real_shop, there)
    assert (sent.wrote, sent.released, codes(sent)) == (True, True, [])
    assert b"LOWER) (RELEASED)\n" in at(there, "lower").read_bytes()
    path = real_shop / "families/port-block.yaml"
    path.write_text(path.read_text().replace("revision: C", "revision: D"))
    assert boundary.run(["write", NAME]) == 0
    assert not put(real_shop, there).released
    assert UNSENT.encode() in at(there, "lower").read_bytes()


def test_what_was_sent_is_on_record(real_shop: Path, there: Path) -> None:
    """The side branch holds the bytes that stand there; sending again what stands there adds nothing."""
    put(real_shop, there)
    shown = git(real_shop, "show", f"{BRANCH}:port-block-20/sent/lower.nc")
    assert shown.encode() == at(there, "lower").read_bytes()
    about = json.loads(git(real_shop, "show", f"{BRANCH}:port-block-20/sent.json"))
    assert (about["revision"], about["released"], about["sent_by"]) == ("C", False, "A Programmer")
    before = git(real_shop, "rev-parse", BRANCH)
    assert not put(real_shop, there).wrote
    assert git(real_shop, "rev-parse", BRANCH) == before


def test_an_edit_that_was_not_taken_in_is_not_overwritten(real_shop: Path, there: Path) -> None:
    """Neither program of the pair is touched, until the copy is taken in; then its edits are said to run no more."""
    put(real_shop, there)
    release(Shop(real_shop), Wish(NAME, MACHINE, "A. Setter", "2024-03-01"))
    edited = at(there, "lower").read_bytes().replace(b"F0.08", b"F0.06")
    at(there, "lower").write_bytes(edited)
    before = at(there, "upper").read_bytes()
    sent = put(real_shop, there)
    assert (codes(sent), sent.files) == (["send:unknown-there"], {})
    assert (at(there, "lower").read_bytes(), at(there, "upper").read_bytes()) == (edited, before)
    take(real_shop, there)
    assert codes(put(real_shop, there)) == ["send:undecided"]
    assert git(real_shop, "show", f"{BRANCH}:port-block-20/lower.nc").encode() == edited


def test_an_older_writing_there_is_known(real_shop: Path, there: Path) -> None:
    """A control that holds an earlier revision as gemel wrote it, however it was marked, may be brought up to date."""
    for channel in CHANNELS:
        at(there, channel).write_bytes(program(real_shop, channel))
    path = real_shop / "families/port-block.yaml"
    path.write_text(re.sub(r"length: 20\b", "length: 22", path.read_text()).replace("revision: C", "revision: D"))
    assert boundary.run(["write", NAME]) == 0
    assert put(real_shop, there).wrote


def test_a_program_of_somebody_else_is_not_overwritten(real_shop: Path, there: Path) -> None:
    """The same name, another program: refused."""
    at(there, "upper").write_bytes(b"O4711\nM30\n")
    assert codes(put(real_shop, there)) == ["send:unknown-there"]
    assert at(there, "upper").read_bytes() == b"O4711\nM30\n"
    assert not at(there, "lower").exists()


@pytest.mark.parametrize("kind", ["link", "folder", "dangling"])
def test_a_link_there_is_not_followed(real_shop: Path, there: Path, tmp_path: Path, kind: str) -> None:
    """Where a link or a folder has the name, nothing is written through it."""
    outside = tmp_path / "outside.nc"
    if kind == "folder":
        at(there, "upper").mkdir()
    else:
        if kind == "link":
            outside.write_bytes(program(real_shop, "upper"))
        at(there, "upper").symlink_to(outside)
    assert codes(put(real_shop, there)) == ["send:link"]
    assert not outside.exists() or outside.read_bytes() == program(real_shop, "upper")


def test_what_does_not_pass_the_proof_is_not_sent(real_shop: Path, there: Path) -> None:
    """A pair with errors does not get near the machine."""
    spoil_the_proof(real_shop)
    write_unproved(real_shop)
    assert codes(put(real_shop, there))[-1] == "release:not-proved"
    assert list(there.iterdir()) == []


def test_a_hand_edited_output_is_not_sent(real_shop: Path, there: Path) -> None:
    """What a person changed in output/ was never proved."""
    path = real_shop / FOLDER / "port-block-20.lower.nc"
    path.write_bytes(path.read_bytes() + b"\n")
    assert codes(put(real_shop, there)) == ["pair:hand-edited"]


def test_a_folder_that_is_not_there_is_not_made(
    real_shop: Path, there: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A stick that is not plugged in: status 2, and no folder in its place."""
    missing = there / "not" / "mounted"
    assert boundary.run(["send", NAME, str(missing)]) == 2
    assert not missing.exists()
    assert boundary.run(["send", str(there)]) == 2
    assert boundary.run(["send", "port-block/99", str(there)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert real_shop.is_dir()


def test_names_follow_the_machine_file(real_shop: Path, there: Path) -> None:
    """`programs: file:` names the files at the control."""
    path = real_shop / "templates" / MACHINE / "machine.yaml"
    form = 'programs: {write: "O{number:04d}", first: 1, last: 8999, file: "O{number:04d}{suffix}"}'
    path.write_text(re.sub(r"(?m)^programs: .*$", form, path.read_text()))
    put(real_shop, there)
    assert sorted(p.name for p in there.iterdir()) == ["O1201.lower.nc", "O1201.upper.nc"]


@pytest.mark.parametrize(
    ("form", "code"),
    [("O{number}", "send:same-name"), ("{nothing}", "send:name"), ("../{number}{suffix}", "send:name")],
)
def test_names_that_do_not_do_are_refused(real_shop: Path, there: Path, form: str, code: str) -> None:
    """Both channels under one name, an unknown field, a path: said, and nothing is written anywhere."""
    path = real_shop / "templates" / MACHINE / "machine.yaml"
    row = f'programs: {{write: "O{{number:04d}}", first: 1, last: 8999, file: "{form}"}}'
    path.write_text(re.sub(r"(?m)^programs: .*$", row, path.read_text()))
    with pytest.raises(Findings) as error:
        put(real_shop, there)
    assert {f.name for f in error.value.findings} == {code}
    assert list(there.iterdir()) == []


@pytest.mark.parametrize("name", ["CON.upper.nc", "con", "aux.nc", "-x", ".x", "a/b", "a\\b", "x.", "a b", "a\nb", ""])
def test_device_names_and_paths_are_no_file_names(name: str) -> None:
    """Names that are devices, options, hidden or paths somewhere are not used. Source: the list of reserved names."""
    assert not is_file_name(name)


@pytest.mark.parametrize("name", names(), ids=IDS)
def test_for_the_control_is_what_was_written_and_a_mark(name: tuple[str, str, str]) -> None:
    """For every demo pair on both machines: line ends, wrapper and encoding are the machine's; only the mark is new."""
    machine = load_machine_of(Shop(ROOT), name[0])
    for text in demo(*name).texts.values():
        data = text.encode("ascii")
        sent = for_control(data, machine, "NOT RELEASED")
        assert without_mark(sent) == data
        assert sent != data
        assert for_control(sent, machine, "RELEASED") == marked(data, "RELEASED", _comment(name[0]))
        mixed = data.replace(str(machine.lines.end).encode(), b"\r\r\n")
        assert for_control(mixed, machine, "NOT RELEASED") == sent


def _comment(machine: str) -> tuple[str, str]:
    form = load_machine_of(Shop(ROOT), machine).lines.comment
    return str(form.start), str(form.end)


def test_what_is_read_back_wrong_is_said(real_shop: Path, there: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stick that swallows a line is found out, and nothing is put on record."""
    monkeypatch.setattr("gemel.shop.send.read_back", lambda _folder, _name: b"half")
    assert codes(put(real_shop, there))[-1:] == ["send:read-back"]
    assert git(real_shop, "branch", "--list", "at-control/*") == ""


def test_killed_between_its_two_programs_the_next_one_completes_it(
    real_shop: Path, there: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When only one program has taken its place, the next send says so, puts the other there and records both."""
    calls = []

    def once(folder: Path, staged: Path, order: delivery.Order) -> None:
        name = next(iter(order.files.values()))
        (staged / name).replace(folder / name)
        calls.append(order)
        raise KeyboardInterrupt

    monkeypatch.setattr("gemel.shop.send.carry_out", once)
    with pytest.raises(KeyboardInterrupt):
        put(real_shop, there)
    monkeypatch.undo()
    assert len([p for p in there.iterdir() if not p.name.startswith(".")]) == 1
    finished, again = send(Shop(real_shop), [NAME], there, None)
    assert (codes(finished), again.wrote) == (["send:completed"], False)
    assert {without_mark(at(there, c).read_bytes()) for c in CHANNELS} == {program(real_shop, c) for c in CHANNELS}
    assert litter(there) == []
    assert git(real_shop, "show", f"{BRANCH}:port-block-20/sent.json")


def test_what_was_left_half_and_changed_since_is_left(real_shop: Path, there: Path, tmp_path: Path) -> None:
    """When somebody edited a program after the kill, it is not overwritten by completing."""
    put(real_shop, there)
    order = delivery.Order(
        MACHINE, "port-block", "20", "X", "C", released=False, files={"lower": "port-block-20.lower.nc"},
        old={"lower": "0" * 64}, new={"lower": "1" * 64},
    )  # fmt: skip
    delivery.stage(there, order, {"lower": b"other"})
    at(there, "lower").write_bytes(b"(MINE)\n")
    sent = send(Shop(real_shop), [NAME], there, None)
    assert [codes(one) for one in sent] == [["send:unknown-there"]] * 2
    assert at(there, "lower").read_bytes() == b"(MINE)\n"
    assert tmp_path.is_dir()


def test_a_torn_order_is_cleared_away(real_shop: Path, there: Path) -> None:
    """What a killed sender left before anything was whole is no order: it goes, and the pair is sent."""
    (there / ".gemel-send-port-block-20").mkdir()
    (there / ".gemel-send-port-block-20/order.json").write_bytes(b'{"machine": "tw')
    (there / ".gemel-send-x").mkdir()
    evil = dict.fromkeys(delivery.Order.__slots__, "") | {"files": {"lower": "../../x"}, "old": {"lower": ""}}
    (there / ".gemel-send-x/order.json").write_text(json.dumps(evil | {"new": {"lower": ""}}))
    assert put(real_shop, there).wrote
    assert litter(there) == []


def test_a_pair_for_several_machines_is_asked_for(real_shop: Path, there: Path) -> None:
    """Where a pair is written for two machines, the machine must be named."""
    shutil.copytree(ROOT / "templates/inch-duplex", real_shop / "templates/inch-duplex", dirs_exist_ok=True)
    assert boundary.run(["write", NAME, "--machine", "inch-duplex"]) == 0
    with pytest.raises(Findings) as error:
        put(real_shop, there)
    assert [f.name for f in error.value.findings] == ["release:which-machine"]
    [sent] = send(Shop(real_shop), [NAME], there, "inch-duplex")
    assert sent.machine == "inch-duplex"
    assert read_repository(real_shop).ask("rev-parse", "at-control/inch-duplex").status == 0
