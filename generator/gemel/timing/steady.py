"""What repeats: the maximum cycle mean of x(k+1) = A x(k) in max-plus algebra, and a circuit that has it.

A[i][j] is the delay from the moment j starts a round to the moment i starts its next one, None where there is no such
delay. Karp (1978): in a strongly connected graph the mean is the largest over v of the least over k < n of
(D_n(v) - D_k(v)) / (n - k), where D_k(v) is the heaviest walk of k edges from one fixed node to v. Every cycle on the
walk of n edges to such a v has that mean (Chaturvedi and McConnell 2017, from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Circuit", "maximum_cycle_mean"]


class Circuit(NamedTuple):
    """A circuit with the greatest mean.

    Attributes:
        mean: its weight over its number of edges.
        nodes: each once, in the order in which it is gone round.
    """

    mean: float
    nodes: tuple[int, ...]


def maximum_cycle_mean(matrix: Sequence[Sequence[float | None]]) -> Circuit | None:
    """The greatest cycle mean and a circuit that has it; None if there is no circuit."""
    best: Circuit | None = None
    for component in _strong_components(matrix):
        found = _karp(matrix, component)
        if found is not None and (best is None or found.mean > best.mean):
            best = found
    return best


def _strong_components(matrix: Sequence[Sequence[float | None]]) -> list[list[int]]:
    """Nodes that reach each other, in sets."""
    nodes = range(len(matrix))
    reach = [[weight is not None for weight in row] for row in matrix]
    for middle in nodes:
        for i in nodes:
            if reach[i][middle]:
                reach[i] = [a or b for a, b in zip(reach[i], reach[middle], strict=True)]
    components: list[list[int]] = []
    for node in nodes:
        home = next((c for c in components if reach[node][c[0]] and reach[c[0]][node]), None)
        if home is None:
            components.append([node])
        else:
            home.append(node)
    return components


def _karp(matrix: Sequence[Sequence[float | None]], nodes: list[int]) -> Circuit | None:
    """The greatest cycle mean of one strongly connected set."""
    heaviest: list[dict[int, float]] = [{nodes[0]: 0.0}]
    before: list[dict[int, int]] = [{}]
    for _ in nodes:
        reached: dict[int, float] = {}
        came: dict[int, int] = {}
        for source, weight in heaviest[-1].items():
            for target in nodes:
                step = matrix[target][source]
                if step is not None and (target not in reached or weight + step > reached[target]):
                    reached[target], came[target] = weight + step, source
        heaviest.append(reached)
        before.append(came)
    size = len(nodes)
    if not heaviest[size]:
        return None
    last = heaviest[size]
    means = {
        v: min((d - heaviest[k][v]) / (size - k) for k in range(size) if v in heaviest[k]) for v, d in last.items()
    }
    node = max(means, key=lambda v: means[v])
    return Circuit(means[node], _cycle_on_walk(before, node))


def _cycle_on_walk(before: list[dict[int, int]], node: int) -> tuple[int, ...]:
    """A cycle on the walk that ends at a node, in the order in which it is gone round."""
    way = [node]
    for came in before[:0:-1]:
        way.append(came[way[-1]])
        if way[-1] in way[:-1]:
            return tuple(way[way.index(way[-1]) + 1 :][::-1])
    raise AssertionError("a walk of as many edges as there are nodes comes to one of them twice")
