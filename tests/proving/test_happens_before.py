"""What the waits order, against graphs, vector clocks and published facts (checks.md 7.5)."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest

from support.abstract_runs import ACT, Event, Run, concurrent_acts, explored_runs, hangs

A, B, C = 0, 1, 2
ALL2, ALL3 = frozenset({A, B}), frozenset({A, B, C})


def _runs(*numbers: list[int]) -> list[Run]:
    everybody = frozenset(range(len(numbers)))
    return [[(n, everybody) for n in channel] for channel in numbers]


def _standing(*numbers: list[int]) -> list[int]:
    """The number at which each channel stands at the end, 0 for one that has ended."""
    exploration = explored_runs(_runs(*numbers))
    state = next(iter(exploration.hung))
    return [stretch.node.number for stretch in exploration.here(state)]


def _rules(runs: list[Run]) -> set[str]:
    return {s.rule.code for s in explored_runs(runs).sightings.all()}


def test_swapped_marks_stand_against_each_other() -> None:
    """A 10 20, B 20 10: blocked at once, A at 10, B at 20 (checks.md 7.5)."""
    assert _standing([10, 20], [20, 10]) == [10, 20]
    assert _rules(_runs([10, 20], [20, 10])) == {"deadlock"}


def test_missing_partner_is_no_ring() -> None:
    """A 10 20, B 10: A blocked at 20, B has ended (checks.md 7.5)."""
    assert _standing([10, 20], [10]) == [20, 0]
    assert _rules(_runs([10, 20], [10])) == {"ended"}


def test_dropped_mark_blocks_at_the_next() -> None:
    """A 10 20 30, B 10 30: blocked, A at 20, B at 30 (checks.md 7.5)."""
    assert _standing([10, 20, 30], [10, 30]) == [20, 30]


def test_ring_of_three_blocks_and_its_reordering_completes() -> None:
    """A: 1(AB) 3(AC), B: 2(BC) 1(AB), C: 3(AC) 2(BC) blocks in a ring; B: 1 2 and C: 2 3 complete (checks.md 7.5)."""
    ab, bc, ac = frozenset({A, B}), frozenset({B, C}), frozenset({A, C})
    one, two, three = (1, ab), (2, bc), (3, ac)
    assert hangs(explored_runs([[one, three], [two, one], [three, two]]))
    assert _rules([[one, three], [two, one], [three, two]]) == {"deadlock"}
    # As the page has it, A: 1 3, B: 1 2, C: 2 3: every channel meets the marks in one common order.
    assert not hangs(explored_runs([[one, three], [one, two], [two, three]]))


@pytest.mark.parametrize("n", [2, 3, 4])
def test_one_order_of_all_is_live(n: int) -> None:
    """Of the n! orders of B against A = 1..n exactly one runs to the end (checks.md 7.5)."""
    numbers = list(range(1, n + 1))
    live = [order for order in itertools.permutations(numbers) if not hangs(explored_runs(_runs(numbers, list(order))))]
    assert live == [tuple(numbers)]


def _random_runs(rng: random.Random, channels: int) -> list[Run]:
    """Runs with acts and waits that name two or three channels, now and then out of order or one short."""
    runs: list[Run] = [[] for _ in range(channels)]
    for number in range(1, rng.randint(2, 6)):
        named = frozenset(rng.sample(range(channels), rng.randint(2, channels)))
        for _ in range(rng.choice((1, 1, 1, 2))):
            for channel in named:
                runs[channel].append((number, named))
        for channel in range(channels):
            runs[channel] += [ACT] * rng.randint(0, 2)
    if rng.random() < 0.5:
        run = rng.choice([r for r in runs if r])
        if rng.random() < 0.5:
            rng.shuffle(run)
        else:
            run.pop(rng.randrange(len(run)))
    return runs


def _occurrences(run: Run) -> list[tuple[Event, int]]:
    """Each event with how often it has come before."""
    seen: dict[Event, int] = {}
    found = []
    for event in run:
        found.append((event, seen.get(event, 0)))
        seen[event] = seen.get(event, 0) + 1
    return found


def _graph(runs: list[Run]) -> nx.DiGraph:
    """The union of the channels' orders; the k-th occurrence of a mark is one node for all channels."""
    graph = nx.DiGraph()
    for channel, run in enumerate(runs):
        keys = [
            ("act", channel, i) if event == ACT else ("mark", event, k)
            for i, (event, k) in enumerate(_occurrences(run))
        ]
        graph.add_nodes_from(keys)
        graph.add_edges_from(itertools.pairwise(keys))
    return graph


