"""A puller in the turret brings as much bar as one part takes."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from gemel.shop import pipeline
from gemel.shop.layout import Shop
from gemel.shop.targets import Target

_ROOT = Path(__file__).parents[2]
_FED = "process: bar_feed, channel: lower, spindle: left, tool: bar-stop"
_PULLED = "process: bar_pull, by: puller, channel: lower, spindle: left, tool: bar-puller"


@pytest.mark.parametrize(("own", "millimetres"), [("", 20 + 0.3 + 2 + 0.5), (", pull: 24", 24)])
def test_the_puller_pulls_part_cut_off_and_allowances(tmp_path: Path, own: str, millimetres: float) -> None:
    """By default length 20, facing 0.3 and blade 2 at the back, 0.5 for the next front; else as the family says."""
    for folder in ("families", "templates"):
        shutil.copytree(_ROOT / folder, tmp_path / folder)
    family = tmp_path / "families/port-block.yaml"
    assert _FED in family.read_text()
    family.write_text(family.read_text().replace(_FED, f"{_PULLED}, grip: 4{own}"))
    [task] = pipeline.tasks(Shop(tmp_path), Target("port-block", ("20",)), None, prove=False)
    text = pipeline.render(task).channels["port-block-20.lower.nc"].text
    before, after = re.search(r"Z(-?[\d.]+) F\S+\nM69.*\nG04.*\nG01 Z(-?[\d.]+)", text).groups()  # type: ignore[union-attr] # a miss fails here
    assert float(after) - float(before) == pytest.approx(millimetres)
