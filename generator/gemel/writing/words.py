"""The words that templates write numbers and codes with: letters by the template, spelling by the machine file.

Lengths come in mm, feeds in mm, surface speeds in m/min; on a machine in inches they are converted here, and the
conversion stands in the number's origin. Every function gives text with a blank before each word.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from gemel.documents import PlacedText, label_of, place_of
from gemel.findings import Findings, Label, Span
from gemel.numbers import Number, NumberForm, Source, leaves, rule, spell
from gemel.pairs.plan import Size
from gemel.writing.codes import NO_CODE, NOT_FINITE, VANISHED

if TYPE_CHECKING:
    from gemel.findings import Finding
    from gemel.machines.schema import Machine
    from gemel.writing.marks import Address
    from gemel.writing.situation import Now

__all__ = ["Tracer", "Words", "formatted"]

_MM = rule(25.4, "mm per inch", "exact by definition, international yard and pound agreement of 1959")
_FOOT = rule(0.3048, "m per foot", "exact by definition, international yard and pound agreement of 1959")
_MOST_SPELLINGS = 1 << 16
_THOUSAND = rule(1000.0, "thousandths per unit", "a whole number counts the control's thousandths")


class Tracer(Protocol):
    """What marks a piece of text with its value, or leaves it as it is."""

    def piece(self, text: str, value: object) -> str:
        """`text`, with the mark of `value` before it where origins are traced."""
        ...

    def address(self, address: Address) -> str:
        """The mark of a change of step, or nothing."""
        ...


class Words:
    """The words of one machine, traced or plain; `now` is kept up to date by whoever runs through the steps."""

    def __init__(self, machine: Machine, tracer: Tracer, now: Now) -> None:
        numbers = machine.numbers
        self._machine = machine
        self._piece = tracer.piece
        self._now = now
        self._inch = machine.unit == "inch"
        self._length = _Speller(numbers.length.number_form())
        self._angle = _Speller(numbers.angle.number_form())
        self._feeds = {
            "per_minute": _Speller(numbers.feed_per_minute.number_form()),
            "per_revolution": _Speller(numbers.feed_per_revolution.number_form()),
            "lead": _Speller((numbers.lead or numbers.feed_per_revolution).number_form()),
        }
        self._speed = _Speller(numbers.speed.number_form())
        self._surface = _Speller(numbers.surface_speed.number_form())
        self._dwell = _Speller(numbers.dwell.number_form())
        self._whole = _Speller(NumberForm(0, "never"))
        self._peck = _Speller(numbers.peck.number_form())
        self._comment = NumberForm(numbers.length.decimals, "needed", "drop", "keep")
        self._functions: dict[str, str] = {}

    def axes(self, step: Any, letters: dict[str, str]) -> str:
        """` X15. Z-2. C45.`: the words of all axes that the step names, `letters` by axis, in that order."""
        text = ""
        for axis, letter in letters.items():
            value = getattr(step, axis)
            if value is None:
                continue
            if axis == "c":
                text += self._piece(f" {letter}{self._angle[value]}", value)
            else:
                if self._inch:
                    value = value / _MM
                text += self._piece(f" {letter}{self._length[value]}", value)
        return text

    def lengths(self, *pairs: Any) -> str:
        """` X15. Z-2.`: letters and lengths in turn; a length of None leaves its word out."""
        text = ""
        for letter, value in zip(pairs[::2], pairs[1::2], strict=True):
            if value is not None:
                text += self._word(letter, self._converted(value), self._length)
        return text

    def angles(self, *pairs: Any) -> str:
        """` C45.`: letters and angles in turn, degrees; an angle of None leaves its word out."""
        text = ""
        for letter, value in zip(pairs[::2], pairs[1::2], strict=True):
            if value is not None:
                text += self._word(letter, value, self._angle)
        return text

    def feeds(self, letter: str, value: float | None, mode: str = "") -> str:
        """` F0.25`, spelled for the feed mode in force or for `mode` (also `lead`); nothing for None."""
        if value is None:
            return ""
        return self._word(letter, self._converted(value), self._feeds[mode or self._now.feed_mode], vanishing=True)

    def speeds(self, letter: str, rpm: float) -> str:
        """` S1200`."""
        return self._word(letter, rpm, self._speed, vanishing=True)

    def surface_speeds(self, letter: str, metres_min: float) -> str:
        """` S180`, m/min or ft/min by the machine's unit."""
        value = metres_min / _FOOT if self._inch else metres_min
        return self._word(letter, value, self._surface, vanishing=True)

    def seconds(self, letter: str, value: float) -> str:
        """` X1.5`, a dwell in seconds."""
        return self._word(letter, value, self._dwell, vanishing=True)

    def milliseconds(self, letter: str, seconds: float | None) -> str:
        """` P500`, a dwell in whole milliseconds; nothing for None."""
        if seconds is None:
            return ""
        return self._word(letter, seconds * _THOUSAND, self._whole, vanishing=True)

    def pecks(self, letter: str, value: float | None) -> str:
        """` Q2000`, the depth of a peck by the machine's form: thousandths where it has no point."""
        if value is None:
            return ""
        length = self._converted(value)
        if self._peck.form.point == "never":
            length = length * _THOUSAND
        return self._word(letter, length, self._peck, vanishing=True)

    def code(self, path: str) -> str:
        """The code word of a function by its path under `codes`: `clamp.left.open`."""
        if path not in self._functions:
            self._functions[path] = self._look_up(path)
        code = self._functions[path]
        return self._piece(code, code)

    def said(self, part: float | Size) -> tuple[str, float]:
        """A number for a comment, and its value: a size in the machine's unit, any other number as it is."""
        value = self._converted(part.mm) if isinstance(part, Size) else part
        return spell(value, self._comment), value

    def _look_up(self, path: str) -> str:
        here: object = self._machine.codes
        for name in path.split("."):
            here = here.get(name) if isinstance(here, dict) else getattr(here, "in_" if name == "in" else name, None)
        if isinstance(here, str):
            return here
        where = f"the machine file of `{self._machine.machine}`"
        place = place_of(self._machine.machine)
        labels = (label_of(place),) if place else ()
        raise Findings([NO_CODE.found(f"{where} has no code `{path}`", *labels)])

    def _converted(self, value: float) -> float:
        return value / _MM if self._inch else value

    def _word(self, letter: str, value: float, speller: _Speller, *, vanishing: bool = False) -> str:
        text = speller[value]
        if vanishing and value and not text.strip("-0."):
            raise Findings([_vanished(letter, text, value)])
        return self._piece(f" {letter}{text}", value)


