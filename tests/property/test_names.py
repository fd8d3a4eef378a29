"""A job means the same however the names in it are written: letters composed or not, case, spaces, signs between."""

import unicodedata
from dataclasses import replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest

from nesting.model.job import Job
from nesting.plan import make_plan
from nesting.reading.job import read_job

BOARDS = ("café noir", "crème", "moos grün", "sage", "black/white", "fir, old", "ångström")
SHOPS = ("Ateliér", "Nook & Søn")
JOBS = 60


def respelt(chance: Random, name: str) -> str:
    """Write a name in another form: composed or decomposed, in capitals or not, with more spaces, full-width."""
    form = chance.choice(("NFC", "NFD", "NFKC", "NFKD"))
    word = unicodedata.normalize(form, chance.choice((name, name.upper(), name.title())))
    wide = {code: code + 0xFEE0 for code in range(ord("a"), ord("z") + 1)}
    word = word.translate(wide) if chance.random() < 0.1 else word
    return chance.choice(("", " ")) + word.replace(" ", chance.choice((" ", "  ", "\N{NO-BREAK SPACE}")))


def draw(seed: int) -> dict[str, list[list[str | tuple[str, ...]]]]:
    """Draw the tables of a small job; a tuple lists boards that would do."""
    chance = Random(seed)  # noqa: S311 - draws jobs, not secrets
    boards = chance.sample(BOARDS, chance.randint(2, 4))
    pieces = [
        [
            f"piece {row}",
            str(chance.randint(5, 16)),
            str(chance.randint(5, 13)),
            tuple(chance.sample(boards, k=chance.choice((1, 2)))),
        ]
        for row in range(chance.randint(2, 4))
    ]
    offers = [[chance.choice(SHOPS), board, "16", "20", str(chance.randint(3, 9))] for board in boards]
    shelf = [[f"café {row}", chance.choice(boards), "9", "12"] for row in range(chance.randint(0, 2))]
    return {"pieces": pieces, "offers": offers, "shelf": shelf, "shops": [[shop, "2"] for shop in SHOPS]}


HEADINGS = {
    "pieces": ("piece", "inside width", "inside height", "boards"),
    "offers": ("shop", "board", "sheet width", "sheet height", "price"),
    "shelf": ("label", "board", "width", "height"),
    "shops": ("shop", "delivery"),
}


def written(tables: dict[str, list[list[str | tuple[str, ...]]]], folder: Path, chance: Random | None) -> Job:
    """Write and read a job, each name as it is or, given a `chance`, in another form each time."""

    def text(heading: str, cell: str | tuple[str, ...]) -> str:
        names = cell if isinstance(cell, tuple) else (cell,)
        if chance is None:
            return " or ".join(names)
        if heading not in {"shop", "board", "boards"}:
            return " or ".join(names)
        return chance.choice((" or ", ", ", "/", "; ", " / ")).join(respelt(chance, name) for name in names)

    for table, rows in tables.items():
        lines = [HEADINGS[table], *([text(h, c) for h, c in zip(HEADINGS[table], row, strict=True)] for row in rows)]
        quoted = "\n".join(",".join(f'"{cell}"' for cell in line) for line in lines)
        (folder / f"{table}.csv").write_text(quoted, encoding="utf-8")
    return read_job(folder)


def nameless(job: Job) -> Job:
    """Return a job with the boards and shops numbered in the order in which they were first spelt."""
    board = {its.name: f"board {place}" for place, its in enumerate(job.boards)}
    shop = {its.name: f"shop {place}" for place, its in enumerate(job.shops)}
    return replace(
        job,
        path="",
        pieces=tuple(replace(its, boards=tuple(board[name] for name in its.boards)) for its in job.pieces),
        offers=tuple(replace(its, shop=shop[its.shop], board=board[its.board or ""]) for its in job.offers),
        shops=tuple(replace(its, name=shop[its.name]) for its in job.shops),
        shelf=tuple(replace(its, board=board[its.board]) for its in job.shelf),
        boards=tuple(replace(its, name=board[its.name]) for its in job.boards),
    )


@pytest.mark.parametrize("seed", range(JOBS))
def test_a_job_is_read_alike_however_its_names_are_written(seed: int) -> None:
    tables = draw(seed)
    with TemporaryDirectory() as plain, TemporaryDirectory() as mixed:
        one = written(tables, Path(plain), None)
        other = written(tables, Path(mixed), Random(seed))  # noqa: S311 - draws names, not secrets
    assert nameless(one) == nameless(other)
    assert other.warnings == ()
    if seed % 10 == 0:
        plans = [make_plan(nameless(job), seconds=20, rounds=200) for job in (one, other)]
        assert plans[0].purchase == plans[1].purchase
        assert plans[0].mats == plans[1].mats
