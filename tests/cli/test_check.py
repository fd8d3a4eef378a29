"""`windowfall check`: what it understood, what looks unusual, and what to write where."""

from pathlib import Path

import pytest

from cli.main import run

pytestmark = pytest.mark.usefixtures("plain_terminal")
PIECES = "piece,inside width,inside height,picture width,picture height,overlap,when,group,boards"


@pytest.fixture
def wall(tmp_path: Path) -> Path:
    (tmp_path / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay shop,any,32,40,7.00\n")
    (tmp_path / "shelf.csv").write_text("label,board,width,height,kind\nA1,moss,9,13,offcut\nA2,moss,31,37,sheet\n")
    return tmp_path


def checked(wall: Path, capsys: pytest.CaptureFixture[str], *rows: str, options: tuple[str, ...] = ()) -> str:
    (wall / "pieces.csv").write_text("\n".join([PIECES, *rows]) + "\n")
    assert run(["check", str(wall), *options]) == 0
    captured = capsys.readouterr()
    assert not captured.err
    return captured.out


def test_what_it_understood_stands_first(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = checked(wall, capsys, "Fern,11 1/8,14 1/8,7 1/2,10 1/2,,later,hall,moss", "Reed,11 1/8,14 1/8,7,9,,,,moss")
    assert said.startswith("Understood\n  2 pieces, 1 of them for later, in 1 group; 2 blanks to cut.\n")
    flat = " ".join(said.split())
    assert "A bare number is in inches; the ruler has marks of 1/16." in flat
    assert "the mat is 1/8 smaller than the inside size and covers the picture by 1/4 on each side." in flat
    assert "Board: 1 offer from 1 shop; 2 pieces on the shelf, 1 of them whole sheets." in flat
    assert "Offer 1, Quay shop: any stands for moss." in flat


def test_what_is_unusual_is_said_with_what_to_write_where(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = " ".join(
        checked(
            wall,
            capsys,
            "Reed,11 1/8,14 1/8,7,10,-1/4,,,moss",
            "Fern,11 1/8,14 1/8,7 1/4,10 1/4,1/16,,,moss",
            "Moss,14 1/8,11 1/8,7 1/2,10 1/2,,,,moss",
        ).split()
    )
    assert (
        "- Reed: bare margin shows round the picture, so the mat does not hold it: hinge the picture to its backing. "
        "pieces, row 2, overlap: Write 1/8 in or more to have it held, here or in the table bench. "
        "- Fern: an overlap of 1/16 in is less than 1/8 in, so the picture may slip out from behind the mat. "
        "pieces, row 3, overlap: Write 1/8 in or more" in said
    )
    assert "- Moss: the picture is higher than wide and the inside size wider than high" in said
    assert (
        "pieces, row 4, picture width: If they are, write picture width 10 1/2 in and picture height 7 1/2 in." in said
    )
    assert said.endswith("No mistakes found. What is above can stay if you mean it.")


def test_the_look_of_borders_is_a_matter_of_taste(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = checked(wall, capsys, "Fern,10 1/8,13 1/8,7 1/2,10,,,,moss", "Reed,10 1/8,13 1/8,7 1/2,10,,,,moss")
    flat = " ".join(said.split())
    assert (
        "A matter of taste: borders (common practice, not a rule) - Fern, Reed: the narrowest border is 1 1/2;" in flat
    )
    assert "To change it, write in pieces, rows 2 and 3: show width 6, show height 9." in flat
    assert flat.endswith("Nothing is wrong, and no size is unusual.")
    assert "Worth a look" not in said


@pytest.mark.parametrize("columns", [60, 80])
def test_nothing_is_wider_than_the_window(
    wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    said = checked(
        wall,
        capsys,
        "Fern of the upper wood,10 1/8,13 1/8,7 1/2,10,1/16,,,moss or chalk or slate or barley",
        options=("--drawings",),
    )
    assert max(map(len, said.splitlines())) <= columns


def test_drawings_stand_below_the_table_when_asked_for(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    row = "Fern,11 1/8,14 1/8,7 1/2,10 1/2,,,,moss"
    assert "┌" not in checked(wall, capsys, row)
    said = checked(wall, capsys, row, options=("--drawings",))
    assert said.index("sides") < said.index("blank 11 × 14\n┌") < said.index("Nothing is wrong")


def test_a_page_with_drawings_is_written(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = wall / "check.html"
    said = checked(wall, capsys, "Fern <b>,11 1/8,14 1/8,7 1/2,10 1/2,1/16,,,moss", options=("--out", str(page)))
    assert said.endswith(f"Written to {page}.\n")
    text = page.read_text(encoding="utf-8")
    assert text.count("<svg") == 1
    assert "Fern &lt;b&gt;, seen from the front" in text
    assert "What was understood" in text
    assert "Worth a look: allowed, but unusual" in text
    assert "What to write where" in text


def test_a_page_of_another_kind_is_refused_before_anything_is_read(
    wall: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(wall), "--out", str(wall / "check.pdf")]) == 2
    assert f"name it {wall / 'check.html'}" in " ".join(capsys.readouterr().err.split())
