"""General tolerances of ISO 2768-1, classes f (fine), m (medium), c (coarse), v (very coarse).

Lengths up to 2000 mm after a copy of DIN ISO 2768-1; that copy misprints class c up to 6 mm (0.15 and 0.2),
corrected here from memory to 0.2 and 0.3. Over 2000 mm and angles: from memory.
"""

from __future__ import annotations

from bisect import bisect_left

from gemel.families.deviations import Limits, UnknownTolerance

__all__ = ["CLASSES", "angle_deviation_deg", "length_limits", "radius_limits"]

CLASSES = ("f", "m", "c", "v")
_STANDARD = "ISO 2768-1"
_LEAST_MM = 0.5

# Upper ends of the steps, included. None: the standard leaves the class empty there.
_LENGTH_STEPS_MM = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_LENGTH_MM: dict[str, tuple[float | None, ...]] = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}

_RADIUS_STEPS_MM = (3.0, 6.0, float("inf"))
_RADIUS_MM: dict[str, tuple[float | None, ...]] = {
    "f": (0.2, 0.5, 1.0),
    "m": (0.2, 0.5, 1.0),
    "c": (0.4, 1.0, 2.0),
    "v": (0.4, 1.0, 2.0),
}

# By the length of the shorter side of the angle; minutes of arc.
_ANGLE_STEPS_MM = (10.0, 50.0, 120.0, 400.0, float("inf"))
_ANGLE_MIN = {
    "f": (60, 30, 20, 10, 5),
    "m": (60, 30, 20, 10, 5),
    "c": (90, 60, 30, 15, 10),
    "v": (180, 120, 60, 30, 20),
}


def length_limits(size_mm: float, name: str) -> Limits:
    """Limit deviations of a length or diameter, mm; a step's upper end belongs to the step (6 mm to 3-6).

    Raises:
        UnknownTolerance: no such class, a size below 0.5 or over 4000 mm, or a class that is empty at this size.
    """
    return _either_way(size_mm, _class(name), _LENGTH_STEPS_MM, _LENGTH_MM)


def radius_limits(size_mm: float, name: str) -> Limits:
    """Limit deviations of an outer radius or a chamfer height, mm.

    Raises:
        UnknownTolerance: no such class, or a size below 0.5 mm.
    """
    return _either_way(size_mm, _class(name), _RADIUS_STEPS_MM, _RADIUS_MM)


def angle_deviation_deg(shorter_side_mm: float, name: str) -> float:
    """How far an angle may lie to either side, degrees, by the length of its shorter side.

    Raises:
        UnknownTolerance: no such class, or a side of no length.
    """
    row = _ANGLE_MIN[_class(name)]
    side = round(float(shorter_side_mm), 9)
    if not side > 0:
        raise UnknownTolerance(name, (), f"the shorter side of an angle cannot be {side:g} mm long")
    return row[bisect_left(_ANGLE_STEPS_MM, side)] / 60


def _class(name: str) -> str:
    folded = name.strip().lower()
    if folded not in CLASSES:
        raise UnknownTolerance(name, CLASSES, f"there is no general class `{name.strip()}`")
    return folded


def _either_way(
    size_mm: float, name: str, steps_mm: tuple[float, ...], table: dict[str, tuple[float | None, ...]]
) -> Limits:
    # A size computed from others may miss a boundary by the noise of binary arithmetic.
    size = round(float(size_mm), 9)
    if not size >= _LEAST_MM:
        raise UnknownTolerance(name, (), f"{_STANDARD} begins at {_LEAST_MM:g} mm: state the tolerance of {size:g} mm")
    if size > steps_mm[-1]:
        raise UnknownTolerance(name, (), f"{_STANDARD} ends at {steps_mm[-1]:g} mm: state the tolerance of {size:g} mm")
    step = bisect_left(steps_mm, size)
    deviation = table[name][step]
    if deviation is None:
        known = tuple(one for one in CLASSES if table[one][step] is not None)
        raise UnknownTolerance(name, known, f"{_STANDARD} gives class {name} no value at {size:g} mm")
    return Limits(-deviation, deviation, f"ISO 2768-{name}", _STANDARD)
