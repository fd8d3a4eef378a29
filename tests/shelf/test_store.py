"""The shelf on the disk: nothing is lost, whatever happens meanwhile, and undo brings back the very same bytes."""

import errno
import json
import os
import stat
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from time import process_time

import pytest
from filelock import FileLock

from nesting.errors import ShelfError
from nesting.model.job import Unit
from nesting.shelf import store
from nesting.shelf.held import Move
from nesting.shelf.history import Change, History, Mark, Reservation, append_change, read_history
from nesting.shelf.store import Edited, change_shelf, history_of, load_shelf, shelf_path, undo_change
from nesting.shelf.undoing import undo_booking
from tests.shelf.shelves import DAY, NOW, SIZE, draft, put


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "new folder" / "shelf.csv"


def test_the_place_is_where_told_then_where_the_variable_says_then_the_systems(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WINDOWFALL_SHELF", str(tmp_path / "mine.csv"))
    assert shelf_path(str(tmp_path / "told.csv")) == tmp_path / "told.csv"
    assert shelf_path("") == shelf_path() == tmp_path / "mine.csv"
    monkeypatch.delenv("WINDOWFALL_SHELF")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert shelf_path().name == "shelf.csv"
    assert shelf_path().parent.name == "windowfall"


def test_a_shelf_without_a_file_holds_nothing_and_reading_makes_none(path: Path) -> None:
    assert load_shelf(path, Unit.CM).pieces == ()
    assert load_shelf(path, Unit.CM).unit is Unit.CM
    assert not path.parent.exists()


def test_undo_brings_back_the_very_same_bytes_step_by_step(path: Path) -> None:
    held: list[bytes | None] = [None]
    for count in (2, 3, 5):
        put(path, draft(count=count))
        held.append(path.read_bytes())
    for before in reversed(held[:-1]):
        undo_change(path)
        assert (path.read_bytes() if path.exists() else None) == before
    with pytest.raises(ShelfError, match="there is no change of this shelf that could be undone"):
        undo_change(path)


def test_labels_of_changes_that_were_undone_are_not_given_again(path: Path) -> None:
    put(path, draft())
    put(path, draft(), draft())
    undo_change(path)
    assert [piece.label for piece in put(path, draft())] == ["R4"]
    assert [piece.label for piece in load_shelf(path).pieces] == ["R1", "R4"]


def test_only_changes_in_force_are_in_the_log_that_counts(path: Path) -> None:
    put(path, draft())
    put(path, draft())
    undo_change(path)
    put(path, draft(count=7))
    log = history_of(path)
    assert sorted(log.changes) == [1, 2, 3]
    assert [change.number for change in log.in_force(load_shelf(path).change)] == [1, 3]
    assert log.is_whole(3)
    assert not log.is_whole(9)


def test_what_a_hand_wrote_between_two_changes_comes_back_with_undo(path: Path) -> None:
    put(path, draft())
    written = path.read_bytes().replace(b"slate", b"deep slate").replace(b"\r\n", b"\n")
    path.write_bytes(written)
    put(path, draft())
    undo_change(path)
    assert path.read_bytes() == written


def test_undo_refuses_what_would_lose_the_work_of_a_hand(path: Path) -> None:
    put(path, draft())
    written = path.read_bytes().replace(b"slate", b"deep slate")
    path.write_bytes(written)
    with pytest.raises(ShelfError, match="it was changed by hand after its last change"):
        undo_change(path)
    assert path.read_bytes() == written


def test_undo_refuses_when_what_was_there_is_no_longer_kept(path: Path) -> None:
    put(path, draft())
    put(path, draft())
    held = path.read_bytes()
    kept = path.with_name("shelf.csv.history") / "before-2.csv"
    for spoil in (lambda: kept.write_bytes(b"else"), kept.unlink):
        spoil()
        with pytest.raises(ShelfError, match="is no longer kept in"):
            undo_change(path)
        assert path.read_bytes() == held


def test_a_file_with_faults_is_never_overwritten(path: Path) -> None:
    put(path, draft())
    written = path.read_bytes().replace(b"17 in", b"17 inn")
    path.write_bytes(written)
    for change in (lambda: put(path, draft()), lambda: undo_change(path)):
        with pytest.raises(ShelfError, match="row 3, height: '17 inn'"):
            change()
        assert path.read_bytes() == written


def test_a_newer_file_is_never_overwritten(path: Path) -> None:
    put(path, draft())
    written = path.read_bytes().replace(b"format,1", b"format,2").replace(b"label", b"tag")
    path.write_bytes(written)
    for change in (lambda: put(path, draft()), lambda: undo_change(path)):
        with pytest.raises(ShelfError, match="written by a newer Windowfall"):
            change()
        assert path.read_bytes() == written


def test_another_program_that_writes_at_that_very_moment_is_not_overwritten(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(path, draft())

    def meanwhile(folder, change):
        append_change(folder, change)
        path.write_bytes(b"of another program")

    monkeypatch.setattr(store, "append_change", meanwhile)
    with pytest.raises(ShelfError, match="another program changed it at this very moment"):
        put(path, draft())
    assert path.read_bytes() == b"of another program"


def test_a_spreadsheet_that_had_the_file_open_loses_nothing(path: Path) -> None:
    put(path, draft("oat"))
    opened = path.read_bytes()
    put(path, draft("ivory"))
    put(path, draft("umber"))
    newest = path.read_bytes()
    saved = opened.replace(b"\r\n", b"\n").replace(b"oat", b"oat white")
    path.write_bytes(saved)
    kept = path.with_name("shelf.csv.history") / "last.csv"
    for command in (lambda: put(path, draft()), lambda: undo_change(path), lambda: load_shelf(path)):
        with pytest.raises(ShelfError, match=r"it lacks its last change \(add, .*then write 3 after change in row 1"):
            command()
        assert path.read_bytes() == saved
        assert kept.read_bytes() == newest
    path.write_bytes(newest.replace(b"oat", b"oat white"))
    assert [piece.board for piece in load_shelf(path).pieces] == ["oat white", "ivory", "umber"]
    assert put(path, draft())[0].label == "R4"


def test_a_file_that_is_gone_is_not_taken_for_an_empty_shelf(path: Path) -> None:
    put(path, draft())
    kept = path.with_name("shelf.csv.history") / "last.csv"
    path.unlink()
    with pytest.raises(ShelfError, match="it is gone; what it held after its last change"):
        put(path, draft())
    kept.replace(path)
    assert len(load_shelf(path).pieces) == 1
    path.unlink()
    path.with_name("shelf.csv.history").rename(path.with_name("old"))
    assert put(path, draft())[0].label == "R1"


def test_a_change_that_was_cut_short_is_not_missed(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(path, draft())

    def killed(*_told: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store, "_replace", killed)
    with pytest.raises(KeyboardInterrupt):
        put(path, draft())
    monkeypatch.undo()
    path.write_bytes(path.read_bytes().replace(b"slate", b"deep slate"))
    assert [piece.board for piece in load_shelf(path).pieces] == ["deep slate"]
    assert put(path, draft())[0].label == "R3"


def test_a_change_that_changes_nothing_writes_nothing(path: Path) -> None:
    put(path, draft())
    held = path.stat().st_mtime_ns, path.read_bytes()
    change_shelf(path, "correct", lambda shelf, _history: Edited(shelf, ()), now=NOW)
    assert (path.stat().st_mtime_ns, path.read_bytes()) == held
    assert history_of(path).last == 1


def test_whoever_waits_too_long_is_told(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(path, draft())
    monkeypatch.setattr(store, "_PATIENCE", 0.05)
    with (
        FileLock(path.with_name("shelf.csv.history") / "lock"),
        pytest.raises(ShelfError, match="another Windowfall has been changing it for a minute"),
    ):
        put(path, draft())


def test_a_link_stays_a_link_and_rights_stay(path: Path, tmp_path: Path) -> None:
    put(path, draft())
    path.chmod(0o640)
    link = tmp_path / "link.csv"
    link.symlink_to(path)
    put(shelf_path(str(link)), draft())
    assert link.is_symlink()
    assert len(load_shelf(path).pieces) == 2
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.parametrize("call", range(1, 10))
def test_a_disk_that_refuses_leaves_the_old_shelf_or_the_new_one(
    path: Path, call: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(path, draft())
    old, calls = path.read_bytes(), iter(range(1, 99))
    real = os.fsync

    def full(descriptor: int) -> None:
        if next(calls) == call:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", full)
    failed = False
    try:
        put(path, draft("oat"))
    except OSError:
        failed = True
    monkeypatch.undo()
    # The seventh settles the folder, when the new file is in its place already; a ninth never comes.
    assert failed == (call <= 7)
    assert (path.read_bytes() == old) == (call <= 6)
    assert not list(path.parent.rglob("*.part"))
    before = path.read_bytes()
    put(path, draft("ivory"))
    undo_change(path)
    assert path.read_bytes() == before


def test_a_torn_line_of_the_log_costs_no_other(path: Path) -> None:
    put(path, draft())
    log = path.with_name("shelf.csv.history") / "log.jsonl"
    log.write_bytes(log.read_bytes() + b'{"number": 2, "par')
    put(path, draft())
    log.write_bytes(log.read_bytes() + b"17\n[]\n\xff\x80\n")
    assert sorted(read_history(log.parent).changes) == [1, 2]
    undo_change(path)
    assert len(load_shelf(path).pieces) == 1


def test_a_line_of_the_log_that_leads_to_itself_is_passed_over(path: Path) -> None:
    put(path, draft())
    log = path.with_name("shelf.csv.history") / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"parent": 0', b'"parent": 1'))
    assert read_history(log.parent).in_force(1) == ()
    assert len(load_shelf(path).pieces) == 1


def test_a_lost_line_of_the_log_does_not_hide_that_an_older_file_came_back(path: Path) -> None:
    put(path, draft())
    opened = path.read_bytes()
    put(path, draft())
    log = path.with_name("shelf.csv.history") / "log.jsonl"
    log.write_bytes(
        b"".join(line for line in log.read_bytes().splitlines(keepends=True) if b'"number": 1,' not in line)
    )
    path.write_bytes(opened)
    with pytest.raises(ShelfError, match="it lacks its last change"):
        load_shelf(path)


def test_a_long_log_is_read_in_one_pass() -> None:
    one = Change(1, 0, "", "add", None, "", ())
    changes = {number: replace(one, number=number, parent=number - 1) for number in range(1, 20_001)}
    log = History(changes, frozenset((Mark.FINISHED, number) for number in changes))
    begun = process_time()
    assert log.overwritten(20_000) is None
    assert log.overwritten(7) == changes[20_000]
    assert process_time() - begun < 2  # a pass for every change takes minutes


def test_a_log_that_is_lost_leaves_the_shelf_as_it_is(path: Path) -> None:
    put(path, draft())
    put(path, draft())
    (path.with_name("shelf.csv.history") / "log.jsonl").unlink()
    with pytest.raises(ShelfError, match="there is no change of this shelf that could be undone"):
        undo_change(path)
    assert [piece.label for piece in put(path, draft())] == ["R3"]
    assert load_shelf(path).change == 3


def test_what_was_held_before_is_kept_for_so_many_changes(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "_UNDO_DEPTH", 2)
    for day in range(5):
        put(path, draft(), now=NOW + timedelta(days=day))
    kept = sorted(file.name for file in path.with_name("shelf.csv.history").glob("before-*"))
    assert kept == ["before-4.csv", "before-5.csv"]


def test_undoing_a_plan_undoes_no_other_change(path: Path) -> None:
    put(path, draft())
    change_shelf(
        path, "done", lambda shelf, _history: Edited(replace(shelf, next_number=9), (), "abc", ("S1",)), now=NOW
    )
    assert history_of(path).booked(load_shelf(path).change, "abc") == {"S1"}
    with pytest.raises(ShelfError, match="this plan is not booked"):
        undo_booking(path, ["abd"], NOW)
    assert undo_booking(path, ["abd", "abc"], NOW).booked == ("S1",)
    assert history_of(path).booked(load_shelf(path).change, "abc") == frozenset()
    assert load_shelf(path).pieces[0].put == DAY


def test_a_log_that_an_older_program_wrote_is_read(path: Path) -> None:
    put(path, draft())
    log = path.with_name("shelf.csv.history") / "log.jsonl"
    (first, finished) = log.read_text().splitlines()
    new = json.loads(first)
    kept = ("number", "parent", "at", "command", "before", "after", "moves", "plan", "booked")
    old = {name: new[name] for name in kept}
    old["moves"] = [{name: move[name] for name in ("label", "board", "size", "count")} for move in new["moves"]]
    log.write_text(f"{json.dumps(old)}\n{finished}\n")
    change = history_of(path).changes[1]
    assert (change.moves, change.booked) == ((Move("R1", "slate", SIZE, 1),), ())
    assert (change.reserved, change.undoes) == (None, None)
    assert history_of(path).reservations(1) == ()
    put(path, draft())
    undo_change(path)
    undo_change(path)
    assert not path.exists()


def test_what_one_command_did_in_two_changes_is_undone_at_once_to_the_byte(path: Path) -> None:
    put(path, draft())
    before = path.read_bytes()
    put(path, draft())
    kept = Reservation("a" * 16, "hall", (("k", "R1"),))
    change_shelf(path, "reserve", lambda shelf, _: Edited(shelf, (), reserved=kept, joined=True), now=NOW)
    assert [one.name for one in history_of(path).reservations(3)] == ["hall, plan aaaaaa"]
    with pytest.raises(ShelfError, match="another program changed it at this very moment"):
        undo_change(path, last=2)
    assert undo_change(path).command == "add"
    assert path.read_bytes() == before
    assert history_of(path).reservations(load_shelf(path).change) == ()
    put(path, draft())
    assert [one.number for one in history_of(path).in_force(load_shelf(path).change)] == [1, 4]


def test_a_booking_that_moved_nothing_is_taken_back_too(path: Path) -> None:
    # As of a fallout that is cut up with nothing left: only that it is cut is booked.
    put(path, draft())
    change_shelf(path, "done", lambda shelf, _: Edited(shelf, (), "abc", ("k",)), now=NOW)
    put(path, draft())
    assert undo_booking(path, ["abc"], NOW).number == 2
    assert history_of(path).booked(load_shelf(path).change, "abc") == frozenset()
    undo_change(path)
    assert history_of(path).booked(load_shelf(path).change, "abc") == {"k"}