def _is_live(runs: list[Run]) -> bool:
    """Every mark equally often in all channels that it names, and the union of the orders acyclic (checks.md 7.5)."""
    for event in {e for run in runs for e in run if e != ACT}:
        if len({runs[c].count(event) for c in event[1]}) > 1:
            return False
    return bool(nx.is_directed_acyclic_graph(_graph(runs)))


def test_acyclic_union_of_orders_equals_liveness() -> None:
    """Over random three-channel runs, nobody hangs exactly when the union of the orders is acyclic and counts agree."""
    rng = random.Random(7)  # noqa: S311 # a fixed sequence is wanted
    seen = {True: 0, False: 0}
    for _ in range(600):
        runs = _random_runs(rng, 3)
        live = _is_live(runs)
        seen[live] += 1
        assert hangs(explored_runs(runs)) != live, runs
    assert min(seen.values()) > 100


def _clocks(runs: list[Run]) -> dict[tuple[int, int], list[int]]:
    """Vector clock of each act of runs that complete: own events counted, joined at a rendezvous (Mattern 1988)."""
    clocks = [[0] * len(runs) for _ in runs]
    places = [0] * len(runs)
    found: dict[tuple[int, int], list[int]] = {}
    while any(p < len(run) for p, run in zip(places, runs, strict=True)):
        for channel, run in enumerate(runs):
            while places[channel] < len(run) and run[places[channel]] == ACT:
                clocks[channel][channel] += 1
                found[channel, places[channel]] = list(clocks[channel])
                places[channel] += 1
        heads = {c: run[places[c]] for c, run in enumerate(runs) if places[c] < len(run)}
        event = next((e for e in heads.values() if all(heads.get(c) == e for c in e[1])), None)
        for channel in event[1] if event else ():
            clocks[channel][channel] += 1
            places[channel] += 1
        if event:
            joined = [max(clocks[c][i] for c in event[1]) for i in range(len(runs))]
            for channel in event[1]:
                clocks[channel] = list(joined)
    return found


def test_clocks_graph_and_exploration_agree_on_what_is_concurrent() -> None:
    """Acts are unordered by their clocks just when no path joins them, and when some interleaving has them together."""
    rng = random.Random(11)  # noqa: S311 # a fixed sequence is wanted
    pairs = 0
    for _ in range(300):
        runs = [[*run, ACT] for run in _random_runs(rng, 3)]
        if not _is_live(runs):
            continue
        clocks = _clocks(runs)
        graph = _graph(runs)
        closure = nx.transitive_closure_dag(graph)
        seen = concurrent_acts(explored_runs(runs))
        for one, other in itertools.combinations(sorted(clocks), 2):
            if one[0] == other[0]:
                continue
            forth = closure.has_edge(("act", *one), ("act", *other))
            ordered = forth or closure.has_edge(("act", *other), ("act", *one))
            by_clock = _before(clocks[one], clocks[other], one[0]) or _before(clocks[other], clocks[one], other[0])
            assert by_clock == ordered, (runs, one, other)
            assert (frozenset({one, other}) in seen) != ordered, (runs, one, other)
            pairs += 1
    assert pairs > 1000


def _before(one: list[int], other: list[int], channel: int) -> bool:
    """Whether the event of `channel` with the first clock is known to the other."""
    return one[channel] <= other[channel]
