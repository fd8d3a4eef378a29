"""A dive ends with whole patterns that cut everything, and leaves the linear programme as it was."""

from dataclasses import replace
from random import Random

from nesting.packing import diving
from nesting.packing.board_searches import add_patterns, open_searches
from nesting.packing.bounding import Bounding
from nesting.packing.diving import Diving
from nesting.packing.engine import compiled
from nesting.packing.joint_lp import JointLP
from nesting.packing.pools import Pools
from nesting.packing.solve import begin
from nesting.packing.stop import Stop
from tests.packing.posed import instance, lots, offer, wrong_with

SEEDS = range(2)


def wall(seed):
    """Return pieces of odd sizes on two boards, many of which may be cut from either, and a sheet for some six."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    boards, sizes = [], []
    for its in ((0,), (0, 1), (1,)):
        boards += [its] * 13
        sizes += [(*sorted((chance.randint(14, 40), chance.randint(14, 40))), 1) for _ in range(13)]
    placed = tuple(replace(lot, boards=its) for lot, its in zip(lots(*sizes), boards, strict=True))
    return instance(placed, [offer(60, 80, 500, boards=(0, 1))], turn=(True, True))


def begun(seed):
    """Return the state of a solve of a wall after a little search, and the bound side of it, after some pricing."""
    problem = wall(seed)
    pools = Pools(problem)
    pools.use_engine(compiled())
    state = begin(problem, Stop(60.0), 0, None, pools, first=False)
    open_searches(state, 1)
    bounding = Bounding(state)
    for _ in range(4):
        bounding.price(state)
        add_patterns(state)
    return state, bounding


def covers_everything(problem, columns):
    """Whether columns used once each cut every lot from one of its boards."""
    cut = {}
    for board, column in columns:
        for kind, count in column.kinds.items():
            cut[board, kind] = cut.get((board, kind), 0) + count
    for lot in sorted(problem.lots, key=lambda lot: len(lot.boards)):
        mine = [(board, problem.kind(problem.grown(lot.size), board)) for board in lot.boards]
        there = [key for key in mine if cut.get(key)]
        if not there:
            return False
        cut[there[0]] -= 1
    return True


def test_what_a_dive_comes_to_cuts_everything(monkeypatch):
    whole = []
    for seed in SEEDS:
        state, bounding = begun(seed)
        handed = []
        monkeypatch.setattr(diving, "combine", lambda _, columns, __, handed=handed: handed.append(list(columns)))
        dives = Diving()
        dives.dive(state, bounding)
        if len(handed) == 2:  # its own columns before all of them; else it became as dear as the incumbent
            whole.append(seed)
            assert covers_everything(state.instance, handed[0]), seed
            assert not covers_everything(state.instance, handed[0][1:]), seed
            assert len(handed[0]) < len(handed[1])
    assert len(whole) >= len(SEEDS) // 2


def test_dives_find_what_a_little_search_does_not_and_claim_no_more_than_holds():
    better = 0
    for seed in SEEDS:
        state, bounding = begun(seed)
        before, dives = state.incumbent.value, Diving()
        for _ in range(2):
            if not state.incumbent.settled:
                dives.dive(state, bounding)
        assert state.incumbent.bound <= state.incumbent.value
        assert wrong_with(state.instance, state.incumbent.solution) == []
        better += state.incumbent.value < before
    assert better >= len(SEEDS) // 2


def test_after_a_dive_no_column_has_to_be_used_any_more(monkeypatch):
    monkeypatch.setattr(diving, "combine", lambda *_: None)
    state, bounding = begun(0)
    dives = Diving()
    dives.dive(state, bounding)
    assert len(dives._lp.columns) > 50
    assert not any(variable.lb() for variable in dives._lp._times)


def test_columns_of_a_bounded_linear_programme_have_no_more_of_a_kind_than_there_are():
    dearer = 0
    for seed in SEEDS:
        state, _ = begun(seed)
        free, bounded = (
            JointLP(state.instance, state.pools, state.instance.boards_in_use, bounded=bounded)
            for bounded in (False, True)
        )
        for lp in (free, bounded):
            lp.solve(state.pools, 50, state.stop)
        assert all(state.pools.board_lp(board).is_within(column) for board, column in bounded.columns)
        assert bounded.cost >= free.cost - 1e-6
        dearer += bounded.cost > free.cost + 1
    assert dearer
