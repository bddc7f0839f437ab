"""Control copies by seed: what people change at a control, and what controls do to a text that means nothing.

`control_copy` takes the programs of a pair and gives copies with every injected edit written down, so that a
comparison can be held against the list: each of them reported, none invented.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

from gemel.edits.model import Kind
from gemel.edits.normal import normalise
from gemel.edits.sections import outline_of
from gemel.edits.spelling import Speller
from gemel.reading.words import parts_of
from support.control_manners import MANNERS, in_manner, seeded

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from random import Random

    from gemel.edits.spelling import Said, Spoken
    from gemel.reading.dialect import Dialect

__all__ = ["Bench", "ControlCopy", "Injected", "control_copy", "edited", "key_of"]


@dataclass(frozen=True, slots=True, order=True)
class Injected:
    """An edit that was made: `old` and `new` are words, blocks or comments in canonical spelling."""

    channel: str
    kind: Kind
    old: str
    new: str
    line: int = field(compare=False)


@dataclass(frozen=True, slots=True)
class ControlCopy:
    """A pair as it comes back from a control.

    Attributes:
        seed: by which it is made again.
        texts: program by channel.
        edits: what was changed.
        manners: what the control did to the text besides.
    """

    seed: int
    texts: Mapping[str, bytes]
    edits: tuple[Injected, ...]
    manners: tuple[str, ...]


def control_copy(
    texts: Mapping[str, bytes], dialects: Mapping[str, Dialect], seed: int, *, most: int = 8
) -> ControlCopy:
    """A copy of a pair with 0 to `most` edits, and with manners of a control or without."""
    random = seeded(seed)
    bench = {channel: Bench(data, dialects[channel], random) for channel, data in texts.items()}
    for _ in range(random.randint(0, most)):
        bench[random.choice(sorted(bench))].edit()
    manners = tuple(sorted(random.sample(sorted(MANNERS), random.randint(0, 4))))
    copies = {channel: in_manner(one.text(), manners, seeded(seed)) for channel, one in bench.items()}
    return ControlCopy(seed, copies, tuple(e for one in bench.values() for e in one.done), manners)


def edited(
    data: bytes, dialect: Dialect, seed: int, edits: int, *, numbers: bool = False
) -> tuple[bytes, list[Injected]]:
    """One program with that many edits, each in one block (fewer where it is too short), in no other manner.

    Args:
        data: the program.
        dialect: of its channel.
        seed: by which the same is done again.
        edits: how many.
        numbers: change words and add blocks only, as a drawing revision does.
    """
    bench = Bench(data, dialect, seeded(seed))
    for _ in range(edits * 4):
        if len(bench.done) < edits:
            bench.edit(one_by_one=True, numbers=numbers)
    return bench.text(), bench.done


class Bench:
    """One program at work: its lines, which of them were touched, and what was done."""

    def __init__(self, data: bytes, dialect: Dialect, random: Random) -> None:
        self.random = random
        self._end = "\r\n" if b"\r\n" in data else "\n"
        self.speller = Speller(dialect)
        self.normal = normalise(data)
        self.rows: list[str | None] = [row.decode("latin-1") for row in self.normal.rows]
        self.behind: dict[int, list[str]] = {}
        self.outline = outline_of(self.normal, self.speller)
        self.done: list[Injected] = []
        self._touched: set[int] = set()
        self._keys = {block: self._spoken(block).key for block in range(len(self.normal.blocks))}
        self._used = set(self._keys.values())

    def text(self) -> bytes:
        """The program as it stands now."""
        rows: list[str] = []
        for index, row in enumerate(self.rows):
            rows += [] if row is None else [row]
            rows += self.behind.get(index, [])
        return self._end.join(rows).encode("latin-1")

    def edit(self, *, one_by_one: bool = False, numbers: bool = False) -> None:
        """One more edit, of a kind that the program has a place for; `one_by_one` never several blocks at once."""
        kinds: list[Callable[[], bool]] = [self._word] * 10 + [self._add] * 3
        if not numbers:
            kinds += [self._remove, self._move, self._skip]
            kinds += [self._note, self._wait, *([] if one_by_one else [self._equal_words])]
        for _ in range(20):
            if self.random.choice(kinds)():
                return

    def _spoken(self, block: int) -> Spoken:
        return self.speller.block(self.normal.text(block), self.normal.parts(block), self.normal.labels)

    def _site(self) -> int | None:
        """A block that was not touched and whose neighbours were not; never the program number or the end."""
        block = self.random.randrange(1, max(2, len(self.normal.blocks) - 1))
        return block if self._is_free(block) else None

    def _is_free(self, block: int) -> bool:
        return 0 < block < len(self.normal.blocks) - 1 and self._touched.isdisjoint(range(block - 2, block + 3))

    def _write(self, block: int, kind: Kind, pair: tuple[str, str]) -> bool:
        self._touched.add(block)
        self.done.append(Injected(self.speller.dialect.channel, kind, *pair, self.normal.line(block)))
        return True

    def _word(self) -> bool:
        """A word gets another number, or another code of its kind."""
        block = self._site()
        if block is None:
            return False
        spoken = self._spoken(block)
        told = [word for word in spoken.words if word.slot in self._changes() and not spoken.wait]
        return bool(told) and self._change(block, self.random.choice(told))

    def _changes(self) -> dict[str, Callable[[Said], str]]:
        return {
            "F": self._scaled,
            "S": self._scaled,
            "Q": self._scaled,
            "T": self._other_offset,
            **dict.fromkeys("XZYCR", self._shifted),
        }

    def _change(self, block: int, word: Said) -> bool:
        new = self._changes()[word.slot](word)
        row = self.rows[self.normal.index[block]]
        assert row is not None
        changed = f"{row[: word.start]}{new}{row[word.end :]}"
        spoken = self.speller.block(changed, parts_of(changed))
        if spoken.key in self._used or new == word.typed:
            return False
        self._used.add(spoken.key)
        self.rows[self.normal.index[block]] = changed
        text = next(w.text for w in spoken.words if w.start == word.start)
        return self._write(block, Kind.NUMBER, (word.text, text))

    def _scaled(self, word: Said) -> str:
        factor = Decimal(self.random.choice(["0.5", "0.7", "0.8", "0.9", "1.1", "1.25"]))
        value = Decimal(word.typed[1:]) * factor
        places = Decimal("0.001") if "." in word.typed and abs(value) < 5 else Decimal(1)
        number = f"{value.quantize(places):f}"
        return f"{word.slot}{number}." if "." in word.typed and "." not in number else f"{word.slot}{number}"

    def _shifted(self, word: Said) -> str:
        if "." not in word.typed:
            return word.typed
        value = Decimal(word.typed[1:]) + Decimal(self.random.choice(["-0.5", "-0.05", "-0.02", "0.01", "0.1", "1"]))
        number = f"{value:f}"
        if self.random.random() < 0.05 and value == value.to_integral_value() and value:
            return f"{word.slot}{value.to_integral_value():f}"  # the point was forgotten
        return f"{word.slot}{number}" if "." in number else f"{word.slot}{number}."

    def _other_offset(self, word: Said) -> str:
        return f"{word.typed[:-2]}1{word.typed[-1]}" if len(word.typed) == 5 else f"T{int(word.typed[1:]) + 20}"

    def _equal_words(self) -> bool:
        """One feed or speed of an operation, everywhere in it."""
        block = self._site()
        if block is None:
            return False
        word = next((w for w in self._spoken(block).words if w.slot in ("F", "S")), None)
        if word is None:
            return False
        new = self._scaled(word)
        before = len(self.done)
        for other in self.outline.range_of(block, len(self.normal.blocks)):
            twin = next((w for w in self._spoken(other).words if w.typed == word.typed), None)
            if twin is not None and self._is_untouched(other):
                self._replace(other, twin, new)
        return len(self.done) > before

    def _is_untouched(self, block: int) -> bool:
        return 0 < block < len(self.normal.blocks) - 1 and block not in self._touched

    def _replace(self, block: int, word: Said, new: str) -> None:
        row = self.rows[self.normal.index[block]]
        assert row is not None
        changed = f"{row[: word.start]}{new}{row[word.end :]}"
        spoken = self.speller.block(changed, parts_of(changed))
        if new != word.typed:
            self.rows[self.normal.index[block]] = changed
            self._used.add(spoken.key)
            text = next(w.text for w in spoken.words if w.start == word.start)
            self._write(block, Kind.NUMBER, (word.text, text))

    def _add(self) -> bool:
        """A block more: a stop, a dwell, a move away, coolant."""
        block = self._site()
        if block is None or block + 1 in self.outline.starts:
            return False
        x = self.random.randrange(125, 300)
        text = self.random.choice(["M01", "M00", "G04 X0.7", f"G00 X{x}.", f"G01 X{x}.5 F0.17", "M08", "M18"])
        spoken = self.speller.block(text, parts_of(text))
        if spoken.key in {self._keys[block], self._keys[block + 1], *self._removed_keys()}:
            return False
        self.behind.setdefault(self.normal.index[block], []).append(text)
        return self._write(block, Kind.BLOCK_ADDED, ("", spoken.key))

    def _removed_keys(self) -> set[str]:
        return {edit.old for edit in self.done if edit.kind is Kind.BLOCK_REMOVED}

    def _remove(self) -> bool:
        block = self._site()
        added = {edit.new for edit in self.done if edit.kind is Kind.BLOCK_ADDED}
        if block is None or self._keys[block] in added or block in self.outline.starts:
            return False
        if self._spoken(block).wait:
            return False
        self.rows[self.normal.index[block]] = None
        return self._write(block, Kind.BLOCK_REMOVED, (self._keys[block], ""))

    def _move(self) -> bool:
        """A block goes some blocks on in its operation; one that stands there once, so that it is known again."""
        block = self._site()
        if block is None or block in self.outline.starts:
            return False
        to = block + self.random.randrange(3, 7)
        place = self.outline.range_of(block, len(self.normal.blocks))
        twins = sum(self._keys[other] == self._keys[block] for other in place)
        if to >= place.stop - 1 or twins > 1 or not all(self._is_free(b) for b in range(block, to + 1)):
            return False
        row = self.rows[self.normal.index[block]]
        assert row is not None
        self.rows[self.normal.index[block]] = None
        self.behind.setdefault(self.normal.index[to], []).append(row)
        self._touched.update(range(block, to + 1))
        return self._write(block, Kind.BLOCK_MOVED, (self._keys[block], self._keys[block]))

    def _skip(self) -> bool:
        block = self._site()
        if block is None or self._spoken(block).wait or "/" in self._spoken(block).form:
            return False
        row = self.rows[self.normal.index[block]]
        self.rows[self.normal.index[block]] = f"/{row}"
        return self._write(block, Kind.BLOCK_SKIP, ("", "/"))

    def _note(self) -> bool:
        block = self._site()
        if block is None:
            return False
        text = self.random.choice(["TRIED WITH LESS", "OK 12.3.", "CHECK THE INSERT", "NEW BAR"])
        if any(edit.new == text for edit in self.done):
            return False
        self.behind.setdefault(self.normal.index[block], []).append(f"({text})")
        return self._write(block, Kind.COMMENT, ("", text))

    def _wait(self) -> bool:
        """A wait mark is typed in, taken out, or put elsewhere in its channel."""
        waits = [b for b in self._keys if self._spoken(b).wait and self._is_free(b)]
        site = self._site()
        if not waits or site is None or site + 1 in self.outline.starts:
            return False
        block = self.random.choice(waits)
        match self.random.choice(["add", "remove", "move"]):
            case "add":
                number = self.random.randrange(760, 790)
                self.behind.setdefault(self.normal.index[site], []).append(f"M{number}")
                return self._write(site, Kind.WAIT_ADDED, ("", f"M{number}"))
            case "remove":
                self.rows[self.normal.index[block]] = None
                return self._write(block, Kind.WAIT_REMOVED, (self._keys[block], ""))
            case _ if abs(site - block) > 3:
                row = self.rows[self.normal.index[block]]
                assert row is not None
                self.rows[self.normal.index[block]] = None
                self.behind.setdefault(self.normal.index[site], []).append(row)
                self._touched.add(site)
                return self._write(block, Kind.WAIT_MOVED, (self._keys[block], self._keys[block]))
        return False


def key_of(text: str, speller: Speller) -> str:
    """A block in canonical spelling."""
    return speller.block(text, parts_of(text)).key
