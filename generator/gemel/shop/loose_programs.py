"""Programs that lie somewhere without a record: whether they are any, whose they are, for which channel."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.normal import normalise
from gemel.shop.recognise import likeness, pieces_of, stamps_in, title_names, words_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.edits.meaning import Text
    from gemel.history import PairName, Record
    from gemel.machines.schema import Machine
    from gemel.shop.recognise import Piece

__all__ = ["Known", "Whose", "channel_of", "is_program", "whose"]

_BLOCK = re.compile(rb"/?[1-9]?(?:@\d+:)?(?:[A-Z][-+]?[.\d]|#[\d\[])")
_SHARE = 0.5
_LIKE, _CLEARLY = 0.5, 1.5


class Known(NamedTuple):
    """A pair that programs may be of: its record, and its programs by channel."""

    name: PairName
    record: Record
    programs: Mapping[str, Text]


class Whose(NamedTuple):
    """Whose a program is."""

    pair: Known
    channel: str


def is_program(data: bytes) -> bool:
    """Whether at least half of the lines that say something begin as blocks do: a letter and a number."""
    blocks = normalise(data).blocks
    return bool(blocks) and sum(bool(_BLOCK.match(block)) for block in blocks) >= _SHARE * len(blocks)


def channel_of(machine: Machine, file: str) -> str:
    """The channel whose program a file is by the end of its name; empty where that tells none or several."""
    facts = machine.channels
    fitting = [name for name, channel in facts.items() if file.endswith(str(channel.suffix))]
    fitting = fitting or [name for name in facts if f".{name}." in file]
    return fitting[0] if len(fitting) == 1 else ""


def whose(name: str, data: bytes, known: Iterable[Known], machines: Mapping[str, Machine]) -> Whose | None:
    """Whose a program is: by its stamp, by the name in its header, by the name of its file, by its number.

    Args:
        name: of its file.
        data: the program.
        known: the pairs it may be of.
        machines: machine file by name, for every machine of those.
    """
    piece, pairs = pieces_of(data)[0], list(known)
    stamps = stamps_in(piece, {stamp for pair in pairs for stamp in pair.record.stamp.values()})
    file = name.rpartition("/")[2]
    for fitting in (
        [p for p in pairs if any(full.startswith(s) for full in p.record.stamp.values() for s in stamps)],
        [p for p in pairs if _title(piece, p, machines) is not None],
        [p for p in pairs if file in p.record.texts],
        [p for p in pairs if piece.number is not None and p.record.program == piece.number],
    ):
        if len(fitting) == 1:
            [pair] = fitting
            channel = _channel(piece, file, pair, machines)
            return Whose(pair, channel) if channel else None
    return None


def _title(piece: Piece, pair: Known, machines: Mapping[str, Machine]) -> str | None:
    return title_names(piece, f"{pair.name.family}{pair.name.member}", machines[pair.name.machine].channels)


def _channel(piece: Piece, file: str, pair: Known, machines: Mapping[str, Machine]) -> str:
    """By the header, the end of the file's name, and at last by the words of the program."""
    said = _title(piece, pair, machines) or channel_of(machines[pair.name.machine], file)
    if said:
        return said
    words = words_of(piece.data)
    like = sorted((likeness(words, words_of(text.data)), channel) for channel, text in pair.programs.items())
    best, second = (like[-1] if like else (0.0, "")), (like[-2] if len(like) > 1 else (0.0, ""))
    return best[1] if best[0] >= _LIKE and best[0] >= _CLEARLY * second[0] else ""
