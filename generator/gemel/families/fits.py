"""Limit deviations of a size from its tolerance text: ISO 286 letters, an own pair, or a general class.

`limits` is the one door for a tolerance out of a family; it takes `h9`, `H8`, `js9`, `+0.1 -0.05`, `+-0.1`, `m`.
Tables: `gemel.families._iso286_tables`, which also says what is from memory.
"""

from __future__ import annotations

import re
from bisect import bisect_left

from gemel.families._iso286_tables import FUNDAMENTAL_UM, GRADES, IT4_UM, STEPS_MM, TOLERANCE_UM
from gemel.families.deviations import Limits, UnknownTolerance, aim, largest, smallest
from gemel.families.general_tolerance import CLASSES, length_limits

__all__ = [
    "Limits",
    "UnknownTolerance",
    "aim",
    "iso286_limits",
    "known_tolerances",
    "largest",
    "limits",
    "own_limits",
    "smallest",
    "tolerance_um",
]

_STANDARD = "ISO 286-1"
_LETTER = re.compile(r"(?P<letter>[A-Za-z]{1,2})\s*(?P<grade>[0-9]{1,2})")
_NUMBER = r"(?:[0-9]{1,6}\.?[0-9]{0,9}|\.[0-9]{1,9})"
_EITHER_WAY = re.compile(rf"(?:±|\+\s*/?\s*-)\s*(?P<size>{_NUMBER})")
_PAIR = re.compile(
    rf"(?P<first>[+-]\s*{_NUMBER}|0+(?:\.0*)?)(?:\s*/\s*|\s+|(?=[+-]))(?P<second>[+-]\s*{_NUMBER}|0+(?:\.0*)?)"
)
_CLASS = re.compile(r"(?:ISO\s*2768\s*-\s*)?(?P<name>[a-z])", re.IGNORECASE)

_SHAFTS_BELOW = ("c", "d", "e", "f", "g", "h")
_SHAFTS_ABOVE = ("k", "m", "n", "p", "r", "s")


def limits(size_mm: float, text: str, mm_per_unit: float = 1.0) -> Limits:
    """Limit deviations in mm of a size under a tolerance as a drawing writes it.

    Args:
        size_mm: nominal size; a step's upper end belongs to the step (6 mm to over 3 up to 6).
        text: `h9`, `js9` (shafts), `H8` (holes); `+0.1 -0.05`, `+0.05/-0.02`, `+-0.1`, `±0.1`; a class `f m c v`.
        mm_per_unit: unit of an own pair, 25.4 for a family in inches. Letters and classes are always metric.

    Raises:
        UnknownTolerance: no such letter, grade or class, no such form, a size outside the table, or a pair as large
            as its size.
    """
    plain = text.strip()
    if _LETTER.fullmatch(plain):
        return iso286_limits(size_mm, plain)
    general = _CLASS.fullmatch(plain)
    if general and f"{plain}{GRADES[0]}" in known_tolerances(plain) and plain.lower() not in CLASSES:
        reason = f"the letter `{plain}` needs a grade, as in `{plain}9`"
        raise UnknownTolerance(text, known_tolerances(plain), reason)
    if general:
        return length_limits(size_mm, general["name"])
    own = own_limits(plain, mm_per_unit)
    if 0 < size_mm <= -own.lower_mm:
        raise UnknownTolerance(text, (), f"it leaves nothing of a size of {size_mm:g} mm: is a decimal point missing?")
    return own


def known_tolerances(like: str = "h") -> tuple[str, ...]:
    """Names that `limits` takes: the shafts, or the holes if `like` begins with a capital; then the classes."""
    letters: tuple[str, ...] = (*_SHAFTS_BELOW, "js", *_SHAFTS_ABOVE)
    if like[:1].isupper():
        letters = tuple(letter.upper() for letter in letters)
    names = tuple(f"{letter}{grade}" for letter in letters for grade in GRADES if _exists(letter, grade))
    return names + CLASSES


def _exists(letter: str, grade: int) -> bool:
    # The standard defines K and M over 3 mm up to grade 8 only; a name must hold for every size here.
    return grade <= 8 or letter not in ("K", "M")


