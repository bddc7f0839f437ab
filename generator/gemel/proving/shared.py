"""The state that the channels share, and what each deed of a block makes of it.

A deed is one thing that a block does to clamps, spindles, C axes, slide, stock or part; `after` is the table of
`docs/proving.md`, one line of it a case. Sides are bits: LEFT, RIGHT.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.facts import LEFT, RIGHT

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["JOINED", "NOTHING", "PIECE", "START", "Cut", "Deed", "Shared", "after", "driven"]

NOTHING, JOINED, PIECE = 0, 1, 2
"""What the right spindle holds: nothing, the part that is still one with the bar, a piece that was cut off."""


class Cut(NamedTuple):
    """What the rules ask of a cutting move.

    Attributes:
        rotating: whether a rotating tool cuts, else a turning or cut-off tool.
        central: whether it is a drilling or tapping cycle along Z at X0 Y0.
        driven: whether the channel's tool drive runs.
        visit: index of the step that entered the zone it cuts in.
    """

    rotating: bool
    central: bool
    driven: bool
    visit: int


class Deed(NamedTuple):
    """One thing that a block does.

    Attributes:
        kind: `start` `stop` `open` `close` `c-on` `c-off` `brake-on` `brake-off` `sync-on` `sync-off` `catcher-out`
            `catcher-in` `bar-feed` `slide` `slide-rests` `pull` `c-move` `cut` `cut-off`.
        side: the spindle it concerns, 0 where none; of a slide's move, the channel that makes it, as a bit.
        cut: of a cut, what is asked of it.
        forward: of a slide's move, whether it ends forward.
    """

    kind: str
    side: int = 0
    cut: Cut | None = None
    forward: bool = False


class Shared(NamedTuple):
    """The shared state. The first four are sets of sides as bits.

    Attributes:
        closed: spindles whose clamp is closed.
        turning: spindles that turn.
        c_on: spindles whose C axis is on.
        braked: spindles whose C brake is on.
        synchronised: whether the spindles are synchronised.
        catcher_out: whether the part catcher is out.
        forward: whether the right slide is forward.
        stock: lengths of stock at the left, 0 to 2.
        held: what the right spindle holds.
        had_part: whether the right clamp has closed on a part since the start.
        sliding: channels in a block that moves the slide and begins or ends with it forward, as bits.
    """

    closed: int
    turning: int
    c_on: int
    braked: int
    synchronised: bool
    catcher_out: bool
    forward: bool
    stock: int
    held: int
    had_part: bool
    sliding: int = 0

    @property
    def is_forward(self) -> bool:
        """Whether the slide is forward, or a block under way began with it so or ends so."""
        return self.forward or self.sliding > 0


START = Shared(LEFT, 0, 0, 0, False, False, False, 1, NOTHING, False)  # noqa: FBT003 # one field after the other, as named above
"""The state in which a pair starts."""


def driven(state: Shared, side: int) -> int:
    """The spindles on which a start or stop code of one spindle acts.

    While synchronisation is on, the right spindle follows the left and its own codes move nothing.
    """
    if not state.synchronised:
        return side
    return LEFT | RIGHT if side & LEFT else 0


def _start(state: Shared, deed: Deed) -> Shared:
    return state._replace(turning=state.turning | driven(state, deed.side))


def _stop(state: Shared, deed: Deed) -> Shared:
    return state._replace(turning=state.turning & ~driven(state, deed.side))


def _close(state: Shared, deed: Deed) -> Shared:
    if state.closed & deed.side:
        return state
    state = state._replace(closed=state.closed | deed.side)
    if deed.side == RIGHT and state.forward and state.stock:
        return state._replace(held=JOINED, had_part=True)
    return state


def _open(state: Shared, deed: Deed) -> Shared:
    held = NOTHING if deed.side == RIGHT else state.held
    return state._replace(closed=state.closed & ~deed.side, held=held)


def _synchronise(state: Shared, _deed: Deed) -> Shared:
    turning = LEFT | RIGHT if state.turning & LEFT else 0
    return state._replace(synchronised=True, turning=turning)


def _slide(state: Shared, deed: Deed) -> Shared:
    pulls = state.held == JOINED and not state.closed & LEFT
    under_way = deed.side if deed.forward or state.forward else 0
    stock = 2 if pulls else state.stock
    return state._replace(forward=deed.forward, stock=stock, sliding=state.sliding | under_way)


def _pull(state: Shared, _deed: Deed) -> Shared:
    return state if state.closed & LEFT else state._replace(stock=max(state.stock, 1))


def _cut_off(state: Shared, _deed: Deed) -> Shared:
    if not state.stock:
        return state
    return state._replace(stock=state.stock - 1, held=PIECE if state.held == JOINED else state.held)


_AFTER: dict[str, Callable[[Shared, Deed], Shared]] = {
    "start": _start,
    "stop": _stop,
    "close": _close,
    "open": _open,
    "c-on": lambda s, d: s._replace(c_on=s.c_on | d.side),
    "c-off": lambda s, d: s._replace(c_on=s.c_on & ~d.side),
    "brake-on": lambda s, d: s._replace(braked=s.braked | d.side),
    "brake-off": lambda s, d: s._replace(braked=s.braked & ~d.side),
    "sync-on": _synchronise,
    "sync-off": lambda s, _: s._replace(synchronised=False),
    "catcher-out": lambda s, _: s._replace(catcher_out=True),
    "catcher-in": lambda s, _: s._replace(catcher_out=False),
    "bar-feed": lambda s, _: s._replace(stock=max(s.stock, 1)),
    "slide": _slide,
    "slide-rests": lambda s, d: s._replace(sliding=s.sliding & ~d.side),
    "pull": _pull,
    "c-move": lambda s, _: s,
    "cut": lambda s, _: s,
    "cut-off": _cut_off,
}


def after(state: Shared, deed: Deed) -> Shared:
    """The state behind a deed."""
    return _AFTER[deed.kind](state, deed)
