"""Timelines against a discrete-event simulation (SimPy) of the same durations with barriers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest
import simpy
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.timing import time_pair
from support.proofs import demo_machine, three_channel_machine
from support.timed import timeline_of

if TYPE_CHECKING:
    from collections.abc import Generator, Mapping, Sequence

    from gemel.timing import Timeline

_OUTPUT = Path(__file__).parents[2] / "output" / "twin-turnmill"
_MARK_S = float(demo_machine().durations.wait)
_ROUNDS = 60


class _Wait(NamedTuple):
    """A mark: its number, and everybody who meets there."""

    number: int
    channels: frozenset[str]


class _Simulation:
    """Channels as processes, marks as events that fire when everybody has come."""

    def __init__(self, programs: Mapping[str, Sequence[float | _Wait]], rounds: int = 1) -> None:
        self.environment = simpy.Environment()
        self.rounds = rounds
        self.passes: dict[str, list[float]] = {name: [0.0] for name in programs}
        self.lost: dict[str, float] = dict.fromkeys(programs, 0.0)
        self._there: dict[tuple[_Wait, int], set[str]] = {}
        self._events: dict[tuple[_Wait, int], simpy.Event] = {}
        for name, program in programs.items():
            self.environment.process(self._channel(name, program))
        self.environment.run()

    def _channel(self, name: str, program: Sequence[float | _Wait]) -> Generator[simpy.Event, None, None]:
        for number in range(self.rounds):
            for item in program:
                if not isinstance(item, _Wait):
                    yield self.environment.timeout(item)
                    continue
                key = item, number
                event = self._events.setdefault(key, self.environment.event())
                there = self._there.setdefault(key, set())
                there.add(name)
                arrived = self.environment.now
                if there == item.channels:
                    event.succeed()
                yield event
                self.lost[name] += self.environment.now - arrived
                yield self.environment.timeout(_MARK_S)
            self.passes[name].append(self.environment.now)

    @property
    def period_s(self) -> float:
        """Seconds from part to part in the long run; thirty rounds hold every cyclicity of up to three channels."""
        return max((own[_ROUNDS] - own[_ROUNDS - 30]) / 30 for own in self.passes.values())


def _text(program: Sequence[float | _Wait], digits: Mapping[str, int] | None, end: str) -> str:
    """The program as a control reads it."""
    lines = []
    for item in program:
        if isinstance(item, _Wait):
            named = "" if digits is None else " P" + "".join(sorted(str(digits[c]) for c in item.channels))
            lines.append(f"M{item.number}{named}")
        else:
            lines.append(f"G04 X{item:.3f}")
    return "\n".join([*lines, end, ""])


_DWELL = st.integers(0, 30_000).map(lambda ms: ms / 1000)


@st.composite
def _programs(draw: st.DrawFn, channels: tuple[str, ...], *, everybody: bool) -> dict[str, list[float | _Wait]]:
    """Channels with dwells of random length and marks that name all or some of them."""
    made: dict[str, list[float | _Wait]] = {c: [] for c in channels}
    for number in range(draw(st.integers(0, 6))):
        chosen = channels if everybody else draw(st.lists(st.sampled_from(channels), min_size=2, unique=True))
        for channel in channels:
            made[channel] += draw(st.lists(_DWELL, max_size=3))
            if channel in chosen:
                made[channel].append(_Wait(701 + number, frozenset(chosen)))
    for channel in channels:
        made[channel] += draw(st.lists(_DWELL, min_size=1, max_size=2))
    return made


def _check(timed: Timeline, simulation: _Simulation) -> None:
    assert timed.cycle_s == pytest.approx(max(own[1] for own in simulation.passes.values()), abs=1e-6)
    for lane in timed.lanes:
        assert lane.end_s == pytest.approx(simulation.passes[lane.channel][1], abs=1e-6)
        assert timed.load(lane.channel).lost_s == pytest.approx(simulation.lost[lane.channel], abs=1e-6)


@settings(deadline=None)
@given(_programs(("upper", "lower"), everybody=True))
def test_two_channels(programs: dict[str, list[float | _Wait]]) -> None:
    """Ends and waiting of a pair that runs once are those of the simulation."""
    timed = timeline_of({c: _text(p, None, "M30") for c, p in programs.items()})
    if timed.period_s:
        _check(timed, _Simulation(programs))


@settings(deadline=None)
@given(_programs(("upper", "lower", "rear"), everybody=False))
def test_three_channels_with_marks_that_name_some(programs: dict[str, list[float | _Wait]]) -> None:
    """The same with three channels, where marks name two or three of them."""
    machine = three_channel_machine()
    digits = {name: int(c.number) for name, c in machine.channels.items()}
    timed = timeline_of({c: _text(p, digits, "M30") for c, p in programs.items()}, machine)
    if timed.period_s:
        _check(timed, _Simulation(programs))


@settings(deadline=None)
@given(_programs(("upper", "lower"), everybody=True))
def test_two_channels_that_repeat(programs: dict[str, list[float | _Wait]]) -> None:
    """The period of a pair that repeats is that of many rounds of the simulation."""
    timed = timeline_of({c: _text(p, None, "M99") for c, p in programs.items()})
    assert timed.repeats
    assert timed.period_s == pytest.approx(_Simulation(programs, _ROUNDS).period_s, abs=1e-6)
    assert timed.period_s is not None
    assert timed.cycle_s is not None
    assert timed.period_s <= timed.cycle_s + 1e-6


@settings(deadline=None)
@given(_programs(("upper", "lower", "rear"), everybody=False))
def test_three_channels_that_repeat(programs: dict[str, list[float | _Wait]]) -> None:
    """The same with three channels, where parts overlap and marks name some of them."""
    machine = three_channel_machine()
    digits = {name: int(c.number) for name, c in machine.channels.items()}
    timed = timeline_of({c: _text(p, digits, "M99") for c, p in programs.items()}, machine)
    assert timed.period_s == pytest.approx(_Simulation(programs, _ROUNDS).period_s, abs=1e-6)


@pytest.mark.parametrize("pair", ["port-block-20", "valve-stem-60", "hex-coupling-46"])
def test_demo_pairs(pair: str) -> None:
    """A demo pair laid out in time is the simulation of its blocks."""
    folder = _OUTPUT / pair
    files = {c: next(folder.glob(f"*.{c}.nc")) for c in ("upper", "lower")}
    timed = time_pair({c: (p.name, p.read_bytes()) for c, p in files.items()}, demo_machine())
    everybody = frozenset(files)
    waits = {a.block.line: m.number for m in timed.meetings for a in m.arrivals if a.channel == "upper"}
    assert len(waits) == len(timed.meetings) > 3
    programs: dict[str, list[float | _Wait]] = {}
    for lane in timed.lanes:
        marks = sorted((a.arrive_s, m.number) for m in timed.meetings for a in m.arrivals if a.channel == lane.channel)
        blocks = list(lane.blocks)
        made: list[float | _Wait] = []
        for _, number in marks:
            while blocks and not any(b.mark == number for b in lane.bars if blocks[0] in b.blocks):
                made.append(blocks.pop(0).spent.total_s)
            made.append(_Wait(number, everybody))
        programs[lane.channel] = made + [b.spent.total_s for b in blocks]
    _check(timed, _Simulation(programs))


@settings(deadline=None, max_examples=50)
@given(_programs(("upper", "lower"), everybody=True), st.sampled_from(["M30", "M99"]), st.data())
def test_a_second_saved_brings_what_was_said(
    programs: dict[str, list[float | _Wait]], end: str, data: st.DataObject
) -> None:
    """A dwell that is a second shorter makes the pair quicker by the gain of its operation."""
    timed = timeline_of({c: _text(p, None, end) for c, p in programs.items()})
    places = [(c, i) for c, p in programs.items() for i, x in enumerate(p) if not isinstance(x, _Wait) and x >= 1]
    if not places:
        return
    channel, place = data.draw(st.sampled_from(places))
    shorter = {c: [*p] for c, p in programs.items()}
    dwell = shorter[channel][place]
    assert not isinstance(dwell, _Wait)
    shorter[channel][place] = dwell - 1
    (bar,) = [b for b in timed.lane(channel).bars if place + 1 in {block.line for block in b.blocks}]
    quicker = timeline_of({c: _text(p, None, end) for c, p in shorter.items()})
    assert timed.period_s is not None
    assert quicker.period_s is not None
    assert timed.period_s - quicker.period_s == pytest.approx(bar.gain_s, abs=1e-6)
