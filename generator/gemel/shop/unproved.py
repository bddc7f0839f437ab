"""Programs that did not pass the proof, for looking at: in a folder of their own, and marked in the header."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.history.files import remove_file

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.shop.pipeline import Rendered

__all__ = ["FOLDER", "clear_unproved", "unproved_files"]

FOLDER = "unproved"
_SAID = "NOT PROVED: FOR LOOKING AT ONLY, DO NOT RUN"


def unproved_files(made: Rendered) -> dict[str, bytes]:
    """By file relative to the shop the programs of a pair, with a comment behind the program number that warns."""
    machine = made.loaded.machine
    comment = machine.lines.comment
    warning = f"{comment.start}{_SAID}{comment.end}".encode(machine.lines.encoding)
    ahead = 2 if machine.lines.wrapper.start else 1
    found = {}
    for file, data in made.texts.items():
        rows = data.split(b"\n")
        ending = b"\r" if rows[0].endswith(b"\r") else b""
        rows.insert(ahead, warning + ending)
        suffix = machine.channels[made.names[file]].suffix
        name = f"{FOLDER}/{machine.machine}/{file.removesuffix(suffix)}.unproved{suffix}"
        found[name] = b"\n".join(rows)
    return found


def clear_unproved(shop: Path, machine: str, stem: str) -> None:
    """Take away what stood there of a pair before it passed."""
    for path in (shop / FOLDER / machine).glob(f"{stem}.unproved.*"):
        remove_file(path)