def tolerance_um(size_mm: float, grade: int) -> int:
    """Standard tolerance IT`grade` of a size, micrometres (ISO 286-1 table).

    Raises:
        UnknownTolerance: the grade or the size lies outside the table.
    """
    if grade not in TOLERANCE_UM:
        known = tuple(f"IT{one}" for one in GRADES)
        raise UnknownTolerance(f"IT{grade}", known, f"grades here are IT{GRADES[0]} to IT{GRADES[-1]}")
    return TOLERANCE_UM[grade][_step(size_mm, f"IT{grade}")]


def _step(size_mm: float, text: str) -> int:
    # A size computed from others may miss a boundary by the noise of binary arithmetic.
    size = round(float(size_mm), 9)
    if not 0 < size <= STEPS_MM[-1]:
        raise UnknownTolerance(text, (), f"sizes here are over 0 up to {STEPS_MM[-1]:g} mm, not {size:g}")
    return bisect_left(STEPS_MM, size)


def iso286_limits(size_mm: float, text: str) -> Limits:
    """Limit deviations in mm by ISO 286-1: small letters are shafts (outside), capitals are holes (inside).

    Raises:
        UnknownTolerance: no such letter or grade here, or the size lies outside the table.
    """
    match = _LETTER.fullmatch(text.strip())
    if match is None:
        raise UnknownTolerance(text, known_tolerances(text), "a letter and a grade are expected, as in `h9`")
    letter, grade = match["letter"], int(match["grade"])
    if f"{letter}{grade}" not in known_tolerances(letter):
        raise UnknownTolerance(text, known_tolerances(letter), f"there is no tolerance `{letter}{grade}` here")
    width = tolerance_um(size_mm, grade)
    if letter in ("js", "JS"):
        lower, upper = -width / 2, width / 2
    else:
        step = _step(size_mm, text)
        lower, upper = _shaft(letter, grade, step) if letter.islower() else _hole(letter, grade, step)
    return Limits(lower / 1000, upper / 1000, f"{letter}{grade}", _STANDARD)


def _shaft(letter: str, grade: int, step: int) -> tuple[float, float]:
    width = TOLERANCE_UM[grade][step]
    start = FUNDAMENTAL_UM[letter][step]
    if letter in _SHAFTS_BELOW:
        return start - width, start
    if letter == "k" and grade > 7:  # ISO 286-1: k lifts off the zero line in IT4 to IT7 only
        start = 0
    return start, start + width


def _hole(letter: str, grade: int, step: int) -> tuple[float, float]:
    width = TOLERANCE_UM[grade][step]
    mirrored = -FUNDAMENTAL_UM[letter.lower()][step]
    if letter.lower() in _SHAFTS_BELOW:
        return mirrored, mirrored + width
    upper = mirrored + _delta(letter, grade, step)
    # ISO 286-1: N of grade 9 and coarser over 3 mm touches the zero line (the keyway fit N9).
    if letter == "N" and grade > 8 and step > 0:
        upper = 0
    return upper - width, upper


def _delta(letter: str, grade: int, step: int) -> int:
    """Correction of K to N up to IT8 and P and later up to IT7: a hole of one grade fits the shaft one grade finer."""
    finest_without = 8 if letter in ("K", "M", "N") else 7
    if step == 0 or grade > finest_without:
        return 0
    finer = IT4_UM[step] if grade == GRADES[0] else TOLERANCE_UM[grade - 1][step]
    return TOLERANCE_UM[grade][step] - finer


def own_limits(text: str, mm_per_unit: float = 1.0) -> Limits:
    """Limit deviations in mm from a written pair, in either order, each with its sign (zero needs none).

    Raises:
        UnknownTolerance: the text is not a pair of deviations.
    """
    plain = " ".join(text.split())
    either = _EITHER_WAY.fullmatch(plain)
    if either:
        size = float(either["size"]) * mm_per_unit
        return Limits(-size, size, plain, "given with the size")
    pair = _PAIR.fullmatch(plain)
    if pair is None:
        reason = "expected a letter and grade as in `h9`, a pair as in `+0.1 -0.05`, `+-0.1`, or a class `f m c v`"
        raise UnknownTolerance(text, known_tolerances(plain or "h"), reason)
    ends = sorted(float(pair[name].replace(" ", "")) * mm_per_unit for name in ("first", "second"))
    return Limits(ends[0], ends[1], plain, "given with the size")
