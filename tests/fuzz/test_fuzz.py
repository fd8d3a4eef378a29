"""A little of the fuzzing each time; `python -m tests.fuzz` does more of it."""

import random
from collections.abc import Collection
from pathlib import Path

import pytest

from tests.fuzz.commands import command_sequences
from tests.fuzz.runs import agreeing_jobs, check_jobs, lengths, plan_jobs, rule_jobs
from tests.fuzz.switches import Switch, options, switched_job

pytestmark = pytest.mark.usefixtures("plain_terminal")


def test_two_thousand_texts_are_lengths_or_are_refused() -> None:
    figures = lengths(2000, seed=3)
    assert not figures.faults, figures
    assert min(figures.ended["lengths"], figures.ended["refused"]) > 100


def test_a_hundred_jobs_are_read_or_their_faults_are_told(tmp_path: Path) -> None:
    figures = check_jobs(100, tmp_path, seed=3)
    assert not figures.faults, figures
    assert min(figures.ended["exit 0"], figures.ended["exit 2"]) > 5
    assert not list(tmp_path.iterdir())


def test_what_check_passes_plan_can_start_on(tmp_path: Path) -> None:
    figures = agreeing_jobs(30, tmp_path, seed=3, seconds=0.3)
    assert not [fault for fault in figures.faults if " took " not in fault], figures
    assert figures.ended["passed, then plan exit 0"] > 5
    assert figures.ended["exit 1"] > 5


def test_some_jobs_are_planned_in_time_or_it_is_said_why_not(tmp_path: Path) -> None:
    figures = plan_jobs(6, tmp_path, seed=3, seconds=0.3)
    assert not [fault for fault in figures.faults if " took " not in fault], figures  # the first may compile
    assert figures.ended["exit 0"] > 2


def test_what_breaks_is_told_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_arguments: object) -> int:
        raise LookupError("nobody foresaw this")

    monkeypatch.setattr("tests.fuzz.runs.run", broken)
    figures = check_jobs(2, tmp_path)
    assert ["LookupError: nobody foresaw this" in fault for fault in figures.faults] == [True, True]
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("number", [191, 331])
def test_a_job_that_once_took_many_times_its_limit_keeps_it(number: int, tmp_path: Path) -> None:
    # Eleven rows on many boards, whose sizes have very many sums: their prices were worked out whatever time it took.
    figures = plan_jobs(1, tmp_path, seed=0 if number == 191 else 1, seconds=0.3, first=number)
    assert not figures.faults, figures
    assert figures.ended["exit 0"] == 1


def test_a_hundred_jobs_with_each_rule_on_or_off_are_planned(tmp_path: Path) -> None:
    figures = rule_jobs(100, tmp_path, seed=3, seconds=0.3)  # each plan is checked before it comes
    assert not [fault for fault in figures.faults if " took " not in fault], figures
    assert figures.ended["exit 0"] == 100
    assert all(30 < figures.ended[f"with {switch}"] < 70 for switch in Switch), figures


def test_every_switch_leaves_its_mark_and_no_job_knows_a_rule_that_is_off() -> None:
    def cells(seed: int, on: Collection[Switch]) -> str:
        rng = random.Random(seed)  # noqa: S311 - nothing here is secret
        return " ".join([str(switched_job(rng, on)), *options(on)])

    marks = {
        Switch.KERF: "'kerf'",
        Switch.TRIM: "'trim'",
        Switch.SQUARING: "'squaring'",
        Switch.TURN_NO: "'turn'",
        Switch.LONGEST: "'longest cut'",
        Switch.PACKS: "'pack of'",
        Switch.LIMITS: "'at most'",
        Switch.MINIMUMS: "'at least'",
        Switch.DISCOUNTS: "'discount'",
        Switch.SALE: "--discount barn=35",
        Switch.DELIVERY: "'3.70'",
        Switch.FREE_OVER: "'29'",
        Switch.TAX: "'8.25'",
        Switch.SHELF: "'left 1'",
        Switch.NO_FALLOUT: "'use fallout'",
        Switch.UNDER_MATS: "'under boards'",
        Switch.BACKINGS: "'kraft', ''",  # the backing, and when it is planned
        Switch.WINDOWS: "'across'",
        Switch.ALTERNATIVES: " or ",
        Switch.COPIES: "'piece 1', '3'",
        Switch.BOTTOM: "'bottom extra'",
        Switch.ROOM: "'room for sheets'",
        Switch.METRIC: "'mm'",
        Switch.LATER: "'later'",
    }
    assert set(marks) == set(Switch)
    for switch, mark in marks.items():
        assert any(mark in cells(seed, {switch}) for seed in range(20)), switch
        assert not any(mark in cells(seed, set(Switch) - {switch, Switch.DISCOUNTS}) for seed in range(20)), switch


def test_a_dozen_sequences_of_commands_keep_the_books(tmp_path: Path) -> None:
    figures = command_sequences(12, tmp_path, seed=7, seconds=0.1, steps=6)
    # whether all pieces are found within a limit that is just enough hangs on how busy the machine is
    assert not [fault for fault in figures.faults if " keep the limit" not in fault], figures
    assert figures.ended["plan: exit 0"] > 5
    assert figures.ended["done: exit 0"] > 3
