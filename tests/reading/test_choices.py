"""What is chosen for a plan is kept beside the job, read with it, and gives way to an option of the command line."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import windowfall
from nesting.chosen import chosen_options, with_choices
from nesting.errors import JobError
from nesting.model.choices import Choices
from nesting.model.job import When
from nesting.reading.choices import read_choices
from nesting.reading.job import read_job

TABLES = {
    "pieces": "piece,inside width,inside height,boards,when\nFern,8,10,moss or plum,now\nVetch,8,10,moss,later\n",
    "offers": "shop,board,sheet width,sheet height,price\nQuay,any,32,40,8.00\n",
}


@pytest.fixture
def folder(tmp_path):
    for name, text in TABLES.items():
        (tmp_path / f"{name}.csv").write_text(text)
    return tmp_path


def choose(folder, *rows):
    with (folder / "choices.csv").open("w", newline="") as file:
        csv.writer(file).writerows([("name", "value"), *rows])
    return folder


def test_without_the_table_nothing_is_chosen(folder):
    assert read_job(folder).choices == Choices() == read_choices(folder)


def test_choices_are_read_with_the_job_and_by_themselves(folder):
    limits = ("budget", "20"), ("sheets", "3"), ("left", "moss=1")
    rows = ("later", "yes"), ("Fallout", "no"), ("discount", "50"), *limits
    chosen = Choices(later=True, fallout=False, discounts=("50",), budget=2000, sheets=3, left=("moss=1",))
    assert read_job(choose(folder, *rows)).choices == read_choices(folder) == chosen


def test_an_empty_cell_chooses_nothing(folder):
    assert read_job(choose(folder, ("later", ""), ("discount", ""), ("budget", ""))).choices == Choices()


def test_they_change_the_job_and_the_options(folder):
    job = read_job(choose(folder, ("later", "yes"), ("discount", "50"), ("shop", "quay"), ("pin", "fern = plum")))
    assert with_choices(job, job.choices).offers[0].discount == 50
    assert with_choices(job, job.choices).pieces[0].boards == ("plum",)
    options = chosen_options(job, job.choices)
    assert (options.when, options.shops) == (When.LATER, ("Quay",))


def test_every_fault_of_the_table_is_named_with_its_row(folder):
    choose(folder, ("latr", "yes"), ("later", "perhaps"), ("budget", "much"), ("budget", "3"))
    with pytest.raises(JobError) as found:
        read_job(folder)
    assert [(fault.table, fault.row) for fault in found.value.faults] == [("choices", row) for row in (2, 3, 4, 5)]


@pytest.mark.parametrize("pin", ["Fern", "Bracken = moss", "Fern = chalk"])
def test_a_pin_names_a_piece_and_a_board(folder, pin):
    job = read_job(choose(folder, ("pin", pin)))
    with pytest.raises(JobError, match="names no piece and board of this job"):
        with_choices(job, job.choices)


def planned(folder: Path, *options: str):
    done = CliRunner().invoke(windowfall, ["plan", str(folder), "--json", "--seconds", "5", *options])
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout), done.stderr


def test_plan_reads_them_says_so_and_lets_an_option_come_first(folder):
    plan, said = planned(choose(folder, ("later", "yes"), ("discount", "50")))
    assert "Chosen for this job: later pieces too, discount 50." in said
    assert (plan["purchase"]["total"], len(plan["mats"])) == ("4.00", 2)
    assert planned(folder, "--discount", "25")[0]["purchase"]["total"] == "6.00"
