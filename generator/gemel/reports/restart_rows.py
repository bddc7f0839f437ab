"""The restart table: a row for every wait mark, from the states that the proof has seen there."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.pairs.titles import short_title
from gemel.proving.facts import LEFT, RIGHT
from gemel.reports.restart_words import checks_of, slide_words, spindle_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.pairs import PairPlan
    from gemel.reports.restart import MarkState, Standing
    from gemel.reports.restart_words import Done, StateWord
    from gemel.reports.stage_table import Known

__all__ = ["RestartCell", "RestartRow", "restart_row"]


class RestartCell(NamedTuple):
    """One channel at a restart point.

    Attributes:
        sequence: sequence number to search for, empty where the block has none. line: its line.
        then: what the channel does next.
    """

    sequence: str
    line: int
    then: str


class RestartRow(NamedTuple):
    """A restart point.

    Attributes:
        mark: number of the wait mark.
        cells: of every channel in the machine file's order, None for one that does not meet there.
        spindles: name of each spindle, and what it must be in.
        between: what slide, synchronisation and catcher must be in.
        checks: what to look at before the start.
    """

    mark: int
    cells: tuple[RestartCell | None, ...]
    spindles: tuple[tuple[str, list[StateWord]], ...]
    between: list[StateWord]
    checks: list[str]


def restart_row(state: MarkState, plan: PairPlan, known: Known, done: list[Done]) -> RestartRow:
    """The row of a wait mark; `done` has what is behind each stage, and behind the last."""
    first = next(iter(plan.channels.values()))
    numbers = [stage.mark.number for stage in (*first.stages, first.closing)]
    index = numbers.index(state.number)
    standings = {s.channel: s for s in state.standings}
    cells = tuple(_cell(standings.get(name), name, index, plan, known) for name in known.machine.channels)
    between = slide_words(state.states, known.machine)
    return RestartRow(state.number, cells, tuple(_spindles(state, known)), between, checks_of(state, done[index]))


def _cell(standing: Standing | None, channel: str, index: int, plan: PairPlan, known: Known) -> RestartCell | None:
    if standing is None:
        return None
    sequence = "" if standing.sequence is None else known.spelled(standing.sequence)
    return RestartCell(sequence, standing.line, _then(channel, index, plan, known))


def _then(channel: str, index: int, plan: PairPlan, known: Known) -> str:
    stages = plan.channels[channel].stages
    if index == len(stages):
        return "starts again" if plan.repeat else "ends"
    work = stages[index].operations
    return short_title(work[0].id, known.part) if work else "waits"


def _spindles(state: MarkState, known: Known) -> Iterator[tuple[str, list[StateWord]]]:
    for name, spindle in known.machine.spindles.items():
        side = LEFT if spindle.side == "bar" else RIGHT
        yield name, spindle_words(state.states, side, known.machine)
