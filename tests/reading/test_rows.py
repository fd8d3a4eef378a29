import pytest

from nesting.reading.job import read_job
from tests.jobs import OFFERS, PIECES, faults

ALL_BENCH = (
    "unit, ruler, allowance, overlap, trim, kerf, squaring, keep at least, longest cut, guide reach, overcut, lip, "
    "glass clearance, use fallout, room for sheets, currency, border notes, cutter cost"
)


def one(folder, table, headings, row):
    (fault,) = faults(folder(**{table: f"{headings}\n{row}\n"}))
    return fault


@pytest.mark.parametrize(
    ("heading", "value", "message"),
    [
        ("quantity", "0", "is not a whole number from 1 to 999999. Write a whole number, such as 2."),
        ("quantity", "2.5", "is not a whole number from 1 to 999999. Write a whole number, such as 2."),
        ("quantity", "two", "is not a whole number from 1 to 999999. Write a whole number, such as 2."),
        ("down", "1000000", "is not a whole number from 1 to 999999. Write a whole number, such as 2."),
        ("overlap", "wide", "is not a length. Write it like 11 1/4, 11.25, 1 ft 3 in or 285 mm."),
        ("gap", "-1", "must be 0 or more. Take the minus sign away, or leave the cell empty."),
        ("reveal", "50%", ("has '%' after the number, which is no unit that boards are measured in. "
         "Write in, ft, mm, cm or m after the number, or nothing for the job's own unit.")),
        (
            "backing",
            "kraft or",
            ("has the word 'or' with a board missing beside it. Write the missing board too, or what is there without"
            " it: 'kraft'."),
        ),
        (
            "backing",
            "ink or or ivory",
            ("has the word 'or' with a board missing beside it. Write the missing board too, or what is there without"
            " it: 'ink or ivory'."),
        ),
        (
            "backing",
            ";",
            ("has the sign ';' with a board missing beside it. Write one board, such as 'sage', or several, such as"
            " 'sage or ivory'."),
        ),
        ("under boards", "Any", ("names no board: any stands only in the table offers. "
         "Write one board, such as 'sage', or several, such as 'sage or ivory'.")),
        ("when", "latter", "is not one of now, later. Did you mean later? Then write that."),
        ("when", "xyz", "is not one of now, later. Write one of: now, later."),
        ("frame cost", "cheap", ("is not a sum of money. "
         "Write a sum such as 12.50, with or without its currency.")),
        ("group", "#REF!", "is an error of a spreadsheet's formula. Mend the formula, or write the value itself."),
        ("gap", "3-Aug", ("looks like a date: a spreadsheet turned the fraction into a date. "
         "Format the column as Text, then write the length again, such as 8 3/8.")),
        ("down", "2", ("asks for several windows, but there is no picture to cut a window for. "
         "Write the size of the picture, or leave across and down empty.")),
    ],
)  # fmt: skip
def test_faults_of_a_piece(folder, heading, value, message):
    fault = one(folder, "pieces", f"{PIECES},{heading}", f"fern,11,17,sage,{value}")
    assert fault == f"pieces, row 2, {heading}: {value!r} {message}"


def test_an_inside_size_of_nothing(folder):
    assert one(folder, "pieces", PIECES, "fern,11,0 mm,sage") == (
        "pieces, row 2, inside height: '0 mm' must be more than 0. Write a length such as 11 1/4 or 285 mm."
    )


@pytest.mark.parametrize(
    ("given", "missing"),
    [("picture width", "picture height"), ("picture height", "picture width"), ("show height", "show width")],
)
def test_a_side_without_the_other(folder, given, missing):
    assert one(folder, "pieces", f"{PIECES},{given}", "fern,11,17,sage,5") == (
        f"pieces, row 2, {missing}: is empty though the other side is given. "
        "Write both the width and the height, or neither."
    )


def test_a_picture_that_its_overlap_hides(folder):
    row = "fern,11,17,sage,5,1,1/2"
    assert one(folder, "pieces", f"{PIECES},picture width,picture height,overlap", row) == (
        "pieces, row 2, picture height: '1' is no more than the overlap on both sides, so nothing of it would be seen. "
        "Write a larger picture height or a smaller overlap."
    )


@pytest.mark.parametrize(
    ("row", "heading", "message"),
    [
        ("nook,sage,31,41,7,101,,,", "discount", ("'101' is more than 100 per cent. "
         "Write a number from 0 to 100, such as 50 or 50%.")),
        ("nook,sage,31,41,7,,-1,,", "at most", ("'-1' is not a whole number from 0 to 999999. "
         "Write a whole number, such as 2.")),
        ("nook,sage,31,41,7,,3,5,", "at least", "'5' is more than at most, 3. Write at least no larger than at most."),
        ("nook,sage,31,41,7,,3,,5", "pack of", "'5' is more than at most, 3. Write a pack no larger than at most."),
        ("nook,sage,31,41,7,,13,11,5", "pack of", ("'5' makes no number of sheets from at least 11 to at most 13. "
         "Write limits between which a whole number of packs lies.")),
        ("nook,,31,41,7,,,,", "board", ("is empty. "
         "Write here: the board, or any for all that the shop has no row of its own for.")),
        ("nook,sage,31,0.0001 mm,7,,,,", "sheet height", ("'0.0001 mm' must be more than 0. "
         "Write a length such as 11 1/4 or 285 mm.")),
    ],
)  # fmt: skip
def test_faults_of_an_offer(folder, row, heading, message):
    fault = one(folder, "offers", f"{OFFERS},discount,at most,at least,pack of", row)
    given = "" if message.startswith("is empty") else " "
    assert fault == f"offers, row 2, {heading}:{given or ' '}{message}"


