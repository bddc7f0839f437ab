"""The machine's facts that a proof rests on, in the shape in which the rules ask for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.machines.schema import Machine

__all__ = ["LEFT", "RIGHT", "SIDES", "Facts", "facts_of", "side_name"]

LEFT = 1
"""The bar side, as a bit."""

RIGHT = 2
"""The hand-over side, as a bit."""

SIDES = (LEFT, RIGHT)

_NAMES = {LEFT: "left", RIGHT: "right"}


class Facts(NamedTuple):
    """What the rules need to know of a machine. Lengths in the unit of the programs, X a diameter.

    Attributes:
        clearance: X below which a channel is inside a zone.
        bar_clearance: X below which a feed move counts as a cut.
        z_below: Z at or below which a cut-off parts the piece off; None: anywhere.
        bore: X at which a cut-off is through.
        slide_back: slide coordinate at or above which it is back.
        catcher: whether the machine has a part catcher.
        together: pairs of tool kinds that may be inside one zone together, each pair sorted.
        sides: LEFT or RIGHT of each spindle's name.
        shop_waits: lowest and highest wait number that the shop uses.
        home_x: home X of each channel.
    """

    clearance: float
    bar_clearance: float
    z_below: float | None
    bore: float
    slide_back: float
    catcher: bool
    together: frozenset[tuple[str, str]]
    sides: Mapping[str, int]
    shop_waits: tuple[int, int]
    home_x: Mapping[str, float]

    def may_share(self, one: str | None, other: str | None) -> bool:
        """Whether tools of these two kinds may be inside one zone at the same time."""
        if one is None or other is None:
            return False
        return ((one, other) if one <= other else (other, one)) in self.together


def side_name(side: int) -> str:
    """`left` or `right`."""
    return _NAMES[side]


def facts_of(machine: Machine) -> Facts:
    """The facts of a machine file."""
    zones = machine.zones
    bar = next((s for s in machine.spindles.values() if s.side == "bar"), None)
    together = set()
    for kinds in zones.allowed_together:
        names = sorted(str(k) for k in kinds)
        together |= {(a, b) for i, a in enumerate(names) for b in names[i + 1 :]}
    return Facts(
        clearance=float(zones.clearance),
        bar_clearance=float(zones.clearance if zones.bar_clearance is None else zones.bar_clearance),
        z_below=None if zones.z_below is None else float(zones.z_below),
        bore=float(bar.bore) if bar else 0.0,
        slide_back=float(machine.slide.back),
        catcher=machine.catcher,
        together=frozenset(together),
        sides={name: LEFT if s.side == "bar" else RIGHT for name, s in machine.spindles.items()},
        shop_waits=(int(machine.waits.first), int(machine.waits.last)),
        home_x={name: float(c.home.get("x", 0.0)) for name, c in machine.channels.items()},
    )
