"""The assignment in whole numbers: who goes where, so that the costs are least. It knows nothing of pictures."""

from collections.abc import Sequence

import numpy as np
from ortools.graph.python import min_cost_flow

__all__ = ["Costs", "Counts", "assign"]

Costs = Sequence[Sequence[int | None]]
"""What each row costs in each column; None where the two do not go together."""
Counts = tuple[tuple[int, ...], ...]
"""How many of each row are given to each column."""


def assign(costs: Costs, quantities: Sequence[int], places: Sequence[int], ranks: Sequence[int]) -> Counts:
    """Return how many of each kind go to each kind of place, exactly at least cost.

    As many as can be have a place; among such, as many of the first rank as can be, then of the second and so on;
    among such, the costs are least.

    Parameters
    ----------
    costs : sequence of sequences of int or None
        For each kind and each kind of place, what one costs there, 0 or more; None where it cannot go.
    quantities : sequence of int
        How many there are of each kind, 1 or more.
    places : sequence of int
        How many places there are of each kind, 1 or more.
    ranks : sequence of int
        Of each kind, the lowest first.

    Returns
    -------
    tuple of tuple of int
        For each kind and each kind of place, how many go there. The same for the same arguments.

    Raises
    ------
    RuntimeError
        If the flow is not solved to its optimum, which is a mistake of ours.

    Notes
    -----
    A flow of least cost from the kinds to the places, with an arc for each kind past all places that stands for going
    without one. Such an arc costs more than any detour through the places can save: in an optimal flow no circle of
    spare arcs has a cost below nothing, a circle passes each kind once at most, and so the number of kinds times the
    greatest cost is enough, whatever the quantities. The kinds that can have places at once form a matroid (of
    matchings), in which the best choice for any falling weights is the best rank by rank; so one such step more for
    each rank is enough too. Network simplex or cost scaling in whole numbers is exact; nothing here is a float.

    References
    ----------
    R. K. Ahuja, T. L. Magnanti, J. B. Orlin, *Network Flows*, 1993: section 9.3 (optimality by negative cycles).
    J. Edmonds, D. R. Fulkerson, *Transversals and matroid partition*, 1965: matchings as a matroid.

    Examples
    --------
    >>> assign([[3, 1], [2, None]], [1, 1], [1, 1], [0, 0])
    ((0, 1), (1, 0))
    """
    kinds, sorts = len(quantities), len(places)
    arcs = [(k, s, cost) for k, row in enumerate(costs) for s, cost in enumerate(row) if cost is not None]
    without = kinds * max((cost for _, _, cost in arcs), default=0) + 1
    steps = {rank: step for step, rank in enumerate(sorted(set(ranks), reverse=True), start=1)}
    end = kinds + sorts
    rows = [
        *((k, kinds + s, min(quantities[k], places[s]), cost) for k, s, cost in arcs),
        *((kinds + s, end, count, 0) for s, count in enumerate(places)),
        *((k, end, quantities[k], steps[ranks[k]] * without) for k in range(kinds)),
    ]
    flows = _solved(rows, [*quantities, *(0 for _ in places), -sum(quantities)])
    counts = [[0] * sorts for _ in range(kinds)]
    for (k, s, _), flow in zip(arcs, flows, strict=False):
        counts[k][s] = flow
    return tuple(map(tuple, counts))


def _solved(rows: Sequence[tuple[int, int, int, int]], supplies: Sequence[int]) -> list[int]:
    """Return the flow of each arc, given as its tail, head, capacity and cost."""
    network = min_cost_flow.SimpleMinCostFlow()
    tails, heads, capacities, costs = np.array(rows, dtype=np.int64).T
    network.add_arcs_with_capacity_and_unit_cost(tails, heads, capacities, costs)
    network.set_nodes_supplies(np.arange(len(supplies)), np.array(supplies, dtype=np.int64))
    status = network.solve()
    if status != network.OPTIMAL:
        raise RuntimeError(f"the assignment was not solved: {status}")
    return [int(network.flow(arc)) for arc in range(len(rows))]
