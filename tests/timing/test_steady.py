"""The maximum cycle mean against published matrices, brute force and a graph library."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.timing.steady import maximum_cycle_mean

if TYPE_CHECKING:
    from collections.abc import Sequence


def _mean_of(rows: Sequence[Sequence[float | None]], nodes: Sequence[int]) -> float:
    """Mean weight of a circuit; an edge from j to i weighs rows[i][j]."""
    weights = [rows[i][j] for j, i in zip(nodes, [*nodes[1:], nodes[0]], strict=True)]
    return sum(w for w in weights if w is not None) / len(nodes)


def _checked(rows: Sequence[Sequence[float | None]]) -> float:
    """The mean, after the circuit that comes with it was weighed."""
    found = maximum_cycle_mean(rows)
    assert found is not None
    assert _mean_of(rows, found.nodes) == pytest.approx(found.mean)
    return found.mean


def test_published_matrix_of_five() -> None:
    """A published example of five nodes: 17, on the circuit of nodes 3 and 5."""
    rows: list[list[float | None]] = [
        [4, 10, 5, 1, 6],
        [6, 7, 13, 10, 3],
        [7, 12, None, None, 16],
        [6, 10, 8, 5, 4],
        [11, 9, 18, 8, 2],
    ]
    found = maximum_cycle_mean(rows)
    assert found is not None
    assert found.mean == 17
    assert sorted(found.nodes) == [2, 4]


def test_published_matrix_of_three() -> None:
    """A published example of three nodes: 6, on the loop of node 2."""
    found = maximum_cycle_mean([[5, None, 5], [None, 6, 3], [6, 6, 3]])
    assert found is not None
    assert (found.mean, found.nodes) == (6, (1,))


@pytest.mark.parametrize(
    ("rows", "mean", "orbit"),
    [
        ([[2, 5], [3, 3]], 4, [(5, 3), (8, 8), (13, 11), (16, 16)]),
        ([[3, 7], [2, 4]], 4.5, [(7, 4), (11, 9), (16, 13), (20, 18)]),
    ],
)
def test_known_orbits(rows: list[list[float]], mean: float, orbit: list[tuple[float, float]]) -> None:
    """The mean is what two steps of x(k+1) = A x(k) from zero bring, and the orbit is the known one."""
    assert _checked(rows) == mean
    x = (0.0, 0.0)
    for step, expected in enumerate(orbit):
        x = (max(rows[0][0] + x[0], rows[0][1] + x[1]), max(rows[1][0] + x[0], rows[1][1] + x[1]))
        assert x == expected, step
    assert orbit[3][0] - orbit[1][0] == 2 * mean


def test_example_of_karp() -> None:
    """The digraph of Karp's example: least mean 1 on 1-2-4, greatest 7/4."""
    edges = {(1, 2): 1, (2, 4): 2, (4, 1): 0, (2, 5): 2, (5, 1): 2, (2, 3): 3, (3, 5): 1}
    rows: list[list[float | None]] = [[edges.get((j, i)) for j in range(1, 6)] for i in range(1, 6)]
    assert _checked(rows) == 7 / 4
    turned = [[None if w is None else -w for w in row] for row in rows]
    least = maximum_cycle_mean(turned)
    assert least is not None
    assert (-least.mean, sorted(least.nodes)) == (1, [0, 1, 3])


def test_no_circuit() -> None:
    """A graph without a circuit has no mean."""
    assert maximum_cycle_mean([[None, None], [3, None]]) is None
    assert maximum_cycle_mean([]) is None


_ROWS = st.integers(1, 5).flatmap(
    lambda n: st.lists(
        st.lists(st.one_of(st.none(), st.integers(-20, 50)), min_size=n, max_size=n), min_size=n, max_size=n
    )
)


@given(_ROWS)
def test_any_matrix_equals_brute_force(rows: list[list[int | None]]) -> None:
    """The mean is the greatest over all simple circuits that a graph library finds."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(rows)))
    for i, row in enumerate(rows):
        for j, weight in enumerate(row):
            if weight is not None:
                graph.add_edge(j, i, weight=weight)
    means = []
    for nodes in nx.simple_cycles(graph):
        pairs = zip(nodes, [*nodes[1:], nodes[0]], strict=True)
        means.append(Fraction(sum(graph[a][b]["weight"] for a, b in pairs), len(nodes)))
    if not means:
        assert maximum_cycle_mean(rows) is None
    else:
        assert _checked(rows) == pytest.approx(float(max(means)))
