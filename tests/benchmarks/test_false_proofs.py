"""A false proof is found where there is one, and told."""

import csv
from dataclasses import replace
from unittest.mock import patch

import pytest

from nesting.geometry import Size
from nesting.packing.solve import solve
from nesting.plan import make_plan
from tests.benchmarks.false_proofs import Doubt, doubt, main
from tests.builders import make_job, make_offer, make_piece, make_shop

# Two of 101 x 73 stand in one sheet of 223 x 167, trimmed by 3.
JOB = make_job(
    make_piece("Fern", (101, 73), quantity=2),
    offers=(make_offer(1, "Alder", "sage", 740), make_offer(2, "Alder", "sage", 700, sheet=Size(113, 83))),
    shops=(make_shop("Alder"),),
)


def dear(instance, *arguments, **settings):
    """Solve with the small sheet alone and call that proven."""
    small = replace(instance, offers=(replace(instance.offers[0], boards=()), instance.offers[1]))
    return solve(small, *arguments, **settings)


def test_a_plan_that_is_cheapest_is_found_again_and_not_beaten():
    plan = make_plan(JOB)
    assert (plan.purchase.total, plan.purchase.proven) == (740, True)
    assert doubt(JOB, plan, 0.2) == (740, 740)


def test_search_alone_beats_a_false_proof_though_the_solver_believes_it():
    with patch("nesting.plan.solve", dear):
        plan = make_plan(JOB)
        assert (plan.purchase.total, plan.purchase.proven) == (1400, True)
    with patch("tests.benchmarks.false_proofs.make_plan", believing):
        assert doubt(JOB, plan, 0.5) == (1400, 740)


def believing(*arguments, **settings):
    """Plan with the solver that proves falsely, unless another is put in its place."""
    import nesting.plan  # noqa: PLC0415

    if nesting.plan.solve is not solve:
        return make_plan(*arguments, **settings)
    with patch("nesting.plan.solve", dear):
        return make_plan(*arguments, **settings)


@pytest.mark.parametrize(
    ("changes", "proven", "false"),
    [
        ({}, True, False),
        ({"again": 300, "sought": 300, "reference": 300}, True, False),
        ({"again": 200}, True, True),
        ({"sought": 200}, True, True),
        ({"reference": 200}, True, True),
        ({"bound": 200, "again": 200}, False, False),
    ],
)
def test_only_what_is_cheaper_than_a_proven_plan_makes_it_false(changes, proven, false):
    one = Doubt(**{"kind": "flat", "n": 7, "seed": 3, "turn": True, "cost": 300, "bound": 300} | changes)
    assert (one.proven, one.false) == (proven, false)


def test_jobs_are_told_by_kind_and_kept_in_a_table(tmp_path, capsys):
    out = tmp_path / "doubts.csv"
    command = ["--jobs", "2", "--kinds", "wall,rules", "--seconds", "0.3", "--times", "1", "--out", str(out)]
    assert main([*command, "--reference", "no such interpreter"]) == 0
    said = capsys.readouterr()
    assert said.err == "no such interpreter has no packingsolver: held against ourselves only.\n"
    assert [line.split(":")[0] for line in said.out.splitlines()] == ["wall", "rules", "all"]
    assert said.out.splitlines()[-1].startswith("all: 2 jobs, ")
    with out.open(encoding="utf-8", newline="") as file:
        assert [(row["kind"], row["n"]) for row in csv.DictReader(file)] == [("wall", "12"), ("rules", "12")]


def test_a_false_proof_is_an_error(tmp_path, capsys):
    with patch("tests.benchmarks.false_proofs.doubt", lambda *_: (1, 1)):
        code = main(["--jobs", "1", "--seconds", "2", "--out", str(tmp_path / "doubts.csv"), "--reference", "none"])
    assert code == 1
    assert "FALSE: {'kind': 'class1', 'n': 12," in capsys.readouterr().out


def test_a_kind_that_is_none_is_refused(capsys):
    with pytest.raises(SystemExit):
        main(["--kinds", "wall,ceiling", "--out", "doubts.csv"])
    assert "unknown: ceiling; there are class1, class2" in capsys.readouterr().err
