"""Random programs of two or three channels: stages that are right on their own, and faults injected into them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random

__all__ = ["random_texts"]

_TURN = ("T0101 G97 S900 M03", "G00 X60. Z2.", "G99 G01 X{x}. F0.2", "G00 X200.", "M05")
_MILL = ("M45", "M89", "G97 S3000 M103", "G00 X60.", "G98 G01 X{x}. F300.", "G00 X200.", "M105", "M90", "M46")
_TAKE = ("G53 A-300.", "M168", "M131", "G97 S800 M03")
_PART = ("T0303", "G00 X60.", "G99 G01 X-0.5 F0.05", "G00 X200.", "M05", "M132", "G53 A0.")
_BACK = ("T0202 G55 G97 S900 M203", "G00 X60.", "G99 G01 X{x}. F0.2", "G00 X200.", "M205", "G54")
_AWAY = ("M73", "M169", "M74")
_FEED = ("M69", "M70", "M68")
_STOP = ("T1212", "G00 X20.", "M69", "M70", "M68", "G00 X200.")
_BACK_MILL = (
    *("G55", "M145", "G97 S2000 M103", "G00 X60.", "G98 G01 X{x}. F200.", "G00 X200.", "M105", "M146", "G54"),
)
_LOWER = (_TURN, _TAKE, _PART, _BACK, _AWAY, _FEED, _STOP)
_UPPER = (_MILL, _BACK_MILL)
_STORIES = (
    (("lower", _TURN), ("upper", _MILL), ("lower", (*_TAKE, *_PART)), ("lower", (*_BACK, *_AWAY))),
    (("lower", _TURN), ("lower", (*_TAKE, *_PART)), ("upper", _BACK_MILL), ("lower", _AWAY), ("lower", _FEED)),
    (("upper", _MILL), ("lower", _TURN), ("lower", _TAKE), ("lower", (*_PART, *_AWAY)), ("lower", _STOP)),
)
_ALL = (
    *("M03", "M05", "M203", "M205", "M68", "M69", "M168", "M169", "M45", "M46", "M145", "M146", "M89", "M90", "M131"),
    *("M132", "M73", "M74", "M70", "M103", "M105", "G54", "G55", "G00 X50.", "G00 X200.", "G00 C90.", "G28 X0."),
    *("G01 X30. F0.1", "M69 M169", "M169 M69", "G00 X50. M69", "M03 G00 X200.", "M05 M69", "M68 M203", "M146 M205"),
    *("G83 X10. R2. F0.1", "G84 Z-10. R2. F1.", "G00 X0. Z5.", "G80", "H30.", "G28 U0.", "G02 X150. Z5. R60.", "T1111"),
    *(
        "T0303 G01 X-1. F0.1",
        "T0202",
        "T1212",
        "G00 Z-20.",
        "G00 X119.999",
        "M133",
        "M204",
        "M104",
        "G04 X1.",
        "G55 M45",
    ),
)
_SLIDE = ("G53 A-300.", "G53 A0.", "G53 A-300. G00 X60.", "G00 X200. G53 A0.")
_DIGITS = {"upper": "1", "lower": "2", "rear": "3"}


def random_texts(rng: random.Random, channels: tuple[str, ...], *, names: bool) -> dict[str, str]:
    """Programs of these channels: a story that is right, or stages at random; with a few faults, or none.

    Args:
        rng: where chance comes from.
        channels: their names, `upper` mills, the others turn.
        names: whether a wait names its channels (`P12`), which lets some of them share a wait without the others.
    """
    bodies: dict[str, list[str]] = {c: ["T1" if c == "upper" else "T0101"] for c in channels}
    if rng.random() < 0.6:
        _story(rng, bodies, names=names)
        faults = rng.choice((0, 1, 1, 2))
    else:
        _stages(rng, bodies, names=names)
        faults = rng.randint(0, 3)
    for _ in range(faults):
        channel = rng.choice(channels)
        _fault(rng, bodies[channel], slides=channel != "upper")
    end = "M99" if rng.random() < 0.25 and not names else "M30"
    return {c: "\n".join([*body, end, ""]) for c, body in bodies.items()}


def _wait(number: int, sharing: tuple[str, ...], bodies: dict[str, list[str]], *, names: bool) -> None:
    named = f" P{''.join(sorted(_DIGITS[c] for c in sharing))}" if names else ""
    for channel in sharing:
        bodies[channel].append(f"M{number}{named}")


def _story(rng: random.Random, bodies: dict[str, list[str]], *, names: bool) -> None:
    """One channel at a time, every stage between waits of all: right as it stands."""
    number = 701
    _wait(number, tuple(bodies), bodies, names=names)
    for channel, stage in rng.choice(_STORIES):
        worker = "rear" if channel == "lower" and "rear" in bodies and rng.random() < 0.3 else channel
        bodies[worker] += [line.format(x=rng.choice((10, 20, 30))) for line in stage]
        number += 1
        _wait(number, tuple(bodies), bodies, names=names)


def _stages(rng: random.Random, bodies: dict[str, list[str]], *, names: bool) -> None:
    """Any channels at any stage, with waits that name some of them."""
    channels = tuple(bodies)
    for number in range(701, 702 + rng.randint(0, 3)):
        sharing = channels if not names or rng.random() < 0.5 else tuple(rng.sample(channels, 2))
        _wait(number, sharing, bodies, names=names)
        for channel in rng.sample(channels, rng.choice((1, 1, len(channels)))):
            stage = rng.choice(_UPPER if channel == "upper" else _LOWER)
            bodies[channel] += [line.format(x=rng.choice((10, 20, 30))) for line in stage]


def _fault(rng: random.Random, body: list[str], *, slides: bool) -> None:
    """One fault: a block dropped, doubled, moved, swapped with another, made skippable, or put in."""
    at = rng.randrange(len(body))
    match rng.randint(0, 5):
        case 0:
            body.pop(at)
        case 5 if not body[at].startswith("/"):
            body[at] = f"/{body[at]}"
        case 1:
            body.insert(at, body[at])
        case 2 if at + 1 < len(body):
            body[at], body[at + 1] = body[at + 1], body[at]
        case _:
            body.insert(at, rng.choice(_ALL + (_SLIDE if slides else ())))
    if not body:
        body.append("G04 X0.1")
