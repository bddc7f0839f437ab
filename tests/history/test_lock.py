"""One gemel at a time in a shop, and a dead holder does not count."""

from __future__ import annotations

import signal
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.history import hold_shop

if TYPE_CHECKING:
    from pathlib import Path

HOLDER = """
import sys, time
from pathlib import Path
from gemel.history import hold_shop
with hold_shop(Path(sys.argv[1]), "writing pairs"):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_second_gemel_is_told_who_is_at_work(tmp_path: Path) -> None:
    """While another process holds the shop, the finding names its process id and its work; once killed it is free."""
    with subprocess.Popen([sys.executable, "-c", HOLDER, str(tmp_path)], stdout=subprocess.PIPE) as holder:  # noqa: S603 # our own
        assert holder.stdout is not None
        assert holder.stdout.readline() == b"held\n"
        with pytest.raises(Findings) as error, hold_shop(tmp_path, "checking"):
            pass
        holder.send_signal(signal.SIGKILL)
    [finding] = error.value.findings
    assert finding.name == "lock:held"
    assert f"process {holder.pid} on " in finding.cause
    assert finding.cause.endswith("writing pairs")
    with hold_shop(tmp_path, "writing pairs"):
        pass


def test_a_lock_file_left_behind_is_no_lock(tmp_path: Path) -> None:
    """The text of a holder that died means nothing."""
    (tmp_path / ".gemel").mkdir()
    (tmp_path / ".gemel" / "lock").write_text("process 1 on elsewhere, writing pairs\n")
    with hold_shop(tmp_path, "writing pairs"):
        assert "writing pairs" in (tmp_path / ".gemel" / "lock").read_text()
    assert (tmp_path / ".gemel" / "lock").read_text() == ""


def test_the_lock_is_given_back_after_a_failure(tmp_path: Path) -> None:
    """An error in the body frees the shop."""
    with pytest.raises(KeyError), hold_shop(tmp_path, "failing"):
        raise KeyError
    with hold_shop(tmp_path, "again"):
        pass
