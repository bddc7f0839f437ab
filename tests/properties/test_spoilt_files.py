"""Any scalar of any file replaced by something else: gemel says what is wrong, or writes; it never fails itself."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from gemel.cli import main as boundary

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
FILES = [
    ("families/hex-coupling.yaml", "hex-coupling/30"),
    ("families/port-block.yaml", "port-block/20"),
    ("families/sensor-collar.yaml", "sensor-collar/24"),
    ("families/valve-stem.yaml", "valve-stem/60"),
    ("templates/twin-turnmill/machine.yaml", "sensor-collar/16"),
    ("templates/inch-duplex/machine.yaml", "hex-coupling/30"),
    ("templates/tools.yaml", "sensor-collar/16"),
    ("templates/materials.yaml", "valve-stem/75"),
]
VALUES = [
    "0",
    "-1",
    "1.5",
    "1e9",
    "-0.0001",
    "100000",
    "x",
    "''",
    '"a b"',
    "true",
    "null",
    "[]",
    "[1, 2]",
    "{}",
    "a + b",
]


@cache
def scalars(file: str) -> tuple[str, tuple[tuple[int, int, str], ...]]:
    """The text of a file, and where its scalars stand in it."""
    text = (ROOT / file).read_text(encoding="utf-8")
    return text, tuple(_scalars(YAML(typ="rt", pure=True).compose(text), ""))


def _scalars(node: Any, path: str) -> Iterator[tuple[int, int, str]]:
    if node.id == "mapping":
        for key, value in node.value:
            yield from _scalars(value, f"{path}.{key.value}")
    elif node.id == "sequence":
        for number, value in enumerate(node.value):
            yield from _scalars(value, f"{path}.{number}")
    else:
        yield node.start_mark.index, node.end_mark.index, path


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("spoilt") / "shop"
    for folder in ("families", "templates"):
        shutil.copytree(ROOT / folder, root / folder)
    return root


@settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
@pytest.mark.parametrize(("file", "target"), FILES, ids=[file for file, _ in FILES])
def test_a_spoilt_scalar_is_a_finding_or_another_program(
    file: str,
    target: str,
    data: st.DataObject,
    shop: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Status 0, 1 or 2, whatever stands there; an error has a place and a remedy."""
    text, places = scalars(file)
    start, end, path = data.draw(st.sampled_from(places))
    value = data.draw(st.sampled_from(VALUES))
    (shop / file).write_text(text[:start] + value + text[end:], encoding="utf-8")
    monkeypatch.chdir(shop)
    machine = ["--machine", "inch-duplex"] if "inch-duplex" in file else []
    status = boundary.run(["write", target, "--dry-run", *machine])
    said = capsys.readouterr()
    (shop / file).write_text(text, encoding="utf-8")
    assert status in {0, 1, 2}, (path, value, said.err)
    assert "Traceback" not in said.err
    if status:
        assert "error: " in said.err
        assert "remedy: " in said.err, (path, value, said.err)
