"""What a changed word is about, said as the shop says it, with its size."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.edits.model import Kind
from gemel.numbers import figure, plain, share

if TYPE_CHECKING:
    from gemel.edits.modes import Modes
    from gemel.edits.sections import Section
    from gemel.edits.spelling import Said, Speller, Spoken
    from gemel.edits.words import WordChange
    from gemel.numbers import Figure
    from gemel.reading.dialect import Function

__all__ = ["Named", "Namer", "block_kind", "place_of_section"]

_CUTTING = frozenset({"feed", "arc-cw", "arc-ccw", "thread"})
_CYCLES = frozenset({"drill", "tap", "bore"})


class Named(NamedTuple):
    """Kind of an edit, a sentence about it, and its size."""

    kind: Kind
    said: str
    size: str = ""


class _Context(NamedTuple):
    """What a word stands among: kinds of the codes of its block, the motion in force, the block's index."""

    once: frozenset[str]
    motion: str
    block: int


def place_of_section(section: Section) -> str:
    """`stage 2, drill ports`; the header before the first stage."""
    if not section.stage and not section.operation:
        return "before the first wait mark"
    stage = f"stage {section.stage}" if section.stage else ""
    return ", ".join(part for part in (stage, _spoken(section)) if part)


def _spoken(section: Section) -> str:
    return section.operation.replace("-", " ").replace("_", " ")


def block_kind(spoken: Spoken, speller: Speller) -> Kind | None:
    """What a whole block is about that came or went: a dwell, a stop; None for no more than a block."""
    functions = [speller.function(word.text) for word in spoken.words]
    if len(functions) == 1 and functions[0] is not None and functions[0].kind == "stop":
        return Kind.OPTIONAL_STOP if functions[0].state == "optional" else Kind.STOP
    if any(f is not None and f.kind == "dwell" for f in functions):
        return Kind.DWELL
    return None


