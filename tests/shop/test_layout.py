"""A shop is found, its files are read or their faults are said."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from gemel.findings import Findings
from gemel.shop.layout import Shop, find_shop, read_text, template_folder

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    for folder in ("families", "templates/lathe", "output/lathe/bush-1"):
        (tmp_path / folder).mkdir(parents=True)
    (tmp_path / "families/bush.yaml").write_bytes(b"family: bush\r\n")
    (tmp_path / "families/bush.edits.yaml").write_text("")
    (tmp_path / "templates/lathe/machine.yaml").write_text("machine: lathe\n")
    (tmp_path / "templates/lathe/program.nc.j2").write_text("%\n")
    return Shop(tmp_path)


def code_of(call: Callable[[], object]) -> tuple[str, str]:
    with pytest.raises(Findings) as error:
        call()
    [finding] = error.value.findings
    return finding.name, finding.remedy


def test_a_shop_is_found_from_any_folder_in_it(shop: Shop) -> None:
    """From the depth of output/ the way leads up to the shop."""
    assert find_shop(shop.root / "output/lathe/bush-1").root == shop.root


def test_no_shop_is_said(tmp_path: Path) -> None:
    """Outside any shop the finding says how to get one."""
    name, remedy = code_of(lambda: find_shop(tmp_path))
    assert name == "shop:no-shop"
    assert "gemel new" in remedy


def test_families_and_machines_are_listed(shop: Shop) -> None:
    """Kept edits are no family; a folder with a machine file is a machine."""
    assert (shop.family_names(), shop.machine_names()) == (["bush"], ["lathe"])
    assert sorted(shop.machine("lathe")) == ["machine.yaml", "program.nc.j2"]


def test_line_ends_of_a_description_do_not_matter(shop: Shop) -> None:
    """A family saved with CR LF reads as one with LF, and its digest is that of its bytes."""
    assert shop.family("bush").text == "family: bush\n"


def test_a_misspelt_name_gets_the_nearest(shop: Shop) -> None:
    """Family and machine alike."""
    assert code_of(lambda: shop.family("bsh")) == ("shop:no-family", "did you mean `bush`?")
    assert code_of(lambda: shop.machine("lath")) == ("shop:no-machine", "did you mean `lathe`?")


@pytest.mark.parametrize("name", ["../families/bush", "/etc/passwd", "", "bush.edits", "lathe/.."])
def test_a_name_that_leads_elsewhere_is_unknown(shop: Shop, name: str) -> None:
    """Only listed names are read."""
    assert code_of(lambda: shop.family(name))[0] == "shop:no-family"
    assert code_of(lambda: shop.machine(name))[0] == "shop:no-machine"


def test_what_is_no_text_is_said_with_its_line(tmp_path: Path) -> None:
    """The finding names the byte and the line."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"title: ok\ntitle: \xff\n")
    with pytest.raises(Findings) as error:
        read_text(path, "families/a.yaml")
    [finding] = error.value.findings
    assert finding.name == "shop:unreadable"
    assert finding.labels[0].span.line == 2
    assert "0xFF" in finding.cause


def test_a_hundred_megabytes_are_not_read(tmp_path: Path) -> None:
    """The size is looked at before the file is opened (here a file with a hole, which takes no room)."""
    path = tmp_path / "a.yaml"
    with path.open("wb") as handle:
        handle.truncate(100_000_000)
    assert code_of(lambda: read_text(path, "a.yaml"))[0] == "shop:unreadable"


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    """A file that is not there, or is a folder."""
    assert code_of(lambda: read_text(tmp_path / "no.yaml", "no.yaml"))[0] == "shop:no-file"
    assert code_of(lambda: read_text(tmp_path, "."))[0] == "shop:no-file"


def test_templates_come_with_gemel() -> None:
    """The carried templates hold at least one machine."""
    assert list(template_folder().glob("*/machine.yaml"))
