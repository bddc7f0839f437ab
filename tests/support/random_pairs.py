"""Random programs of two or three channels: stages that are right on their own, and faults injected into them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random

__all__ = ["random_texts"]

_TURN = ("T0101 G97 S900 M03", "G00 X60. Z2.", "G99 G01 X{x}. F0.2", "G00 X200.", "M05")
_MILL = ("M05", "M45", "M89", "G97 S3000 M103", "G00 X60.", "G98 G01 X{x}. F300.", "G00 X200.", "M105", "M90", "M46")
_TAKE = ("M05", "M205", "M169", "G53 A-300.", "M168", "M131", "G97 S800 M03")
_PART = ("T0303", "G00 X60.", "G99 G01 X-0.5 F0.05", "G00 X200.", "M05", "M132", "G53 A0.")
_BACK = ("T0202 G55 G97 S900 M203", "G00 X60.", "G99 G01 X{x}. F0.2", "G00 X200.", "M205", "G54")
_AWAY = ("M73", "M205", "M169", "M74")
_FEED = ("M05", "M69", "M70", "M68")
_STOP = ("T1212 G00 X20.", "M05", "M69", "M70", "M68", "G00 X200.")
_LOWER = (_TURN, _TAKE, _PART, _BACK, _AWAY, _FEED, _STOP)
_UPPER = (
    _MILL,
    _BACK_MILL := ("G55 M205", "M145", "G97 S2000 M103", "G00 X60.", "G98 G01 X{x}. F200.", "G00 X200.", "M146", "G54"),
)
_ALL = (
    *("M03", "M05", "M203", "M205", "M68", "M69", "M168", "M169", "M45", "M46", "M145", "M146", "M89", "M90", "M131"),
    *("M132", "M73", "M74", "M70", "M103", "M105", "G54", "G55", "G00 X50.", "G00 X200.", "G00 C90.", "G28 X0. U0."),
    *("G01 X30. F0.1", "M69 M169", "G00 X50. M69"),
)
_SLIDE = ("G53 A-300.", "G53 A0.", "G53 A-300. G00 X60.", "G00 X200. G53 A0.")


def random_texts(rng: random.Random, channels: tuple[str, ...], *, names: bool) -> dict[str, str]:
    """Programs of these channels: shared stages between waits, with a few faults.

    Args:
        rng: where chance comes from.
        channels: their names, `upper` mills, the others turn.
        names: whether a wait names its channels (`P12`), which lets some of them share a wait without the others.
    """
    bodies: dict[str, list[str]] = {c: ["T1" if c == "upper" else "T0101"] for c in channels}
    digits = {c: {"upper": "1", "lower": "2", "rear": "3"}[c] for c in channels}
    number = 700
    for _ in range(rng.randint(1, 4)):
        number += 1
        sharing = channels if not names or rng.random() < 0.5 else tuple(rng.sample(channels, 2))
        for channel in sharing:
            named = f" P{''.join(sorted(digits[c] for c in sharing))}" if names else ""
            bodies[channel].append(f"M{number}{named}")
        for channel in rng.sample(channels, rng.choice((1, 1, len(channels)))):
            stage = rng.choice(_UPPER if channel == "upper" else _LOWER)
            bodies[channel] += [line.format(x=rng.choice((10, 20, 30))) for line in stage]
    for _ in range(rng.randint(0, 3)):
        _fault(rng, bodies[rng.choice(channels)], slides=True)
    end = "M99" if rng.random() < 0.25 and not names else "M30"
    return {c: "\n".join([*body, end, ""]) for c, body in bodies.items()}


def _fault(rng: random.Random, body: list[str], *, slides: bool) -> None:
    """One fault: a block dropped, doubled, moved, swapped with another, or put in."""
    at = rng.randrange(len(body))
    match rng.randint(0, 4):
        case 0:
            body.pop(at)
        case 1:
            body.insert(at, body[at])
        case 2 if at + 1 < len(body):
            body[at], body[at + 1] = body[at + 1], body[at]
        case _:
            added = rng.choice(_ALL + (_SLIDE if slides else ()))
            has_slide = any(line.startswith("T0") for line in body)
            if added in _SLIDE and not has_slide:
                added = "M69"
            body.insert(at, added)
    if not body:
        body.append("G04 X0.1")
