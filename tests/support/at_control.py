"""A shop with a control beside it: what tests of intake, status, release and sending share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.history import PairName
from gemel.shop.intake import Request, Result, take_in
from gemel.shop.layout import Shop

if TYPE_CHECKING:
    from pathlib import Path

__all__ = [
    "BRANCH",
    "FOLDER",
    "MACHINE",
    "NAME",
    "PAIR",
    "both",
    "codes",
    "program",
    "spoil_the_proof",
    "take",
    "write_unproved",
]

MACHINE = "twin-turnmill"
BRANCH = f"at-control/{MACHINE}"
NAME = "port-block/20"
PAIR = PairName(MACHINE, "port-block", "20")
FOLDER = f"output/{MACHINE}/port-block-20"


def program(shop: Path, channel: str) -> bytes:
    """The program of a channel as gemel wrote it."""
    return (shop / f"{FOLDER}/port-block-20.{channel}.nc").read_bytes()


def both(shop: Path, stick: Path, change: tuple[bytes, bytes] = (b"", b"")) -> None:
    """Both programs in a control's folder, with one thing replaced."""
    for channel in ("upper", "lower"):
        (stick / f"port-block-20.{channel}.nc").write_bytes(program(shop, channel).replace(*change))


def take(shop: Path, *paths: Path | str, told: tuple[str, ...] = ()) -> Result:
    """Take in, as the command does."""
    return take_in(Shop(shop), Request(tuple(map(str, paths)), MACHINE, told))


def spoil_the_proof(shop: Path) -> None:
    """A template that gives one channel a wait mark of its own: what it writes hangs, and does not pass the proof."""
    path = shop / "templates" / MACHINE / "program.nc.j2"
    text, end = path.read_text(), "{% else %}\n{{ codes.program.end }}\n"
    assert end in text
    alone = '{% else %}\n{% if program.channel.title == "milling head" %}\nM799\n{% endif %}\n{{ codes.program.end }}\n'
    path.write_text(text.replace(end, alone))


def write_unproved(shop: Path) -> None:
    """Put the pair into output/ without a proof, as no command does."""
    from gemel.shop.write_pairs import Order, prepare  # noqa: PLC0415 # needed by few

    assert [outcome.findings for outcome in prepare(Shop(shop), Order((NAME,), prove=False)).outcomes()] == [()]


def codes(result: Result) -> list[str]:
    """Names of what was found."""
    return [finding.name for finding in result.findings]
