"""What was worked out once is found again; without a folder nothing on the disk is touched."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from gemel.history.derived import Derived

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_a_value_is_found_again(tmp_path: Path) -> None:
    """Another look finds what the first one saved, and what bears a wrong checksum is as good as missing."""
    one = Derived(tmp_path / "gemel")
    one.put("key", [1, 2])
    one.save()
    assert Derived(tmp_path / "gemel").get("key") == [1, 2]
    file = tmp_path / "gemel/derived.json"
    file.write_text(file.read_text().replace("[1, 2]", "[1, 3]"))
    assert Derived(tmp_path / "gemel").get("key") is None


def test_without_a_folder_nothing_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Values are remembered for this look alone; the null device of the system least of all is written over."""
    null = tmp_path / "null"
    null.write_text("as it was")
    monkeypatch.setattr(os, "devnull", str(null))
    one = Derived()
    one.put("key", 1)
    one.save()
    assert (one.get("key"), one.folder) == (1, "")
    assert {path: path.read_text() for path in tmp_path.iterdir()} == {null: "as it was"}
