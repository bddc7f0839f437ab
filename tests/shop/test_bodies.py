"""Bodies from elsewhere are found beside the family and nowhere outside the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.documents import compose
from gemel.families.part import Body
from gemel.findings import Findings
from gemel.shop.bodies import bodies_of
from gemel.shop.layout import Shop

if TYPE_CHECKING:
    from pathlib import Path


def _shop(folder: Path) -> Shop:
    root = folder / "shop"
    (root / "families/posted").mkdir(parents=True)
    (root / "families/posted/rough.nc").write_bytes(b"%\r\nG0 X1.\r\n\xe9%")
    (folder / "secret.nc").write_bytes(b"G0 X1.")
    (root / "families/posted/link.nc").symlink_to(folder / "secret.nc")
    return Shop(root)


def _bodies(shop: Shop, *names: str) -> dict[str, Body]:
    rows = "".join(f"  op-{index}: {{body: {name}}}\n" for index, name in enumerate(names))
    return bodies_of(shop, compose(f"operations:\n{rows}", "families/stem.yaml"))


def test_a_body_beside_the_family_is_read_as_bytes(tmp_path: Path) -> None:
    """Line ends and characters of any encoding arrive as they are."""
    found = _bodies(_shop(tmp_path), "posted/rough.nc")
    assert found == {"posted/rough.nc": Body("families/posted/rough.nc", b"%\r\nG0 X1.\r\n\xe9%")}


@pytest.mark.parametrize("name", ["../../secret.nc", "posted/../../../secret.nc", "/etc/passwd", "posted/link.nc"])
def test_nothing_outside_the_shop_is_read(tmp_path: Path, name: str) -> None:
    """Neither by `..`, nor from the top of the disk, nor through a link."""
    with pytest.raises(Findings) as caught:
        _bodies(_shop(tmp_path), name)
    finding = caught.value.findings[0]
    assert (finding.name, finding.labels[0].span.line) == ("shop:body-outside", 2)


def test_all_missing_files_are_named_in_one_go(tmp_path: Path) -> None:
    """Each with the line of the family that names it."""
    with pytest.raises(Findings) as caught:
        _bodies(_shop(tmp_path), "posted/a.nc", "posted/b.nc", "posted")
    assert [(f.name, f.labels[0].span.line) for f in caught.value.findings] == [("shop:no-file", n) for n in (2, 3, 4)]


def test_operations_of_another_form_are_left_to_the_schema(tmp_path: Path) -> None:
    """A list, a number or nothing where a body should be is no fault of the file system."""
    shop = _shop(tmp_path)
    for text in ("operations: []\n", "operations: {a: 3}\n", "operations: {a: {body: 3}}\n", "a: 1\n"):
        assert bodies_of(shop, compose(text, "families/stem.yaml")) == {}
