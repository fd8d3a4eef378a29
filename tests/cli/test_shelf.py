"""The commands of the shelf from end to end: what they print at 60 columns, what they write, how they leave."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

import cli.commands.shelf
from nesting.plan_file.read import read_plan_file
from nesting.shelf.store import load_shelf
from tests.desk import OFFERS, Desk, job
from tests.handmade import plan
from tests.shelf.shelves import draft, put, write_plan

pytestmark = pytest.mark.usefixtures("plain_terminal")


def test_a_shelf_is_filled_listed_corrected_and_undone(desk: Desk) -> None:
    assert desk("shelf").startswith("The shelf holds nothing:")
    assert not desk.path.exists()
    assert desk("shelf", "add", "moss", "9 3/4", "14") == "Write R1 on it. R1: moss, 9 3/4 × 14 in, offcut.\n"
    assert desk("shelf", "add", "MOSS", "32", "40", "--kind", "sheet", "--quantity", "3", "--label", "by the door") == (
        "Write by the door on it. by the door: 3 of moss, 32 × 40 in, sheet.\n"
    )
    assert desk("shelf", "add", "oat", "20 cm", "30cm", "--origin", "attic") == (
        "Write R2 on it. R2: oat, 200 mm × 300 mm, offcut.\n"
    )
    old = desk.path.read_bytes()
    assert desk("shelf", "take", "by the door", "--count", "2") == "Taken off: 2 of by the door, moss. Left: 1.\n"
    assert desk("shelf", "correct", "r1", "--width", "9 1/2", "--note", "a nick  here") == (
        "R1: moss, 9 1/2 × 14 in, offcut.\n"
    )
    assert load_shelf(desk.path).find("R1").notes == "a nick here"
    assert desk("shelf", "undo") == "Undone: correct of 2026-03-31T17:43:00+00:00.\n"
    assert desk("shelf", "undo") == "Undone: take of 2026-03-31T17:43:00+00:00.\n"
    assert desk.path.read_bytes() == old


def test_the_list_reads_well_in_60_columns(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    put(desk.path, draft("moss", count=2), draft("moss", label="behind the press", kind="fallout"), draft("oat"))
    monkeypatch.setattr(cli.commands.shelf, "now", lambda: datetime(2027, 4, 2, tzinfo=UTC))
    said = desk("shelf", "list")
    assert all(len(line) <= 60 for line in said.splitlines())
    assert said.splitlines()[:8] == [
        "moss: 3 pieces, 2.5 sq ft",
        "  R1                2 of 7 × 17 in  offcut   367 days",
        "  behind the press  7 × 17 in       fallout  367 days",
        "oat: 1 piece, 0.8 sq ft",
        "  R2  7 × 17 in  offcut  367 days",
        "In all 4 pieces, 3.3 sq ft.",
        "",
        "Not used for a year or more; throw these away first, in this",
    ]
    assert "oat" not in desk.words("shelf", "list", "--board", "MOSS").split(" Kept in ")[0]
    assert desk("shelf", "list", "--board", "sage").startswith("The shelf holds nothing of sage:")


def test_a_picture_shows_every_piece(desk: Desk) -> None:
    put(desk.path, draft("moss <1>", count=3), draft("oat", label="by the door"))
    picture = desk.folder / "shelf.svg"
    desk("shelf", "list", "--picture", str(picture))
    drawn = picture.read_text(encoding="utf-8")
    assert "moss &lt;1&gt;" in drawn
    assert ">R1<" in drawn
    assert ">3\xa0of\xa0them<" in drawn
    assert "The shelf: 4 pieces" in drawn
    desk("shelf", "list", "--picture", str(picture), "--board", "oat")
    assert "moss" not in picture.read_text(encoding="utf-8")


def test_wrong_arguments_are_told_and_nothing_is_changed(desk: Desk) -> None:
    put(desk.path, draft("moss"))
    old = desk.path.read_bytes()
    for arguments, said in (
        (("add", "moss", "3,1415", "4"), "Invalid value for WIDTH: '3,1415' has a comma"),
        (("add", "moss", "3", "0"), "Invalid value for HEIGHT: '0' must be more than 0"),
        (("add", " ", "3", "4"), "a board needs a name"),
        (("add", "moss", "3", "4", "--label", "r1"), "the label 'r1' is or was on another piece"),
        (("take", "R1", "R9"), "nothing on the shelf is labelled 'R9'"),
        (("take", "R1", "--count", "2"), "2 of R1 cannot be taken: there is 1 on the shelf"),
        (("correct", "R9", "--board", "oat"), "nothing on the shelf is labelled 'R9'"),
        (("correct", "R1", "--height", "tall"), "Invalid value for --height: 'tall' is not a length"),
        (("add", "moss", "3", "4", "--kind", "scrap"), "'scrap' is not one of"),
    ):
        assert said in desk.words("shelf", *arguments, code=2)
        assert desk.path.read_bytes() == old


def test_a_file_with_faults_is_2_with_their_places(desk: Desk) -> None:
    put(desk.path, draft("moss"))
    desk.path.write_bytes(desk.path.read_bytes().replace(b"7 in,17 in", b"7-Aug,17 inn"))
    old = desk.path.read_bytes()
    for arguments in (("shelf",), ("shelf", "add", "moss", "3", "4"), ("shelf", "undo"), ("shelf", "log")):
        said = desk(*arguments, code=2)
        assert said.startswith(f"The shelf file {desk.path} was left as it is:\n- shelf file, row 3, width: '7-Aug'")
        assert "row 3, height: '17 inn'" in said
        assert desk.path.read_bytes() == old


def test_a_new_shelf_takes_the_unit_that_is_asked_for(desk: Desk) -> None:
    assert "300 × 41.5 mm" in desk("shelf", "add", "moss", "300", "41,5", "--unit", "mm")
    assert "17 × 13 mm" in desk("shelf", "add", "moss", "17", "13")


def test_a_plan_is_booked_once_and_taken_back(desk: Desk) -> None:
    report = write_plan(plan(), desk.folder / "report")
    put(desk.path, draft("oat"))
    old = desk.path.read_bytes()
    said = desk("done", str(report))
    assert all(len(line) <= 60 or str(desk.path) in line for line in said.splitlines())
    mark = read_plan_file(report).mark
    assert f"  S1 offcut 1, plan {mark}  slate      9 3/4 × 14 in" in said
    assert f"  M1 fallout, plan {mark}   slate      6 3/4 × 9 3/4 in" in said
    assert "Sizes of fallouts are those after squaring." in said
    assert "'box lid' (S2) is in the job's own shelf table: cross it out there." in " ".join(said.split())
    new = desk.path.read_bytes()
    assert desk("done", str(report / "plan.json")).startswith("This is booked already; nothing was changed.")
    assert desk.path.read_bytes() == new
    assert desk("done", str(report), "--undo").startswith("Undone: done of 2026-03-31")
    assert desk.path.read_bytes() == old
    assert "this plan is not booked" in desk.words("done", str(report), "--undo", code=2)
    desk("done", str(report), "--sheet", "S2")
    assert [piece.origin.split(": ")[1].split(",")[0] for piece in load_shelf(desk.path).pieces[1:]] == ["S2 offcut 1"]
    assert "the plan has no sheet S9: it has S1 to S3" in desk.words("done", str(report), "--sheet", "S9", code=2)


def test_a_file_that_is_no_plan_is_2(desk: Desk) -> None:
    assert "plan.json is not there" in desk("done", str(desk.folder), code=2)
    (desk.folder / "plan.json").write_text("{}")
    assert "is no plan file of Windowfall" in desk("done", str(desk.folder), code=2)
    assert not desk.path.exists()


def test_from_plan_to_shelf_to_plan(desk: Desk) -> None:
    wall = job(desk.folder / "wall", "Fern,11,14,8,11,moss,\nReed,9,12,,,moss,\n", offers=OFFERS)
    out = str(desk.folder / "out")
    assert "Used of the shelf file: nothing. When it is cut: windowfall done" in desk.words(
        "plan", wall, "--shelf", "--seconds", "2", "--out", out
    )
    desk("done", out)
    held = load_shelf(desk.path).pieces
    assert held
    # The job after --shelf is the job, and the next wall comes out of what this one left.
    again = desk("plan", "--shelf", wall, "--seconds", "2", "--json")
    assert not json.loads(again)["purchase"]["lines"]
    assert set(json.loads(again)["shelf_file_labels"]) <= {piece.label for piece in held}
    elsewhere = desk.words("plan", wall, "--shelf", str(desk.folder / "none.csv"), "--seconds", "2")
    assert elsewhere.startswith("Buy 1 sheet at Quay shop")
    log = desk("shelf", "log")
    assert re.search(r"2026-03-31 +moss +1 of 32 × 40 in +bought", log)
    assert "moss: 8.9 sq ft used in all." in log
    assert "Nothing has been used yet." in desk("shelf", "log", "--board", "oat")


def test_a_label_in_the_job_and_in_the_file_is_2(desk: Desk) -> None:
    put(desk.path, draft("moss", label="lid"))
    wall = job(desk.folder / "wall", "Fern,11,14,8,11,moss,\n", shelf="label,board,width,height\nLid,moss,32,40\n")
    assert "shelf, label: 'Lid' is on a piece of this table and on one of the shelf file." in desk(
        "plan", wall, "--shelf", code=2
    )


def test_what_can_be_made_without_buying(desk: Desk) -> None:
    put(desk.path, draft("moss", label="lid"))
    wall = job(desk.folder / "wall", "Fern,11,14,8,11,moss,1\nReed,7,17,,,moss,\nMoss,7,16,,,moss,2\n", offers=OFFERS)
    said = desk.words("plan", wall, "--shelf", "--shelf-only", "--seconds", "2")
    assert said.startswith("Buy nothing")
    assert "Left out Fern: its mat, 11 x 14 in, is larger than every sheet and leftover of moss" in said
    assert "Reed: there is no room left for it on the shelf." in said
    assert "To buy for the rest separately: 1 moss 32 × 40 from Quay shop, $7.00 in all. Sheets by board" in said
    assert "Everything at once" not in said
    assert said.endswith("Used of the shelf file: lid.")
    only = job(desk.folder / "large", "Fern,11,14,8,11,moss,\n", offers=OFFERS)
    assert desk.words("plan", only, "--shelf", "--shelf-only", "--seconds", "2").startswith("Nothing can be cut within")


@pytest.mark.parametrize("options", [("--shelf",), ("--shelf-only",)])
def test_a_job_of_pieces_alone_is_cut_from_the_shelf_file(desk: Desk, options: tuple[str, ...]) -> None:
    put(desk.path, draft("Moss", label="lid"))
    wall = job(desk.folder / "wall", "Reed,7,16,,,moss,\n")
    said = desk.words("plan", wall, *options, "--seconds", "2")
    assert said.startswith("Buy nothing")
    assert said.endswith("Used of the shelf file: lid.")
    assert "nothing to cut from" in desk("plan", wall, code=2)
    elsewhere = desk.words("plan", wall, *options, "--shelf", str(desk.path), "--seconds", "2")
    assert elsewhere.endswith("Used of the shelf file: lid.")


@pytest.mark.parametrize("options", [("--shelf",), ("--shelf-only",)])
def test_a_job_of_pieces_alone_and_a_shelf_without_its_boards(desk: Desk, options: tuple[str, ...]) -> None:
    put(desk.path, draft("moss", label="lid"))
    wall = job(desk.folder / "wall", "Reed,7,16,,,oat,\n")
    said = " ".join(desk("plan", wall, *options, code=2).split())
    assert (
        "offers: there is nothing to cut from: the job has no offers and no shelf, and the shelf file holds no oat."
        in (said)
    )


def test_a_job_of_pieces_alone_at_the_till_and_again_for_a_spoiled_mat(desk: Desk) -> None:
    put(desk.path, draft("moss", label="lid"), draft("moss", label="other"))
    wall = job(desk.folder / "wall", "Reed,7,16,,,moss,\n")
    desk("plan", wall, "--shelf", "--seconds", "2", "--out", str(desk.folder / "out"))
    assert "Buy nothing" in desk("till", wall, "--shelf", "--seconds", "4")
    said = desk.words("done", str(desk.folder / "out"), "--spoiled", "M1", "--seconds", "2")
    assert "To be cut again: M1." in said
    assert "1 from the shelf, other" in said


def test_the_shelf_file_is_cut_from_with_shelf_only_alone(desk: Desk) -> None:
    put(desk.path, draft("moss", label="lid"))
    wall = job(desk.folder / "wall", "Reed,7,16,,,moss,\n", offers=OFFERS)
    assert desk.words("plan", wall, "--shelf-only", "--seconds", "2").endswith("Used of the shelf file: lid.")


def test_a_control_character_is_no_part_of_a_label(desk: Desk) -> None:
    said = desk("shelf", "add", "moss", "7", "9", "--label", "\x01left 1", code=2)
    assert "has a character that cannot be printed (U+0001)" in " ".join(said.split())


def test_a_spoiled_mat_is_planned_again_on_what_is_there_or_bought(desk: Desk) -> None:
    wall = job(desk.folder / "wall", "Fern,30,38,22,30,moss,\nReed,16,20,11,14,moss,\n", offers=OFFERS)
    out, again = str(desk.folder / "out"), str(desk.folder / "again")
    desk("plan", wall, "--shelf", "--seconds", "2", "--out", out)
    told = json.loads((Path(out) / "plan.json").read_text())
    # Reed lies in the fallout of Fern.
    assert [sheet["source"]["kind"] for sheet in told["sheets"]] == ["bought", "fallout"]
    assert "the plan that was cut is there" in desk("done", out, "--spoiled", "M1", "--out", out, code=2)
    assert not desk.path.exists()
    said = desk.words("done", out, "--spoiled", "M1", "--seconds", "2", "--out", again)
    assert "M1 left border" in said
    assert "To be cut again: M1, M2. The other sheets stay as planned." in said
    assert "Buy 1 sheet at Quay shop: $7.00" in said
    assert "This is booked already" in desk("done", out)
    assert "To be cut again: M1, M2." in desk("done", out, "--spoiled", "M1", "--seconds", "2", "--job", wall)
    desk("done", again)
    assert "the job is not at nowhere" in desk("done", out, "--spoiled", "M2", "--job", "nowhere", code=2)
    half = desk.words("done", out, "--spoiled", "M1", "--seconds", "2", "--discount", "50")
    assert "Buy 1 sheet at Quay shop: $3.50" in half


def test_a_mistyped_label_or_board_is_answered_with_the_nearest(desk: Desk) -> None:
    put(desk.path, draft("Moss"), draft("oat"))
    assert "nothing on the shelf is labelled 'R11'; the nearest is R1." in desk.words("shelf", "take", "R11", code=2)
    assert desk("shelf", "list", "--board", "moos").endswith("The nearest board is Moss.\n")
    assert "nearest" not in desk("shelf", "list", "--board", "vermilion")
    assert "nearest" not in desk("shelf", "list", "--board", "MOSS")
    desk("shelf", "take", "R2")
    assert desk("shelf", "log", "--board", "oats").endswith("The nearest board is oat.\n")
