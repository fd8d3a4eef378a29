"""A desk with a shelf file and jobs, for tests of the commands from end to end."""

from pathlib import Path

import pytest

from cli.main import run

__all__ = ["OFFERS", "Desk", "job"]


class Desk:
    """A desk with a shelf file: runs commands and gives back what they print."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.capsys = folder, capsys
        self.path = folder / "my shelf.csv"

    def __call__(self, *arguments: str, code: int = 0) -> str:
        assert run(arguments) == code, self.capsys.readouterr().err
        out, err = self.capsys.readouterr()
        assert not (err if code == 0 else out) or "--json" in arguments
        return out or err

    def words(self, *arguments: str, code: int = 0) -> str:
        return " ".join(self(*arguments, code=code).split())


def job(folder: Path, pieces: str, **tables: str) -> str:
    folder.mkdir()
    (folder / "bench.csv").write_text("name,value\nallowance,0\nkeep at least,3 x 4 in\n")
    (folder / "pieces.csv").write_text(
        "piece,inside width,inside height,picture width,picture height,boards,priority\n"
    )
    with (folder / "pieces.csv").open("a") as file:
        file.write(pieces)
    for name, text in tables.items():
        (folder / f"{name}.csv").write_text(text)
    return str(folder)


OFFERS = "shop,board,sheet width,sheet height,price\nQuay shop,moss,32,40,7.00\n"
