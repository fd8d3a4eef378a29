import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pytest

from nesting.errors import JobError
from nesting.geometry import ExactSize, Size
from nesting.model.job import Board, Offer, ShelfKind, ShelfPiece, Shop, Unit, When
from nesting.reading.job import read_job
from tests.jobs import OFFERS, PIECES, faults

INCH = 16256
MM = 640


def test_smallest_job(folder):
    job = read_job(str(folder()))
    (piece,) = job.pieces
    assert (piece.name, piece.row, piece.quantity) == ("fern", 2, 1)
    assert piece.inside == ExactSize(Fraction(11 * INCH), Fraction(17 * INCH))
    assert (piece.picture, piece.shown, piece.priority, piece.quote, piece.group) == (None,) * 5
    assert (piece.gap, piece.reveal, piece.under_inset) == (INCH, INCH // 4, 0)
    assert (piece.allowance, piece.overlap) == (INCH // 8, INCH // 4)
    assert (piece.across, piece.down, piece.when) == (1, 1, When.NOW)
    assert (piece.boards, piece.under_boards, piece.backing) == (("sage",), (), ())
    assert job.offers == (Offer(1, "nook", "sage", Size(31 * INCH, 41 * INCH), 740, Decimal(0), None, None, 1, 2),)
    assert job.shops == (Shop("nook", 0, None, Decimal(0)),)
    assert job.boards == (Board("sage", None, Fraction(INCH, 16), turn=True),)
    assert (job.shelf, job.warnings) == ((), ())
    assert job.path == str(folder())


def test_every_column_of_pieces(folder):
    pieces = (
        "Piece,QUANTITY,group,inside_width,Inside Height,picture width,picture height,show width,show height,overlap,"
        "bottom extra,allowance,across,down,gap,boards,under boards,reveal,under inset,backing,moulding width,when,"
        "priority,frame cost,other cost,quote,notes\n"
        "fern,3,stairs,31 1/2,23,7,5,,4 1/2,-1/8,1/2,3/16,2,3,7/8,Sage or ivory,ink,5/16,1/4,"
        'kraft,"1,5",Later,2,4.05,1.10,18,ask\n'
    )
    (piece,) = read_job(folder(pieces=pieces)).pieces
    assert (piece.quantity, piece.group, piece.across, piece.down, piece.priority) == (3, "stairs", 2, 3, 2)
    assert piece.inside == (INCH * Fraction(63, 2), INCH * 23)
    assert piece.picture == (INCH * 7, INCH * 5)
    assert piece.shown == (INCH * Fraction(29, 4), INCH * Fraction(9, 2))
    assert (piece.overlap, piece.bottom_extra, piece.allowance) == (-INCH // 8, INCH // 2, 3 * INCH // 16)
    assert (piece.gap, piece.reveal, piece.under_inset) == (7 * INCH // 8, 5 * INCH // 16, INCH // 4)
    assert (piece.boards, piece.under_boards, piece.backing) == (("Sage", "ivory"), ("ink",), ("kraft",))
    assert (piece.moulding_width, piece.when) == (INCH * Fraction(3, 2), When.LATER)
    assert (piece.frame_cost, piece.other_cost, piece.quote, piece.notes) == (405, 110, 1800, "ask")


def test_show_alone_leaves_the_picture_unknown(folder):
    (piece,) = read_job(folder(pieces=f"{PIECES},show width,show height\nfern,11,17,sage,5,7\n")).pieces
    assert (piece.picture, piece.shown) == (None, (5 * INCH, 7 * INCH))


def test_picture_on_one_side_and_show_on_the_other(folder):
    (piece,) = read_job(folder(pieces=f"{PIECES},picture width,show height\nfern,11,17,sage,5,7\n")).pieces
    assert (piece.picture, piece.shown) == (None, (INCH * Fraction(9, 2), 7 * INCH))


def test_every_column_of_the_other_tables(folder):
    job = read_job(
        folder(
            offers=f"{OFFERS},discount,at most,at least,pack of,notes\nnook,ANY,31,41,$7.40,50%,30,4,5,\n"
            "den,ink,29,37,3,7.5,,,,x\n",
            shops="shop,delivery,free over,tax\nDen,6,40,8.25%\nquay,1.50,,\n",
            shelf="label,board,width,height,quantity,kind\nL1,Ink,13,19,3,\nL2,sage,31,41,,SHEET\nL3,sage,5,7,,fallout\n",
            boards="board,swatch,thickness,turn\n SAGE ,#8FA58C,1/8,No\noat,,,\n",
        )
    )
    assert [(o.number, o.shop, o.board, o.price) for o in job.offers] == [
        (1, "nook", None, 740),
        (2, "den", "ink", 300),
    ]
    assert [(o.discount, o.at_most, o.at_least, o.pack_of) for o in job.offers] == [
        (Decimal(50), 30, 4, 5),
        (Decimal("7.5"), None, None, 1),
    ]
    assert job.shops == (
        Shop("nook", 0, None, Decimal(0)),
        Shop("den", 600, 4000, Decimal("8.25")),
        Shop("quay", 150, None, Decimal(0)),
    )
    assert job.shelf == (
        ShelfPiece("L1", "ink", Size(13 * INCH, 19 * INCH), 3, ShelfKind.OFFCUT),
        ShelfPiece("L2", "sage", Size(31 * INCH, 41 * INCH), 1, ShelfKind.SHEET),
        ShelfPiece("L3", "sage", Size(5 * INCH, 7 * INCH), 1, ShelfKind.FALLOUT),
    )
    thin = Fraction(INCH, 16)
    assert job.boards == (
        Board("sage", "#8fa58c", Fraction(INCH, 8), turn=False),
        Board("ink", None, thin, turn=True),
        Board("oat", None, thin, turn=True),
    )


@pytest.mark.parametrize(("unit", "metric"), [("in", False), ("mm", True), ("CM", True)])
def test_defaults_of_the_bench_by_unit(folder, unit, metric):
    job = read_job(folder(bench=f"name,value\nunit,{unit}\nkerf,\n"))
    bench = job.bench
    assert bench.unit == unit.lower()
    assert bench.ruler == (MM if metric else INCH // 16)
    assert bench.allowance == bench.glass_clearance == bench.squaring == (3 * MM if metric else INCH // 8)
    assert bench.overlap == bench.lip == (6 * MM if metric else INCH // 4)
    assert bench.keep_at_least == ((100 * MM, 100 * MM) if metric else (4 * INCH, 4 * INCH))
    assert (bench.trim, bench.kerf, bench.overcut) == (0, 0, 0)
    assert (bench.longest_cut, bench.guide_reach, bench.room_for_sheets, bench.cutter_cost) == (None,) * 4
    assert (bench.use_fallout, bench.currency) == (True, "$")
    (piece,) = job.pieces
    assert (piece.reveal, piece.gap) == ((6 * MM, 25 * MM) if metric else (INCH // 4, INCH))


def test_every_row_of_the_bench(folder):
    bench = read_job(
        folder(
            bench="name,value\nUnit,mm\nruler,0.5\nallowance,2\noverlap,-3\ntrim,1/7\nkerf,1/3\nsquaring,2/3\n"
            "Keep_At_Least,90 by 130\nlongest cut,1020\nguide reach,97\novercut,1.5\nlip,7\nglass clearance,4\n"
            "use fallout,FALSE\nroom for sheets,0\ncurrency,kr\ncutter cost,89.95\n"
        )
    ).bench
    assert (bench.unit, bench.ruler, bench.allowance, bench.overlap) == (Unit.MM, 320, 2 * MM, -3 * MM)
    # 640 / 7, 640 / 3 and 1280 / 3 ticks, each up to the next whole one.
    assert (bench.trim, bench.kerf, bench.squaring) == (92, 214, 427)
    assert bench.keep_at_least == (90 * MM, 130 * MM)
    assert (bench.longest_cut, bench.guide_reach, bench.overcut) == (1020 * MM, 97 * MM, 960)
    assert (bench.lip, bench.glass_clearance, bench.use_fallout) == (7 * MM, 4 * MM, False)
    assert (bench.room_for_sheets, bench.currency, bench.cutter_cost) == (0, "kr", 8995)


def test_the_words_for_an_empty_cell_may_be_written(folder):
    bench = read_job(
        folder(bench="name,value\nlongest cut,none\nroom for sheets,None\nglass clearance,as the allowance\n")
    ).bench
    assert (bench.longest_cut, bench.room_for_sheets, bench.glass_clearance) == (None, None, bench.allowance)


def test_sheets_and_shelf_pieces_are_rounded_down_to_the_tick(folder):
    job = read_job(
        folder(
            offers=f"{OFFERS}\nnook,sage,31 1/3,41 2/3,7\n",
            shelf="label,board,width,height\nL1,sage,5 1/3,7 2/3\n",
        )
    )
    assert job.offers[0].sheet == (509354, 677333)
    assert job.shelf[0].size == (86698, 124629)


def test_names_are_written_as_first_spelt(folder):
    job = read_job(
        folder(
            pieces=f"{PIECES},backing\nfern,11,17,Deep  Sage or ivory,\n"
            "moss,5,7,deep sage OR Ivory OR deep sage,Kraft\n",
            offers=f"{OFFERS}\nNook,DEEP SAGE,31,41,7\nnook,kraft,31,41,2\n",
        )
    )
    assert [piece.boards for piece in job.pieces] == [("Deep Sage", "ivory")] * 2
    assert [(offer.shop, offer.board) for offer in job.offers] == [("Nook", "Deep Sage"), ("Nook", "Kraft")]
    assert [board.name for board in job.boards] == ["Deep Sage", "ivory", "Kraft"]
    assert job.board("ivory").turn


def test_rows_with_nothing_in_them_do_not_count_but_keep_their_numbers(folder):
    job = read_job(
        folder(
            pieces=f"\n{PIECES}\n,,,\n\nfern,11,17,sage\n , \N{NO-BREAK SPACE},,\nmoss,5,7,sage\n",
            offers=f"{OFFERS}\n,,,,\nnook,sage,31,41,7\n,,,,\nnook,sage,29,37,5\n",
        )
    )
    assert [(piece.name, piece.row) for piece in job.pieces] == [("fern", 5), ("moss", 7)]
    assert [offer.number for offer in job.offers] == [1, 2]


def test_a_line_break_within_quotes_starts_no_row(folder):
    job = read_job(folder(pieces=f'{PIECES},notes\nfern,11,17,sage,"one\ntwo\nthree"\nmoss,5,7,sage,\n'))
    assert [(piece.name, piece.row, piece.notes) for piece in job.pieces] == [
        ("fern", 2, "one\ntwo\nthree"),
        ("moss", 3, None),
    ]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_separators_and_encodings(folder, separator, encoding):
    text = f'{PIECES}\r\n"f\N{LATIN SMALL LETTER E WITH ACUTE}e","11 \N{VULGAR FRACTION ONE HALF}","17,5",sage\r\n'
    text = text.replace('"17,5"', "@").replace(",", separator).replace("@", '"17,5"')
    (piece,) = read_job(folder(pieces=text.encode(encoding))).pieces
    assert piece.name == "f\N{LATIN SMALL LETTER E WITH ACUTE}e"
    assert piece.inside == (INCH * Fraction(23, 2), INCH * Fraction(35, 2))


def test_shelf_alone_is_enough(folder):
    job = read_job(folder(offers=None, shelf="label,board,width,height\nL1,sage,13,19\n"))
    assert (job.offers, job.shops, len(job.shelf)) == ((), (), 1)


def test_other_files_are_passed_over(folder):
    path = folder(addresses="name;street\n")
    (path / "readme.txt").write_text("hello")
    assert read_job(path).warnings == ()


def test_reading_a_folder_loads_nothing_heavy(folder):
    program = (
        "import sys; from nesting.reading.job import read_job; read_job(sys.argv[1]); "
        "sys.exit(sum(name in sys.modules for name in ('openpyxl', 'pandas', 'pint', 'numpy')))"
    )
    assert subprocess.run([sys.executable, "-c", program, str(folder())], check=False).returncode == 0


def test_an_empty_folder(tmp_path):
    assert faults(tmp_path) == [
        "pieces: this table is missing. Write a table pieces with a row for each framed piece.",
        (
            "offers: there is nothing to cut from. "
            "Write what shops ask in a table offers, or what you hold in a table shelf, "
            "or plan with --shelf to use your own shelf file."
        ),
    ]


@pytest.mark.parametrize("text", [f"{PIECES}\n", f"{PIECES}\n,,,\n"])
def test_pieces_without_a_row(folder, text):
    assert faults(folder(pieces=text)) == [
        "pieces: has no rows. Write a table pieces with a row for each framed piece."
    ]


def test_pieces_without_anything(folder):
    assert faults(folder(pieces="")) == [
        "pieces: this table is missing. Write a table pieces with a row for each framed piece."
    ]


def test_headings(folder):
    assert faults(folder(pieces="piece,Inside_Widht,inside height,BOARDS,boards\nfern,11,17,sage,ink\n")) == [
        ("pieces, row 1: 'Inside_Widht' is not a heading of this table. Did you mean inside width? Then write that."),
        "pieces, row 1: 'boards' is there twice. Keep one column of this heading.",
    ]


@pytest.mark.parametrize(("own", "meant"), [("artist", None), ("colour", None), ("price", None), ("room", None)])
def test_columns_of_the_users_own_are_passed_over_and_named(folder, own, meant):
    job = read_job(folder(pieces=f"{PIECES},{own},{own} 2\nfern,11,17,sage,x,y\n"))
    assert meant is None
    assert job.warnings == (f"pieces: {own!r}, '{own} 2' were passed over: this table has no such columns",)


@pytest.mark.parametrize(
    ("written", "meant"), [("qty", "quantity"), ("copies", "quantity"), ("overlapp", "overlap"), ("quotes", "quote")]
)
def test_a_heading_nearly_known_is_a_fault(folder, written, meant):
    assert faults(folder(pieces=f"{PIECES},{written}\nfern,11,17,sage,2\n")) == [
        (f"pieces, row 1: {written!r} is not a heading of this table. Did you mean {meant}? Then write that.")
    ]


@pytest.mark.parametrize(
    "total", ["Total,,,,5", ",,,,5", "sum:,25,38,,", ",Grand total,,,5"], ids=["name", "sums", "colon", "elsewhere"]
)
def test_a_total_is_passed_over_and_named(folder, total):
    job = read_job(folder(pieces=f"{PIECES},quantity\nfern,11,17,sage,2\nmoss,14,21,sage,3\n{total}\n"))
    assert [piece.name for piece in job.pieces] == ["fern", "moss"]
    assert job.warnings == ("pieces, row 4 was passed over: it is a total of the rows above it",)


def test_what_is_no_total_is_read(folder):
    # A piece may be called Total; and 6 is no sum of 2 and 3.
    whole = read_job(folder(pieces=f"{PIECES},quantity\nfern,11,17,sage,2\nTotal,14,21,sage,3\n"))
    assert [piece.name for piece in whole.pieces] == ["fern", "Total"]
    assert len(faults(folder(pieces=f"{PIECES},quantity\nfern,11,17,sage,2\nmoss,14,21,sage,3\n,,,,6\n"))) > 1


@pytest.mark.parametrize("board", ["sage, ivory", "Ivory or sage", "sage/ivory"])
def test_an_offer_is_for_one_board_or_any(folder, board):
    pieces = f"{PIECES}\nfern,11,17,sage or ivory\n"
    assert faults(folder(pieces=pieces, offers=f'{OFFERS}\nnook,"{board}",31,41,7\n')) == [
        (
            f"offers, row 2, board: {board!r} names 2 boards. Write a row for each, or 'any' for all the boards of your"
            " pieces at this price."
        )
    ]
    # A board of such a name is a board, and one that no piece asks for may be called anything.
    for named in (f"{PIECES}\nfern,11,17,{board}\n", f"{PIECES}\nfern,11,17,sage\n"):
        offers = f'{OFFERS}\nnook,"{board}",31,41,7\nnook,any,31,41,7\n'
        if "," not in board:
            assert read_job(folder(pieces=named, offers=offers)).pieces


def test_one_mistake_in_many_rows_is_told_once(folder):
    rows = "".join(f"fern {number},11,17,\n" for number in range(2, 55))
    assert faults(folder(pieces=f"{PIECES}\n{rows}")) == [
        (
            "pieces, rows 2 to 54: boards is empty. Write here: the board, or several that would do, the favourite "
            "first: 'sage', or 'sage or ivory'."
        )
    ]


def test_the_table_that_is_missing_is_the_one_whose_headings_fit(folder):
    path = folder(pieces=None, addresses="name,street\nIda,Elm\n", wall=f"{PIECES},group\nfern,11,17,sage,hall\n")
    assert faults(path) == [
        (
            "pieces: this table is missing. If 'wall' is it, rename it 'pieces'; otherwise write a table pieces with a "
            "row for each framed piece."
        )
    ]


def test_values_under_no_heading(folder):
    stray = (
        "stands under no heading. "
        "Give its column a heading, or delete it; in a CSV file a value with a comma goes in quotes."
    )
    assert faults(folder(pieces=f"{PIECES},\nfern,11,17,sage,x\nmoss,5,7,sage,,5\n")) == [
        f"pieces, row 2: 'x' {stray}",
        f"pieces, row 3: '5' {stray}",
    ]


@pytest.mark.parametrize(
    ("bench", "inside", "said"),
    [
        (
            None,
            "285,400",
            "the inside size of 'fern', 285 x 400 in, is larger than frames usually are; if you mean mm there",
        ),
        (
            "name,value\nunit,mm\n",
            "11,17",
            "the inside size of 'fern', 11 x 17 mm, is smaller than frames usually are; if you mean inches there",
        ),
        ("name,value\nunit,cm\n", "11,17", None),
        (None, "11,99", None),
    ],
)
def test_inside_sizes_in_another_unit_than_the_job_s_are_worth_a_word(folder, bench, inside, said):
    job = read_job(folder(pieces=f"{PIECES}\nfern,{inside},sage\n", bench=bench))
    assert [warning.partition(", write")[0] for warning in job.warnings] == (
        [f"pieces, row 2, inside width: {said}"] if said else []
    )


def test_marks_without_width_are_passed_over(folder):
    job = read_job(folder(pieces=f"{PIECES}\nfe\u00adrn\u200b,\u200e11,17\ufeff,sa\u2060ge\n"))
    assert (job.pieces[0].name, job.pieces[0].boards, len(job.boards)) == ("fern", ("sage",), 1)
    assert job.pieces[0].inside == ExactSize(Fraction(11 * INCH), Fraction(17 * INCH))


def test_a_line_break_in_a_name_stays_and_notes_lose_what_steers_a_terminal(folder):
    job = read_job(folder(pieces=f'{PIECES},notes\n"fern\n red",11,17,sage,"a\x1b[2J\nb"\n'))
    assert (job.pieces[0].name, job.pieces[0].notes) == ("fern\n red", "a\ufffd[2J\nb")


def test_a_shelf_kept_elsewhere_is_enough_to_cut_from(folder):
    job = read_job(folder(pieces=f"{PIECES}\nfern,11,17,sage\n", offers=None), held=("rust", "SAGE"))
    assert [board.name for board in job.boards] == ["sage"]
    assert (job.offers, job.shelf) == ((), ())


def test_neither_the_job_nor_the_shelf_elsewhere_has_anything(folder):
    with pytest.raises(JobError) as caught:
        read_job(folder(pieces=f"{PIECES}\nfern,11,17,sage or oat\n", offers=None), held=("rust",))
    assert str(caught.value) == (
        "offers: there is nothing to cut from: the job has no offers and no shelf, and the shelf file holds no sage or "
        "oat. Write what shops ask in a table offers, or what you hold in a table shelf."
    )


COMPOSED, DECOMPOSED = "Caf\N{LATIN SMALL LETTER E WITH ACUTE}", "Cafe\N{COMBINING ACUTE ACCENT}"


def test_a_name_is_one_name_however_its_letters_are_composed(folder):
    job = read_job(
        folder(
            pieces=f"{PIECES},group\nfern,11,17,{COMPOSED},{COMPOSED}\nmoss,11,17,{DECOMPOSED},{DECOMPOSED}\n",
            offers=f"{OFFERS}\n{DECOMPOSED},{DECOMPOSED.upper()},31,41,7.40\n",
            shops=f"shop,delivery\n{COMPOSED},2\n",
        )
    )
    assert [board.name for board in job.boards] == [COMPOSED]
    assert [piece.boards for piece in job.pieces] == [(COMPOSED,), (COMPOSED,)]
    assert [piece.group for piece in job.pieces] == [COMPOSED, COMPOSED]
    assert job.offers[0].board == COMPOSED
    assert [(shop.name, shop.delivery) for shop in job.shops] == [(DECOMPOSED, 200)]


def test_two_pieces_whose_names_differ_in_composition_alone_are_one_name_twice(folder):
    pieces = f"{PIECES}\n{COMPOSED},11,17,sage\n{DECOMPOSED},11,17,sage\n"
    assert faults(folder(pieces=pieces)) == [
        f"pieces, row 3, piece: {DECOMPOSED!r} is in row 2 already. Give each row a name of its own."
    ]


@pytest.mark.parametrize("cell", ["sage, ivory", "sage/ivory", "sage; ivory", "Sage ,IVORY", "sage or ivory"])
def test_boards_are_set_apart_by_signs_too_where_no_board_has_such_a_name(folder, cell):
    offers = f"{OFFERS}\nnook,sage,31,41,7.40\nnook,ivory,31,41,7.40\n"
    job = read_job(folder(pieces=f'{PIECES}\nfern,11,17,"{cell}"\n', offers=offers))
    assert [name.casefold() for name in job.pieces[0].boards] == ["sage", "ivory"]
    assert len(job.boards) == 2
    assert job.warnings == ()


@pytest.mark.parametrize("table", ["offers", "shelf", "boards"])
def test_a_cell_that_is_the_name_of_a_board_of_another_table_is_that_board(folder, table):
    tables = {
        "offers": f'{OFFERS}\nnook,"Sage / ivory",31,41,7.40\n',
        "shelf": 'label,board,width,height\nA,"Sage / ivory",31,41\n',
        "boards": 'board\n"Sage / ivory"\n',
    }
    others = {"offers": f"{OFFERS}\nnook,any,31,41,7.40\n"} | {table: tables[table]}
    job = read_job(folder(pieces=f'{PIECES}\nfern,11,17,"sage/ivory, rust"\n', **others))
    assert job.pieces[0].boards == ("Sage / ivory", "rust")
    assert len(job.warnings) == 1  # rust may be one board with what stands before it, as no table names it


def test_a_cell_whose_parts_no_table_names_is_said(folder):
    rows = 'fern,11,17,"sage, ivory"\nmoss,11,17,"Sage,  ivory"\nreed,11,17,sage or rust\n'
    job = read_job(folder(pieces=f"{PIECES}\n{rows}", offers=f"{OFFERS}\nnook,any,31,41,7.40\nnook,sage,31,41,7\n"))
    assert [piece.boards for piece in job.pieces] == [("sage", "ivory"), ("sage", "ivory"), ("sage", "rust")]
    (warning,) = job.warnings
    assert warning == (
        "pieces, row 2, boards: 'sage, ivory' is read as sage or ivory, though no other table names ivory. "
        "If it is one board, give it a row of its own in the table boards. The same stands in 1 more cell."
    )


@pytest.mark.parametrize("cell", ["0,5 mm grey", "50/50 rag"])
def test_a_sign_between_digits_sets_no_boards_apart(folder, cell):
    job = read_job(folder(pieces=f'{PIECES}\nfern,11,17,"{cell}"\n', offers=f"{OFFERS}\nnook,any,31,41,7.40\n"))
    assert job.pieces[0].boards == (cell,)
    assert job.warnings == ()


@pytest.mark.parametrize(
    ("cell", "said"), [(",sage", "the sign ','"), ("sage /", "the sign '/'"), ("sage or", "the word 'or'")]
)
def test_a_board_that_is_missing_beside_a_sign(folder, cell, said):
    assert faults(folder(pieces=f'{PIECES}\nfern,11,17,"{cell}"\n')) == [
        (
            f"pieces, row 2, boards: {cell!r} has {said} with a board missing beside it."
            " Write the missing board too, or what is there without it: 'sage'."
        )
    ]
