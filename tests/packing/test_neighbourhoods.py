"""Neighbourhoods make an incumbent cheaper, fix nothing beyond a try, and look at more once there is nothing in one."""

import pytest

from nesting.packing import neighbourhoods
from nesting.packing.joint_lp import JointLP
from nesting.packing.neighbourhoods import FREED, LEAST_FREED, MOST_FREED, Neighbourhoods
from nesting.packing.pattern import contents
from nesting.packing.restricted_master import combine
from tests.packing.posed import wrong_with
from tests.packing.test_diving import SEEDS, begun


def solved(state):
    """Return the linear programme over all boards with columns that have no more of a kind than there are."""
    lp = JointLP(state.instance, state.pools, state.instance.boards_in_use, bounded=True)
    lp.solve(state.pools, 50, state.stop)
    return lp


def fixed(lp):
    """Count the columns that have to be used."""
    return sum(variable.lb() > 0 for variable in lp._times)


def test_what_neighbourhoods_find_is_cheaper_and_cuts_everything():
    better = 0
    for seed in SEEDS:
        state, _ = begun(seed)
        before = state.incumbent.value
        Neighbourhoods().improve(state, solved(state))
        assert state.incumbent.bound <= state.incumbent.value <= before
        assert wrong_with(state.instance, state.incumbent.solution) == []
        better += state.incumbent.value < before
    assert better


def test_it_is_said_when_columns_certainly_make_nothing_better():
    told = []
    for seed in SEEDS:
        state, _ = begun(seed)
        lp, before = solved(state), state.incumbent.value
        its = [lp.columns[place] for place in lp.places(state.pools, state.incumbent.solution.sheets)]
        assert combine(state, [], 5.0)  # nothing is cut
        assert combine(state, its, 5.0)
        assert state.incumbent.value == before
        certain = combine(state, lp.columns, 5.0)
        assert certain == (state.incumbent.value == before)
        told.append(certain)
    assert not all(told)


def test_columns_are_combined_with_those_that_stay_and_nothing_is_fixed_afterwards(monkeypatch):
    state, _ = begun(0)
    lp, seen = solved(state), []

    def noted(_, columns, __):
        places = {place for place, variable in enumerate(lp._times) if variable.lb() > 0}
        seen.append((len(places), places <= {lp.columns.index(column) for column in columns}))
        return True

    monkeypatch.setattr(neighbourhoods, "combine", noted)
    Neighbourhoods().improve(state, lp)
    assert seen
    assert any(count for count, _ in seen)
    assert all(there for _, there in seen)
    assert fixed(lp) == 0


@pytest.mark.parametrize(("certain", "last"), [(True, MOST_FREED), (False, LEAST_FREED)])
def test_more_is_freed_where_there_was_nothing_and_less_where_that_is_not_certain(monkeypatch, certain, last):
    monkeypatch.setattr(neighbourhoods, "combine", lambda *_: certain)
    monkeypatch.setattr(neighbourhoods, "usual_sheet", lambda _, found: -found.cost)  # so that every try is combined
    state, _ = begun(0)
    lp, search, shares = solved(state), Neighbourhoods(), []
    for _ in range(20):
        search._try(state, lp, state.incumbent.solution)
        shares.append(search._freed)
    assert sorted(shares, reverse=not certain) == shares
    assert shares[0] != FREED
    assert shares[-1] == last


def test_listed_columns_have_the_reduced_cost_that_was_asked_for():
    added, gap = [], 400.0
    for seed in SEEDS:
        state, _ = begun(seed)
        lp = solved(state)
        cost, before = lp.cost, len(lp.columns)
        lp.list_columns(state.pools, gap, state.stop)
        added += lp.reduced_costs()[before:]
        assert lp.cost == pytest.approx(cost)
        assert all(state.pools.board_lp(board).is_within(column) for board, column in lp.columns)
    assert added
    assert all(-1e-4 <= dear <= gap + 1e-4 for dear in added)


def test_the_sheets_of_a_solution_are_found_again_among_the_columns():
    state, _ = begun(0)
    lp = solved(state)
    sheets = state.incumbent.solution.sheets
    places = lp.places(state.pools, sheets)
    assert len(places) == len(sheets)
    for place, sheet in zip(places, sheets, strict=True):
        board, column = lp.columns[place]
        assert (board, column.stock) == (sheet.board, sheet.size)
        assert sum(column.kinds.values()) == contents(sheet.part).total()