def test_sheets_that_trim_eats(folder):
    path = folder(
        bench="name,value\ntrim,5\n",
        offers=f"{OFFERS}\nnook,sage,31,10,7\n",
        shelf="label,board,width,height,kind\nL1,sage,10,41,sheet\nL2,sage,10,41,offcut\n",
    )
    message = "'10' is no more than the trim on both edges. Write a larger sheet or a smaller trim."
    assert faults(path) == [f"offers, row 2, sheet height: {message}", f"shelf, row 2, width: {message}"]


@pytest.mark.parametrize(
    ("table", "text", "heading", "given"),
    [
        ("pieces", f"{PIECES}\nfern,11,17,sage\nmoss,5,7,sage\n FERN,5,7,sage\n", "piece", "FERN"),
        ("shops", "shop,tax\nnook,5\nNook,7\n", "shop", "Nook"),
        ("shelf", "label,board,width,height\nL1,sage,5,7\n\nl1,sage,5,7\n", "label", "l1"),
        ("boards", "board,turn\nink,no\nINK,yes\n", "board", "INK"),
    ],
)
def test_names_that_stand_once(folder, table, text, heading, given):
    row = len(text.strip().split("\n"))
    assert faults(folder(**{table: text})) == [
        f"{table}, row {row}, {heading}: {given!r} is in row 2 already. Give each row a name of its own."
    ]


@pytest.mark.parametrize("table", ["shelf", "boards"])
def test_any_is_no_board(folder, table):
    text = {"shelf": "label,board,width,height\nL1,any,5,7\n", "boards": "board,turn\nany,no\n"}[table]
    assert faults(folder(**{table: text})) == [
        f"{table}, row 2, board: 'any' names no board: any stands only in the table offers. Name the board."
    ]


def test_swatch_and_turn(folder):
    assert faults(folder(boards="board,swatch,turn\nsage,greenish,maybe\n")) == [
        (
            "boards, row 2, swatch: 'greenish' is not a colour. Write a plain colour word such as green, or # and six "
            "digits or letters from a to f, such as #8fa58c."
        ),
        "boards, row 2, turn: 'maybe' is not one of yes, no. Write one of: yes, no.",
    ]


@pytest.mark.parametrize(
    ("word", "colour"),
    [
        ("green", "#008000"),
        ("Light Gray", "#d3d3d3"),
        ("darkred", "#8b0000"),
        ("cream", "#fffdd0"),
        ("#AbCdEf", "#abcdef"),
    ],
)
def test_a_swatch_by_a_colour_word(folder, word, colour):
    assert read_job(folder(boards=f"board,swatch\nsage,{word}\n")).board("sage").swatch == colour


def test_faults_of_the_bench(folder):
    bench = "name,value\nunit,feet\nruller,1\nzzz,1\nkerf,1/4\nKerf,1/8\n"
    bench += ",7\nruler,1/3\nroom for sheets,-1\nkeep at least,1x2x3\n"
    assert faults(folder(bench=bench)) == [
        "bench, row 2, unit: 'feet' is not one of in, mm, cm. Write one of: in, mm, cm.",
        "bench, row 3, name: 'ruller' is not a setting of the bench. Did you mean ruler? Then write that.",
        f"bench, row 4, name: 'zzz' is not a setting of the bench. Write one of: {ALL_BENCH}.",
        "bench, row 6, name: 'Kerf' is in row 5 already. Keep one row of this name.",
        "bench, row 7, name: is empty. Write here: which setting.",
        (
            "bench, row 8, ruler: '1/3' is no graduation that lengths can be rounded to exactly. "
            "Write a binary fraction of the inch down to 1/128 in, or a multiple of 0.025 mm."
        ),
        "bench, row 9, room for sheets: '-1' is not a whole number from 0 to 999999. Write a whole number, such as 2.",
        (
            "bench, row 10, keep at least: '1x2x3' has more than two lengths. "
            "Write a width and a height, such as 4 x 6 in."
        ),
    ]


def test_faults_of_all_tables_are_told_at_once_in_their_order(folder):
    path = folder(
        pieces=f"{PIECES}\nfern,11,x,sage\nmoss,y,17,\n",
        offers=f"{OFFERS}\nnook,sage,31,41,z\n",
        shelf="label,board,width,height\nL1,sage,w,7\n",
        bench="name,value\ntrim,v\n",
    )
    assert [fault.partition(":")[0] for fault in faults(path)] == [
        "pieces, row 2, inside height",
        "pieces, row 3, inside width",
        "pieces, row 3, boards",
        "offers, row 2, price",
        "shelf, row 2, width",
        "bench, row 2, trim",
    ]
