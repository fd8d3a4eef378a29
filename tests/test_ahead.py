"""The plan of the best solution so far is made before it is asked for, and is what a stop finds ready."""

import signal
from dataclasses import replace

import pytest

import nesting.plan
from nesting.ahead import Ahead
from nesting.check import broken_rules
from nesting.model.status import SolveStatus
from nesting.plan import make_plan
from tests.small_jobs import small_job

FIRST, SECOND, THIRD = object(), object(), object()


@pytest.fixture
def struck():
    """Let Ctrl-C be heard, also where whoever started the tests has it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield lambda *_: signal.raise_signal(signal.SIGINT)
    signal.signal(signal.SIGINT, before)


@pytest.fixture
def arranged(monkeypatch):
    """Return a list of every solution that is arranged; the plan of any job is made ahead."""
    monkeypatch.setattr(nesting.plan, "_MANY", 0)
    arrange, solutions = nesting.plan.arrange, []

    def noting(job, mats, instance, solution):
        solutions.append(solution)
        return arrange(job, mats, instance, solution)

    monkeypatch.setattr(nesting.plan, "arrange", noting)
    return solutions


def test_the_plan_of_the_very_solution_is_ready():
    made = []
    ahead = Ahead(lambda solution: made.append(solution) or ("plan of", solution), lambda: 1.0)
    ahead.follow(None)
    assert (ahead.of(FIRST), made) == (None, [])
    ahead.follow(FIRST)
    ahead.follow(FIRST)
    assert (ahead.of(FIRST), ahead.of(SECOND), made) == (("plan of", FIRST), None, [FIRST])


def test_all_but_the_first_take_a_twentieth_of_the_time(monkeypatch):
    """Each plan takes a second here; two of them are a twentieth of forty."""
    clock, spent = [0.0], [0.0]
    monkeypatch.setattr("nesting.ahead.monotonic", lambda: clock[0])

    def made(solution):
        clock[0] += 1.0
        return solution

    ahead = Ahead(made, lambda: spent[0])
    for seconds, solution, is_ready in ((0.1, FIRST, True), (39.9, SECOND, False), (40.1, SECOND, True)):
        spent[0] = seconds
        ahead.follow(solution)
        assert (ahead.of(solution) is solution) is is_ready
    ahead.follow(THIRD)
    assert (ahead.of(SECOND), ahead.of(THIRD)) == (SECOND, None)


def test_ctrl_c_waits_until_the_plan_is_made(struck):
    ahead = Ahead(lambda solution: struck() or ("plan of", solution), lambda: 1.0)
    with pytest.raises(KeyboardInterrupt):
        ahead.follow(FIRST)
    assert ahead.of(FIRST) == ("plan of", FIRST)


def test_a_stop_finds_the_plan_ready(arranged, struck):
    job = small_job(5)

    def stopped(now):
        if now.total is not None:
            arranged_before.append(len(arranged))
            struck()

    arranged_before = []
    plan = make_plan(job, progress=stopped, ahead=True)
    assert (arranged_before, len(arranged)) == ([1], 1)
    assert (plan.status, plan.proof) == (
        SolveStatus.INTERRUPTED,
        "You stopped the search; this is the best plan so far.",
    )
    assert broken_rules(plan) == ()
    alone = make_plan(job, progress=stopped)  # arranged once it is stopped
    assert (arranged_before, len(arranged)) == ([1, 1], 2)
    assert replace(plan, seconds=0.0) == replace(alone, seconds=0.0)


@pytest.mark.usefixtures("arranged")
def test_a_stop_while_the_last_plan_is_made_loses_none(struck, monkeypatch):
    """What was found is drawn anew at the end; a stop while that is arranged gives it as it was found."""
    job, arrange, drawn = small_job(5), nesting.plan.arrange, []
    whole = make_plan(job, refined=False)

    def drawn_anew(_instance, solution, *_, **__):
        drawn.append(replace(solution))
        return drawn[-1]

    def stopped(job, mats, instance, solution):
        if drawn and solution is drawn[-1]:
            struck()
        return arrange(job, mats, instance, solution)

    monkeypatch.setattr(nesting.plan, "refine", drawn_anew)
    monkeypatch.setattr(nesting.plan, "arrange", stopped)
    plan = make_plan(job, ahead=True)
    assert len(drawn) == 1
    assert replace(plan, seconds=0.0) == replace(whole, seconds=0.0, stopped=True)
    assert plan.status is SolveStatus.PROVEN_OPTIMAL
    with pytest.raises(KeyboardInterrupt):
        make_plan(job)
