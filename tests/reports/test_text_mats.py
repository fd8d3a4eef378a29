"""Mats drawn in letters: in proportion, with what is written in them where it has room."""

from hypothesis import given
from hypothesis import strategies as st

from cli.reports.screen.text_mats import draw_in_letters, drawings_in_letters
from nesting.geometry import Point, Size
from nesting.model.job import Unit
from nesting.model.mat import Borders, Mat, Window
from nesting.names import Names
from tests.builders import make_bench, make_job, make_piece

MM = 640
BENCH = make_bench(unit=Unit.MM, ruler=MM)


def mat(blank, windows, *, layer=0, piece="Fern"):
    """A mat whose borders are those of all its windows together."""
    cut = tuple(Window(Point(x * MM, y * MM), Size(w * MM, h * MM)) for x, y, w, h in windows)
    borders = None
    if cut:
        right = max(window.at.x + window.size.w for window in cut)
        top = max(window.at.y + window.size.h for window in cut)
        left, bottom = min(window.at.x for window in cut), min(window.at.y for window in cut)
        borders = Borders(left, blank[0] * MM - right, blank[1] * MM - top, bottom)
    return Mat("M1", piece, 1, layer, ("sage",), Size(blank[0] * MM, blank[1] * MM), borders, cut)


def test_a_mat_is_drawn_in_proportion_with_its_sizes():
    # 270 x 240: 27 columns are 270 mm, 12 rows are 240 mm. The window is 40 from the left.
    assert draw_in_letters(mat((270, 240), [(40, 100, 190, 80)]), BENCH) == (
        "┌──────────────────────────┐",
        "│            60            │",
        "│                          │",
        "│   ┌──────────────────┐   │",
        "│   │                  │   │",
        "│40 │     190 × 80     │40 │",
        "│   │                  │   │",
        "│   └──────────────────┘   │",
        "│                          │",
        "│           100            │",
        "│                          │",
        "│                          │",
        "└──────────────────────────┘",
    )


def test_a_screen_of_few_letters_gets_hyphens_and_bars():
    lines = draw_in_letters(mat((270, 240), [(40, 100, 190, 80)]), BENCH, ascii_only=True)
    assert lines[0] == "+--------------------------+"
    assert lines[3] == "|   +------------------+   |"
    assert all(line.replace("×", "x").isascii() for line in lines)


def test_the_height_stands_below_the_width_where_they_have_no_room_side_by_side():
    lines = draw_in_letters(mat((150, 270), [(40, 60, 70, 150)]), BENCH)
    assert any("70 ×" in line for line in lines)
    assert any("150" in line and "×" not in line for line in lines)


def test_every_window_is_drawn_and_a_blank_without_one_has_its_own_size():
    lines = draw_in_letters(mat((270, 120), [(30, 40, 50, 40), (110, 40, 50, 40), (190, 40, 50, 40)]), BENCH)
    assert max(line.count("┌") for line in lines[1:]) == 3
    plain = draw_in_letters(mat((270, 120), []), BENCH)
    assert plain[3].strip("│ ") == "270 × 120"


@given(st.lists(st.integers(1, 2000), min_size=6, max_size=6))
def test_any_mat_can_be_drawn_in_its_room(lengths):
    left, w, right, bottom, h, top = lengths
    lines = draw_in_letters(mat((left + w + right, bottom + h + top), [(left, bottom, w, h)]), BENCH)
    assert len(lines) <= 13
    assert max(map(len, lines)) <= 28
    assert (lines[0][0], lines[0][-1], lines[-1][0], lines[-1][-1]) == tuple("┌┐└┘")
    assert all(line[0] == line[-1] == "│" for line in lines[1:-1])
    words = "".join(letter for line in lines for letter in line if letter not in "┌┐└┘│─ ")
    assert set(words) <= set("0123456789×")


def test_as_many_stand_side_by_side_as_a_window_holds():
    names = Names(
        make_job(
            make_piece("Fern", (1, 1), backing=("grey",)),
            make_piece("A name that is far too long to stand here", (1, 1)),
        )
    )
    mats = [
        mat((270, 240), [(40, 100, 190, 80)]),
        mat((270, 240), [], layer=1),
        mat((190, 270), [], piece="A name that is far too long to stand here"),
    ]
    wide = list(drawings_in_letters(mats, names, BENCH, width=60, ascii_only=False))
    assert wide[1] == "Fern                           A name that is far too lo..."
    assert wide[2] == "blank 270 × 240                blank 190 × 270"
    assert len(wide) == 1 + 2 + 13
    narrow = list(drawings_in_letters(mats, names, BENCH, width=58, ascii_only=False))
    assert len(narrow) == 2 * (1 + 2 + 13)
    assert max(map(len, wide)) <= 60
    assert max(map(len, narrow)) <= 28
