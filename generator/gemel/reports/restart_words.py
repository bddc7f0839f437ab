"""A restart point in the words of a setter: what state the machine must be in, and what to check before the start."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from gemel.proving.facts import LEFT, RIGHT
from gemel.proving.shared import JOINED, NOTHING, PIECE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from gemel.machines.schema import Machine
    from gemel.proving.shared import Shared
    from gemel.reports.restart import MarkState

__all__ = ["Done", "StateWord", "checks_of", "slide_words", "spindle_words"]

_HELD = {NOTHING: "holds nothing", JOINED: "holds the part, still one with the bar", PIECE: "holds the part, cut off"}


class Done(NamedTuple):
    """Operations, in words, that are behind a restart point.

    Attributes:
        on_bar: on the bar in the left spindle, since the last part was cut off it.
        on_second: on the part in the right spindle, since it was cut off.
    """

    on_bar: tuple[str, ...] = ()
    on_second: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StateWord:
    """One thing about the machine's state.

    Attributes:
        text: how it must be.
        is_rest: whether that is how the machine stands after a reset; what is not must be brought about by hand.
    """

    text: str
    is_rest: bool


def _word(states: Iterable[Shared], say: Callable[[Shared], str], rest: str) -> StateWord:
    """What all states have in common, or all that they may be, joined by `or`."""
    said = list(dict.fromkeys(say(state) for state in states))
    return StateWord(" or ".join(said), said == [rest])


def spindle_words(states: tuple[Shared, ...], side: int, machine: Machine) -> list[StateWord]:
    """What a spindle must be in: clamp, rotation, C axis; of the hand-over spindle also what it holds."""
    name = next((n for n, s in machine.spindles.items() if (LEFT if s.side == "bar" else RIGHT) == side), None)
    if name is None:
        return []
    clamp, c_axis, brake = machine.codes.clamp[name], machine.codes.c_axis[name], machine.codes.c_brake[name]
    closed, opened = f"clamp closed ({clamp.close})", f"clamp open ({clamp.open})"

    def c_state(state: Shared) -> str:
        if not state.c_on & side:
            return "C axis off"
        braked = f", braked ({brake.engage})" if state.braked & side else ""
        return f"C axis on ({c_axis.engage}){braked}"

    words = [
        _word(states, lambda s: closed if s.closed & side else opened, closed if side == LEFT else opened),
        _word(states, lambda s: "turning" if s.turning & side else "stopped", "stopped"),
        _word(states, c_state, "C axis off"),
    ]
    if side == RIGHT:
        words.insert(0, _word(states, lambda s: _HELD[s.held], _HELD[NOTHING]))
    return words


def slide_words(states: tuple[Shared, ...], machine: Machine) -> list[StateWord]:
    """What the slide, the synchronisation and the catcher must be in."""
    words = [
        _word(states, lambda s: "slide forward" if s.forward else "slide back", "slide back"),
        _word(states, lambda s: "spindles together" if s.synchronised else "spindles apart", "spindles apart"),
    ]
    if machine.catcher:
        words.append(_word(states, lambda s: "catcher out" if s.catcher_out else "catcher in", "catcher in"))
    return words


def checks_of(mark: MarkState, done: Done) -> list[str]:
    """What to look at before the start, of a restart point with these operations behind it."""
    found = []
    if done.on_bar:
        found.append(f"On the bar {_have(done.on_bar)} been done; no piece of a broken tool is left in it.")
    else:
        found.append("On the bar nothing has been done yet.")
    held = {state.held for state in mark.states}
    if PIECE in held:
        after = f"; on its second side {_have(done.on_second)} been done" if done.on_second else ""
        found.append(f"The part in the right clamp is cut off and cannot be turned by hand{after}.")
    elif held == {NOTHING}:
        found.append("The right clamp is empty and free of chips.")
    if JOINED in held:
        found.append("Both clamps hold one part: turn neither spindle alone.")
    if any(state.turning for state in mark.states):
        found.append("A spindle turns here: bring it to speed by hand before the start.")
    found += [f"{s.channel} stands inside a zone here: look where it is." for s in mark.standings if not s.is_clear]
    if mark.first and {state.held for state in mark.first} != held:
        found.append("In the first pass of a series the right clamp is open and empty.")
    return found


def _have(operations: tuple[str, ...]) -> str:
    listed = ", ".join(operations)
    return f"{listed} {'have' if len(operations) > 1 else 'has'}"
