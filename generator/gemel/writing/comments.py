"""Comments: upper case, only what the control takes, never longer than a block."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.documents import label_of, place_of
from gemel.findings import Findings
from gemel.pairs.plan import Size
from gemel.writing.codes import CHARACTER, PRIVATE
from gemel.writing.marks import PRIVATE_USE

if TYPE_CHECKING:
    from gemel.machines.schema import Machine
    from gemel.writing.words import Tracer, Words

__all__ = ["STAMP", "Comments"]

STAMP = "\0" * 10
"""Stands for the stamp until the body is known; no text from outside may hold it."""

_MOST_TEXTS = 10_000
_Run = tuple[str, object]


class Comments:
    """The comments of one machine, traced or plain."""

    def __init__(self, machine: Machine, words: Words, tracer: Tracer) -> None:
        form = machine.lines.comment
        self._start, self._end = str(form.start), str(form.end)
        self._room = machine.lines.longest - len(self._start) - len(self._end)
        self._fit: dict[str, str] = {}
        delimiters = frozenset(self._start + self._end)
        # A blank is a delimiter of nothing; `( ` as a start would otherwise forbid every blank.
        self._allowed = frozenset(machine.lines.characters) - (delimiters - {" "}) | {"\0"}
        self._words = words
        self._piece = tracer.piece
        self._machine = machine

    def comment(self, *parts: object) -> str:
        """One comment of all parts, cut to what a block takes with a word or two before it."""
        return self._line(_cut(self._runs(parts), self._room - 24))

    def comments(self, *parts: object) -> str:
        """Comment lines of all parts, broken between words, each with its line end."""
        runs = self._runs(parts)
        if sum(len(text) for text, _ in runs) <= self._room:
            return f"{self._line(runs)}\n"
        return "".join(f"{self._line(line)}\n" for line in _wrapped(runs, self._room))

    def _line(self, runs: list[_Run]) -> str:
        """A comment of these runs; its delimiters belong to the first and the last of them."""
        if not runs:
            return self._start + self._end
        last = len(runs) - 1
        text = ""
        for index, (part, value) in enumerate(runs):
            begin = self._start if index == 0 else ""
            text += self._piece(f"{begin}{part}{self._end if index == last else ''}", value)
        return text

    def _runs(self, parts: tuple[object, ...]) -> list[_Run]:
        runs: list[_Run] = []
        for part in parts:
            if isinstance(part, str):
                runs.append((self._fit.get(part) or self._checked(part), part))
            elif isinstance(part, tuple | list) and not isinstance(part, Size):
                runs.extend(self._runs(tuple(part)))
            elif isinstance(part, float | int | Size):
                runs.append(self._words.said(part))
            else:
                runs.append((self._checked(part), part))
        return runs

    def _checked(self, part: object) -> str:
        """The part in capitals; what has passed once is remembered."""
        given = str(part)
        text = given.upper()
        wrong = next((character for character in text if character not in self._allowed), None)
        if wrong is None:
            if len(self._fit) > _MOST_TEXTS:
                self._fit.clear()
            self._fit[given] = text
            return text
        place = place_of(part)
        labels = (label_of(place),) if place else ()
        if PRIVATE_USE.match(wrong):
            raise Findings([PRIVATE.found(f"`{part}` holds a private-use character", *labels)])
        cause = f"the comment `{part}` holds `{wrong}`, which `{self._machine.machine}` does not take in a comment"
        raise Findings([CHARACTER.found(cause, *labels)])


def _cut(runs: list[_Run], room: int) -> list[_Run]:
    """The first `room` characters."""
    cut: list[_Run] = []
    for text, value in runs:
        if room <= 0:
            break
        cut.append((text[:room], value))
        room -= len(text)
    return cut


def _wrapped(runs: list[_Run], room: int) -> list[list[_Run]]:
    """Lines of at most `room` characters, broken at blanks where there are any."""
    text = "".join(part for part, _ in runs)
    lines: list[list[_Run]] = []
    begin = 0
    while begin < len(text):
        end = min(len(text), begin + room)
        if end < len(text):
            blank = text.rfind(" ", begin + 1, end + 1)
            end = blank if blank > begin else end
        lines.append(_between(runs, begin, end))
        begin = end
        while begin < len(text) and text[begin] == " ":
            begin += 1
    return lines or [[]]


def _between(runs: list[_Run], begin: int, end: int) -> list[_Run]:
    """The characters `begin` to `end`, each with its value."""
    found: list[_Run] = []
    at = 0
    for text, value in runs:
        piece = text[max(0, begin - at) : max(0, end - at)]
        if piece:
            found.append((piece, value))
        at += len(text)
    return found
