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
    assert "Plain numbers are inches; the ruler has marks of 1/16." in flat
    assert "the mat is 1/8 smaller than the inside size and covers the picture by 1/4 on each side." in flat
    assert "Board: 1 offer from 1 shop; 2 pieces on the shelf, 1 of them whole sheets." in flat
    assert "offers, row 2, Quay shop: any means moss." in flat


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
    assert "- Moss: the picture is taller than wide and the inside of the frame wider than tall" in said
    assert (
        "pieces, row 4, picture width: If the picture's do, write picture width 10 1/2 in and picture height 7 1/2 in;"
        " if the frame's do, write inside width 11 1/8 in and inside height 14 1/8 in; if neither, leave both." in said
    )
    assert said.endswith("No mistakes found. If that is what you meant, leave it.")


def test_the_look_of_borders_is_a_matter_of_taste(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = "Fern,16 1/8,20 1/8,15,18,,,,moss", "Reed,20 1/8,24 1/8,19,22,,,,moss"
    said = checked(wall, capsys, *rows)
    flat = " ".join(said.split())
    assert "Borders: a suggestion - Fern, Reed: a border is narrower than 1, which looks thin in a frame" in flat
    assert flat.endswith("No mistakes found. If that is what you meant, leave it.")
    assert "Worth a look" not in said
    (wall / "bench.csv").write_text("name,value\nborder notes,no\n")
    assert "Borders" not in checked(wall, capsys, *rows)


def refused(wall: Path, capsys: pytest.CaptureFixture[str], *rows: str, options: tuple[str, ...] = ()) -> str:
    (wall / "pieces.csv").write_text("\n".join([PIECES, *rows]) + "\n")
    assert run(["check", str(wall), *options]) == 1
    captured = capsys.readouterr()
    assert "No mistakes found" not in captured.out
    return captured.err


OFFERS = "shop,board,sheet width,sheet height,price,discount,at most\n"


def test_what_each_offer_costs_after_its_discount_is_shown(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # 12.99 less 60 % is 5.196, rounded half up 5.20; and a discount that was misread, 0.6 %, leaves 12.91.
    (wall / "offers.csv").write_text(f"{OFFERS}Quay shop,moss,32x40,,$12.99,60,\nQuay shop,fog,32,40,12.99,0.6,2\n")
    flat = " ".join(checked(wall, capsys, "Fern,11 1/8,14 1/8,7 1/2,10 1/2,,,,moss").split())
    assert "2 Quay shop: moss, 32 × 40 $12.99 60 % $5.20" in flat
    assert "3 Quay shop: fog, 32 × 40, at most 2 $12.99 0.6 % $12.91" in flat


def test_what_plan_would_refuse_is_said_once_for_all_pieces(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (wall / "offers.csv").write_text(f"{OFFERS}Quay shop,pewter,32,40,7,,\n")
    said = refused(wall, capsys, *(f"Fern {n},11 1/8,14 1/8,7 1/2,10 1/2,,,,pewtr" for n in range(5)))
    assert said == (
        "There is no plan, because:\n- Fern 0, Fern 1, Fern 2 and 2 more (pieces, rows 2 to 6): nobody sells pewtr for "
        "its mat, and the shelf holds none. If you mean pewter, write that; otherwise write an offer or a shelf piece "
        "for pewtr, or name another board.\n"
    )


def test_too_few_of_a_limited_offer_are_said(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Mats 31 x 39: each takes a sheet, so three are wanted of two.
    (wall / "offers.csv").write_text(f"{OFFERS}Quay shop,fog,32,40,7,,2\n")
    rows = [f"Fern {n},31 1/8,39 1/8,20,30,,,,fog" for n in range(3)]
    assert (
        "3 sheets of fog are needed for Fern 0, Fern 1 and Fern 2 (pieces, rows 2 to 4), and only 2 can be bought"
        in refused(wall, capsys, *rows)
    )
    assert "No mistakes found" in checked(wall, capsys, *rows[:2])


def test_later_pieces_that_cannot_be_planned_are_no_mistake_yet(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (wall / "offers.csv").write_text(f"{OFFERS}Quay shop,fog,32,40,7,,\n")
    now, later = (
        f"{name},11 1/8,14 1/8,7,10,,{when},,{board}"
        for name, when, board in (("Fern", "now", "fog"), ("Reed", "later", "mist"))
    )
    flat = " ".join(checked(wall, capsys, now, later).split())
    assert "The later pieces cannot be planned yet - Reed (pieces, row 3): nobody sells mist for its mat" in flat


def test_the_shelf_file_is_looked_at_where_asked_for(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (wall / "offers.csv").write_text(f"{OFFERS}Quay shop,fog,32,40,7,,\n")
    row, file = "Fern,11 1/8,14 1/8,7,10,,,,mist", str(wall / "mine.csv")
    assert "nobody sells mist" in refused(wall, capsys, row)
    assert run(["shelf", "add", "mist", "16", "20", "--shelf", file]) == 0
    capsys.readouterr()
    assert "No mistakes found" in checked(wall, capsys, row, options=("--shelf", file))


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
    assert said.index("sides") < said.index("blank 11 × 14\n┌") < said.index("No mistakes found")


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
