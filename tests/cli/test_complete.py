"""What the Tab key offers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.cli import complete

if TYPE_CHECKING:
    from pathlib import Path

FAMILY = """\
family: pin
# members: none here
values:
  length: 20
members:
  # the short ones
  "20": {length: 20, program: 1}

  35:
    length: 35
    program: 2
  'long-1': {length: 99, program: 3}
# between
features:
  pin: {kind: part}
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "families").mkdir()
    (tmp_path / "families/pin.yaml").write_text(FAMILY)
    (tmp_path / "families/pin.edits.yaml").write_text("edits: []\n")
    (tmp_path / "families/bush.yaml").write_text("family: bush\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_families_and_behind_a_slash_members(shop: Path) -> None:
    """Names of families; behind one and a slash, the keys of its members and nothing deeper."""
    assert shop.exists()
    assert complete.families("") == ["bush", "pin"]
    assert complete.families("p") == ["pin"]
    assert complete.families("pin/") == ["pin/20", "pin/35", "pin/long-1"]
    assert complete.families("pin/l") == ["pin/long-1"]


def test_a_family_that_is_not_there_offers_nothing(shop: Path) -> None:
    """No file, no members, no error: the Tab key must never print one."""
    assert complete.families("pon/") == []
    assert complete.families("bush/") == []
    (shop / "families/bush.yaml").write_bytes(b"members:\n  \xff\xfe: 1\n")
    assert complete.families("bush/") == []
