"""Local search on every board, side by side: the standing searches and when they start again.

Each board that has anything to cut has a standing search (`ruin_recreate`) at approximate prices. They start
again whenever the incumbent has another assignment of lots to boards. Further searches cut a board from given sheets.
"""

from collections.abc import Sequence
from dataclasses import replace

from nesting.packing.instance import Instance
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.solution import BoardDemand, Sheet, board_demand, price_tags
from nesting.packing.state import SolverState

__all__ = [
    "TURN",
    "add_patterns",
    "adopt_assignment",
    "first_assignment",
    "for_sale",
    "improve",
    "open_searches",
    "search_stock",
    "sheets_of",
]

TURN = 200
"""Rounds of search on each board in a turn."""

GUIDES = 4
"""How many of the newest inequalities of a board guide its search."""


def first_assignment(instance: Instance) -> tuple[int, ...]:
    """Return for each lot its most preferred board whose sheets hold it, or failing that its most preferred one."""
    return tuple(
        next((b for b in lot.boards if instance.fits(lot.size, b, instance.sizes[b])), lot.boards[0])
        for lot in instance.lots
    )


def open_searches(state: SolverState, rounds: int) -> None:
    """Start the standing searches and look for a first solution, also without what may stand in its way.

    Limits of offers, which boards share, may make the purchase impossible; so may sheets that packs and minimums leave
    uncut where there is no room for them.
    """
    _start_searches(state)
    improve(state, rounds)
    if state.incumbent.solution is None:
        _start_searches(state, limited=False)
        improve(state, rounds)
    if state.incumbent.solution is None and state.instance.room is not None:
        _start_searches(state, limited=False, singly=True)
        improve(state, rounds)
        _start_searches(state)
        improve(state, rounds)


def adopt_assignment(state: SolverState) -> None:
    """Start the standing searches again with the assignment of the incumbent, if they have another."""
    solution = state.incumbent.solution
    if solution is not None and solution.boards != state.assignment:
        state.assignment = solution.boards
        _start_searches(state)


def improve(state: SolverState, rounds: int) -> None:
    """Run each standing search that costs anything for some rounds; offer their sheets if they became cheaper."""
    for search in state.searches.values():
        if search.cost > 0:
            search.improve(rounds)
            state.stop.done += rounds
    total = sum(search.cost for search in state.searches.values())
    if state.offered is None or total < state.offered:
        state.offered = total
        if all(search.complete for search in state.searches.values()):
            sheets = [sheet for board, search in state.searches.items() for sheet in sheets_of(board, search)]
            state.incumbent.buy(state.assignment, sheets)


def add_patterns(state: SolverState) -> None:
    """Add the patterns of all standing searches to the column pool."""
    for board, search in state.searches.items():
        state.pools.add_patterns(sheets_of(board, search))


def search_stock(state: SolverState, board: int, its: BoardDemand, bought: Sequence[Stock], turns: int) -> RuinRecreate:
    """Search a board apart from its standing search, until everything is cut from free stock or for this many turns."""
    search = _search(state, board, its, bought)
    for _ in range(turns):
        if search.cost == 0 or state.stop():
            break
        search.improve(TURN)
        state.stop.done += TURN
    state.pools.add_patterns(sheets_of(board, search))
    return search


def sheets_of(board: int, search: RuinRecreate) -> list[Sheet]:
    """Return the sheets that a search has in use."""
    return [Sheet(board, search.stock[stock].size, part) for stock, part in search.sheets()]


def for_sale(instance: Instance, board: int, *, limited: bool) -> list[Stock]:
    """List what can be bought for a board, at approximate prices; offers with a limit only if `limited`."""
    tags = price_tags(instance, board, limited=limited)
    return [Stock(instance.grown(size), price, count or instance.items) for size, price, count in tags]


def _start_searches(state: SolverState, *, limited: bool = True, singly: bool = False) -> None:
    """Start the standing searches again, with or without limited offers, or only with sheets that are sold singly."""
    state.searches.clear()
    state.offered = None
    offers = tuple(o for o in state.instance.offers if not singly or o.pack == o.at_least == 1)
    shops = replace(state.instance, offers=offers)
    for board in state.instance.boards_in_use:
        its = board_demand(state.instance, state.assignment, board)
        if its.demand:
            state.searches[board] = _search(state, board, its, for_sale(shops, board, limited=limited))


def _search(state: SolverState, board: int, its: BoardDemand, bought: Sequence[Stock]) -> RuinRecreate:
    instance = state.instance
    free = [
        Stock(size, 0, count)
        for size, count in sorted(its.free.items(), key=lambda item: -item[0].area)
        if any(instance.fits(instance.true(kind), board, [instance.true(size)]) for kind in its.demand)
    ]
    return RuinRecreate(
        state.pools.engine,
        its.demand,
        [*free, *bought],
        turn=instance.turn[board],
        longest=instance.longest_grown,
        seed=state.next_seed(board),
        guides=[inequality.values for inequality in state.pools.inequalities_of(board)[-GUIDES:]],
    )
