"""Where things are in a shop, and their texts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.history import digest
from gemel.shop import codes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from gemel.findings import Finding

__all__ = ["Shop", "TextFile", "find_shop", "read_text", "sources_of", "template_folder"]

LARGEST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class TextFile:
    """A text of the shop: its name relative to the shop with forward slashes, its characters, its bytes' digest."""

    name: str
    text: str
    digest: str


@dataclass(frozen=True, slots=True)
class Shop:
    """A shop: the folder that holds `families/`, `templates/` and `output/`."""

    root: Path

    def read(self, name: str) -> TextFile:
        """A text of the shop.

        Raises:
            Findings: `shop:no-file`, `shop:unreadable`.
            OSError: the system does not let it be read.
        """
        return read_text(self.root / name, name)

    def family_names(self) -> list[str]:
        """Names of all families, sorted; files of kept edits are none."""
        files = (p for p in (self.root / "families").glob("*.yaml") if p.is_file())
        return sorted(p.stem for p in files if not p.name.endswith(".edits.yaml"))

    def machine_names(self) -> list[str]:
        """Names of all machines, sorted."""
        return sorted(p.parent.name for p in (self.root / "templates").glob("*/machine.yaml"))

    def family(self, name: str) -> TextFile:
        """The text of a family.

        Raises:
            Findings: `shop:no-family` with the nearest name.
        """
        known = self.family_names()
        if name not in known:
            cause = f"there is no family `{name}`"
            remedy = did_you_mean(name, known) if known else "describe one in `families/`"
            raise Findings([codes.NO_FAMILY.found(cause, Label(Span("families"), name), remedy=remedy)])
        return self.read(f"families/{name}.yaml")

    def machine(self, name: str) -> dict[str, TextFile]:
        """The machine file and the templates of a machine, by name inside its folder.

        Raises:
            Findings: `shop:no-machine` with the nearest name.
        """
        known = self.machine_names()
        if name not in known:
            cause = f"there is no machine `{name}`"
            raise Findings(
                [codes.NO_MACHINE.found(cause, Label(Span("templates"), name), remedy=did_you_mean(name, known))]
            )
        folder = self.root / "templates" / name
        files = sorted([folder / "machine.yaml", *folder.rglob("*.j2")])
        return {p.relative_to(folder).as_posix(): self.read(p.relative_to(self.root).as_posix()) for p in files}


def read_text(path: Path, name: str) -> TextFile:
    """The text of a file, which findings call `name`.

    Raises:
        Findings: `shop:no-file`, `shop:unreadable`.
        OSError: the system does not let it be read.
    """
    try:
        # The size is asked first: a file of a gigabyte is refused without being read.
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST_BYTES else b""
    except (FileNotFoundError, IsADirectoryError):
        raise Findings([codes.NO_FILE.found(f"{name} is not there", Label(Span(name)))]) from None
    if size > LARGEST_BYTES:
        cause = f"{name} has {size:,} bytes; gemel reads descriptions of up to {LARGEST_BYTES:,}"
        raise Findings([codes.UNREADABLE.found(cause, Label(Span(name)))])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        cause = f"{name} is not UTF-8 text: byte 0x{data[error.start]:02X} in line {line}"
        raise Findings([codes.UNREADABLE.found(cause, Label(Span(name, line)))]) from None
    return TextFile(name, text.replace("\r\n", "\n"), digest(data))


def find_shop(start: Path) -> Shop:
    """The shop that a folder or file lies in: the nearest folder upward with `families/` and `templates/`.

    Raises:
        Findings: `shop:no-shop`.
    """
    here = start.resolve()
    for folder in (here, *here.parents):
        if (folder / "families").is_dir() and (folder / "templates").is_dir():
            return Shop(folder)
    raise Findings([codes.NO_SHOP.found(f"{here} is in no shop", Label(Span(str(here))))])


def template_folder() -> Path:
    """The templates that gemel carries: in an installed gemel inside the package, in its source tree beside it."""
    package = Path(__file__).parents[1]
    carried = package / "_templates"
    return carried if carried.is_dir() else package.parents[1] / "templates"


def sources_of(shop: Shop, findings: Iterable[Finding]) -> dict[str, str]:
    """The texts that findings point into, as far as they can be read; for showing the lines."""
    names = {label.span.source for finding in findings for label in finding.labels if label.span.line}
    texts: dict[str, str] = {}
    for name in names:
        path = shop.root / name
        try:
            if path.is_file() and path.stat().st_size <= LARGEST_BYTES:
                texts[name] = path.read_bytes().decode("utf-8", "replace").replace("\r\n", "\n")
        except OSError:
            continue
    return texts