class Namer:
    """Names the changed words of one text."""

    def __init__(self, speller: Speller, modes: Modes) -> None:
        self._speller = speller
        self._modes = modes
        self._unit = "mm" if speller.dialect.unit == "mm" else "in"

    def word(self, change: WordChange, old: Spoken, block: int, section: Section) -> Named:
        """What a word is about that was changed, put in or taken away.

        Args:
            change: the word.
            old: the baseline's block.
            block: its index.
            section: stage and operation.
        """
        kind, what, unit = self._about(change, old, block)
        name = f"{what} of {_spoken(section)}" if section.operation else f"{what}, {place_of_section(section)}"
        if change.slot.startswith(("G", "M")) and change.slot[1:2] == ":":
            return Named(kind, f"{name}: {self._code(change.old)} to {self._code(change.new)}")
        if change.old is None or change.new is None:
            word = change.old or change.new
            assert word is not None
            return Named(kind, f"{name}: {word.typed} {'put in' if change.old is None else 'taken away'}")
        before = _figure(change.slot, change.old.typed)
        after = _figure(change.slot, self._speller.restyled(change.new, change.old.typed))
        lost = self._point_lost(change.old, change.new)
        if lost:
            return Named(kind, f"{name} {before} to {after}: {lost}", lost)
        size = self._size(kind, change, unit)
        said = f"{name} {before} to {after}{f' {unit}' if unit else ''}"
        return Named(kind, f"{said}, {size}" if size else said, size)

    def _about(self, change: WordChange, old: Spoken, block: int) -> tuple[Kind, str, str]:
        """Kind, what it is called, unit."""
        slot = change.slot
        if slot == "wait":
            return Kind.WAIT_CHANGED, "wait mark", ""
        if slot == "/":
            return Kind.BLOCK_SKIP, "block skip", ""
        if slot == "O":
            return Kind.PROGRAM_NUMBER, "program number", ""
        if slot.startswith(("#", "?")):
            return Kind.BLOCK_CHANGED, "statement", ""
        if slot[:1] in ("G", "M"):
            return self._about_code(change)
        motion = self._modes.at(block, "motion")
        return self._about_letter(change, _Context(self._once(old), motion.state if motion else "", block))

    def _about_code(self, change: WordChange) -> tuple[Kind, str, str]:
        word = change.old or change.new
        assert word is not None
        function = self._speller.function(word.text)
        if function is None:
            return Kind.CODE, word.typed, ""
        if function.kind == "offset":
            return Kind.OFFSET, "work offset", ""
        if function.kind == "stop":
            optional = "optional" in {f.state for f in map(self._function, (change.old, change.new)) if f}
            return (Kind.OPTIONAL_STOP if optional else Kind.STOP), "program stop", ""
        return Kind.CODE, " ".join(dict.fromkeys(p for p in (function.which, function.kind.replace("-", " ")) if p)), ""

    def _about_letter(self, change: WordChange, here: _Context) -> tuple[Kind, str, str]:
        letter = change.slot
        dwell = self._speller.dialect.dwell.get(letter)
        if "dwell" in here.once and dwell is not None:
            return Kind.DWELL, "dwell", "ms" if dwell < 1 else "s"
        if "data" in here.once:
            return Kind.OFFSET, f"{letter} of an offset", self._unit
        match letter:
            case "F":
                return self._about_feed(here)
            case "S":
                return self._about_speed(here)
            case "T":
                return self._about_tool(change)
            case "Q" if here.motion in _CYCLES:
                return Kind.PECK, "peck", ""
            case "P" if here.motion in _CYCLES:
                return Kind.DWELL, "dwell", "ms"
            case "R" if here.motion.startswith("arc"):
                return Kind.DEPTH, "radius", self._unit
            case _:
                return self._about_axis(letter, here)

    def _about_axis(self, letter: str, here: _Context) -> tuple[Kind, str, str]:
        axis = self._speller.dialect.axes.get(letter)
        if axis is None:
            return Kind.NUMBER, letter, ""
        cuts = not here.once & {"home", "machine"} and here.motion in _CUTTING | _CYCLES
        unit = "deg" if axis.name in ("c", "b") else self._unit
        return (Kind.DEPTH if cuts else Kind.POSITION), letter, unit

    def _about_feed(self, here: _Context) -> tuple[Kind, str, str]:
        if here.motion in {"thread", "tap", "single-thread"}:
            return Kind.LEAD, "lead", f"{self._unit}/rev"
        mode = self._modes.at(here.block, "feed-mode")
        per = {"minute": f"{self._unit}/min", "revolution": f"{self._unit}/rev"}
        return Kind.FEED, "feed", per.get(mode.state if mode else "", "")

    def _about_speed(self, here: _Context) -> tuple[Kind, str, str]:
        if "speed-clamp" in here.once:
            return Kind.SPEED_LIMIT, "speed limit", "rpm"
        mode = self._modes.at(here.block, "speed-mode")
        surface = mode is not None and mode.state == "surface"
        return Kind.SPEED, "speed", ("m/min" if self._unit == "mm" else "ft/min") if surface else "rpm"

    def _about_tool(self, change: WordChange) -> tuple[Kind, str, str]:
        divisor = self._speller.dialect.tool_divisor
        if divisor > 1 and change.old is not None and change.new is not None:
            stations = {_whole(word) // divisor for word in (change.old, change.new)}
            if len(stations) == 1:
                return Kind.OFFSET, "tool offset", ""
        return Kind.TOOL, "tool", ""

    def _function(self, word: Said | None) -> Function | None:
        return self._speller.function(word.text) if word else None

    def _once(self, spoken: Spoken) -> frozenset[str]:
        """Kinds of the codes of a block."""
        functions = (self._speller.function(word.text) for word in spoken.words)
        return frozenset(f.kind for f in functions if f is not None)

    def _code(self, word: Said | None) -> str:
        """`M08 (coolant on)`."""
        if word is None:
            return "nothing"
        function = self._speller.function(word.text)
        meaning = f" ({function.which or function.kind} {function.state})" if function and function.state else ""
        return f"{word.typed}{meaning}"

    def _point_lost(self, old: Said, new: Said) -> str:
        letter = old.slot
        if not self._speller.is_dimension(letter) or ("." in old.text) == ("." in new.text):
            return ""
        word = old if "." in new.text else new
        if _value(word) == 0:
            return ""
        read = plain(_value(word) * figure(str(self._speller.dialect.least_increment)))
        gone = "gone" if word is new else "put in"
        return f"the decimal point is {gone}, a control may read {word.typed} as {read}"

    def _size(self, kind: Kind, change: WordChange, unit: str) -> str:
        assert change.old is not None
        assert change.new is not None
        before, after = _value(change.old), _value(change.new)
        if not before.is_finite() or not after.is_finite():
            return ""
        apart = after - before
        if kind in (Kind.FEED, Kind.SPEED, Kind.SPEED_LIMIT, Kind.PECK):
            words = ("deeper", "shorter") if kind is Kind.PECK else ("faster", "slower")
            return f"{share(apart, before)} % {words[apart < 0]}" if before else ""
        if kind is Kind.DWELL:
            return f"{plain(abs(apart))} {unit} {'longer' if apart > 0 else 'shorter'}"
        if kind in (Kind.DEPTH, Kind.POSITION):
            return self._distance(change.slot, (before, after), unit)
        return ""

    def _distance(self, letter: str, ends: tuple[Figure, Figure], unit: str) -> str:
        apart = ends[1] - ends[0]
        far = f"{plain(abs(apart))} {unit}"
        if letter == "X" and self._speller.dialect.x_is_diameter:
            if min(ends) < 0:  # past the centre there is no diameter: how much deeper a hole, a face, a parting goes
                return f"{plain(abs(apart) / 2)} {unit} further {'out' if apart > 0 else 'in'} on the radius"
            return f"{far} {'larger' if apart > 0 else 'smaller'} in diameter"
        if letter == "Z":
            return f"{far} {'further out' if apart > 0 else 'further in'}"
        return f"{'+' if apart > 0 else '-'}{far}"


def _figure(slot: str, word: str) -> str:
    """The number as it stands; with its letter where the number alone would not be understood."""
    return word[1:] if len(slot) == 1 and slot not in "TOQ" else word


def _value(word: Said) -> Figure:
    return figure(word.text[1:])


def _whole(word: Said) -> int:
    value = _value(word)
    return int(value) if value.is_finite() else -1
