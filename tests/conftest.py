"""What every test lives in: git without outside configuration and with a fixed identity, a fixed terminal width."""

from __future__ import annotations

import os

import pytest

_IDENTITY = {
    "GIT_AUTHOR_NAME": "A Programmer",
    "GIT_AUTHOR_EMAIL": "programmer@shop.invalid",
    "GIT_COMMITTER_NAME": "A Programmer",
    "GIT_COMMITTER_EMAIL": "programmer@shop.invalid",
    "GIT_AUTHOR_DATE": "2024-03-01T06:00:00+0000",
    "GIT_COMMITTER_DATE": "2024-03-01T06:00:00+0000",
}


@pytest.fixture(autouse=True)
def hermetic(monkeypatch: pytest.MonkeyPatch) -> None:
    """No git configuration but the repository's own, one identity, one width, no colour."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    fixed = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "COLUMNS": "100", "NO_COLOR": "1"}
    for name, value in (fixed | _IDENTITY).items():
        monkeypatch.setenv(name, value)
