"""Copies of a written pair with changes in them, as an operator would make them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from support.at_control import program

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

__all__ = ["DROPPED_WAIT", "SLOWER", "edited", "put_copies"]

DROPPED_WAIT = {"lower": ((b"N200 M702 (UPPER WAITS FOR LOWER: DRILL GALLERY DONE)\n", b""),)}
"""The wait mark that the other channel stands at is gone from the turret's program."""
SLOWER = {"lower": ((b"Q12000 F0.12\n", b"Q12000 F0.09\n"),)}
"""The drill feeds slower."""


def edited(data: bytes, *changes: tuple[bytes, bytes]) -> bytes:
    """A program with pieces replaced; a piece that is not there is an error of the test."""
    for old, new in changes:
        assert old in data
        data = data.replace(old, new)
    return data


def put_copies(shop: Path, folder: Path, *changes: Mapping[str, tuple[tuple[bytes, bytes], ...]]) -> list[Path]:
    """Both programs of the pair in `folder`, with changes by channel."""
    folder.mkdir(exist_ok=True)
    paths = []
    for channel in ("upper", "lower"):
        mine = [one for change in changes for one in change.get(channel, ())]
        paths.append(folder / f"port-block-20.{channel}.nc")
        paths[-1].write_bytes(edited(program(shop, channel), *mine))
    return paths