class _Speller(dict[float, str]):
    """Spellings in one form, remembered: programs repeat their numbers."""

    def __init__(self, form: NumberForm) -> None:
        super().__init__()
        self.form = form

    def __missing__(self, value: float) -> str:
        try:
            text = spell(value, self.form)
        except ValueError:
            cause = f"a number of the program has the value {float(value)}"
            raise Findings([NOT_FINITE.found(cause, *_leaf(value))]) from None
        if len(self) > _MOST_SPELLINGS:
            self.clear()
        self[float(value)] = text
        return text


def _vanished(letter: str, text: str, value: float) -> Finding:
    return VANISHED.found(f"{letter} of {float(value):g} is spelled `{letter}{text}`", *_leaf(value))


def _leaf(value: float) -> tuple[Label, ...]:
    """The first scalar behind a number, for a finding."""
    if not isinstance(value, Number):
        return ()
    return tuple(
        Label(Span(leaf.file, leaf.line, leaf.column, leaf.column + max(1, len(leaf.text))), leaf.text)
        for leaf in leaves(value)
        if isinstance(leaf, Source)
    )[:1]


def formatted(form: str, **values: object) -> PlacedText | str:
    """A word of the machine file with its `{...}` filled in; it keeps the place of the form."""
    text = form.format(**values)
    place = place_of(form)
    return text if place is None else PlacedText(text, place)
