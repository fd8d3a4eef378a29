"""A small sound plan made by hand, in which every rule has something to say."""

from decimal import Decimal
from fractions import Fraction

from nesting.costing import Nested, cost_pieces, summarise
from nesting.geometry import Point, Size
from nesting.job import When
from nesting.packing.status import SolveStatus
from nesting.packing.tree import Cut, Offcut, Placed, Way
from nesting.planned import (
    Borders,
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    Line,
    Mat,
    OffcutLeft,
    PlacedMat,
    Plan,
    Purchase,
    Window,
)
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop

JOB = make_job(
    make_piece(
        "Fern",
        (101, 73),
        (71, 37),
        quantity=2,
        group="hall",
        boards=("sage", "ivory"),
        frame_cost=400,
        other_cost=150,
        quote=1800,
    ),
    make_piece("Map", (53, 25), row=3),
    make_piece(
        "Moss",
        (67, 47),
        (41, 19),
        row=4,
        bottom_extra=Fraction(2),
        boards=("sage", "ivory"),
        under_boards=("oat",),
        backing=("oat",),
        quote=2900,
    ),
    make_piece("Bell", (19, 13), row=5, boards=("ivory",), when=When.LATER),
    offers=(
        make_offer(1, "Alder", "sage", 740, discount=Decimal(40), at_most=3),
        make_offer(2, "Alder", None, 1299, sheet=Size(127, 109), discount=Decimal(25), at_least=2),
        make_offer(3, "Birch", "oat", 610, sheet=Size(131, 113), pack_of=2),
    ),
    shops=(
        make_shop("Alder", delivery=500, free_over=5000, tax="8.25"),
        make_shop("Birch", delivery=300, tax="5"),
    ),
    shelf=(make_shelf("ledge", "oat", (97, 59)),),
    boards=(make_board("sage"), make_board("ivory", turn=False), make_board("oat")),
    bench=make_bench(longest_cut=Fraction(191), room_for_sheets=2, cutter_cost=9000),
)


def _mat(name, of, boards, blank, *, borders=None, window=None):
    piece, copy, layer = of
    windows = () if window is None else (Window(Point(borders[0], borders[3]), Size(*window)),)
    return Mat(name, piece, copy, layer, boards, Size(*blank), None if borders is None else Borders(*borders), windows)


# Fern: sides (101 - 71) / 2 = 15, top and bottom (73 - 37) / 2 = 18.
# Moss: mat window 41 + 6 by 19 + 6, sides (67 - 47) / 2 = 10, top (47 - 25 - 2) / 2 = 10, bottom 12;
# under-mat sides (67 - 41) / 2 = 13, top (47 - 19 - 2) / 2 = 13, bottom 15.
MATS = (
    PlacedMat(
        _mat("M1", ("Fern", 1, 0), ("sage", "ivory"), (101, 73), borders=(15, 15, 18, 18), window=(71, 37)),
        "sage",
        "S1",
        False,
    ),
    PlacedMat(
        _mat("M2", ("Fern", 2, 0), ("sage", "ivory"), (101, 73), borders=(15, 15, 18, 18), window=(71, 37)),
        "sage",
        "S1",
        True,
    ),
    PlacedMat(_mat("M3", ("Map", 1, 0), ("sage",), (53, 25)), "sage", "S5", False),
    PlacedMat(
        _mat("M4", ("Moss", 1, 0), ("sage", "ivory"), (67, 47), borders=(10, 10, 10, 12), window=(47, 25)),
        "ivory",
        "S2",
        False,
    ),
    PlacedMat(
        _mat("M5", ("Moss", 1, 1), ("oat",), (67, 47), borders=(13, 13, 13, 15), window=(41, 19)), "oat", "S3", False
    ),
    PlacedMat(_mat("M6", ("Moss", 1, 2), ("oat",), (67, 47)), "oat", "S4", False),
)


def _cut(way, at, size, *parts):
    return Cut(Point(*at), Size(*size), way, parts)


def _item(at, size, item):
    return Placed(Point(*at), Size(*size), item)


def _offcut(at, size):
    return Offcut(Point(*at), Size(*size))


def upright(*args):
    return _cut(Way.UPRIGHT, *args)


def level(*args):
    return _cut(Way.LEVEL, *args)


# 217 x 161 once trimmed by 3: columns of 101 and 73 with a kerf of 2 after each leave 39.
S1 = CutSheet(
    "S1",
    "sage",
    Bought(1),
    Size(223, 167),
    upright(
        (3, 3),
        (217, 161),
        level((3, 3), (101, 161), _item((3, 3), (101, 73), 0), _offcut((3, 78), (101, 86))),
        level((106, 3), (73, 161), _item((106, 3), (73, 101), 1), _offcut((106, 106), (73, 58))),
        _offcut((181, 3), (39, 161)),
    ),
)
S2 = CutSheet(
    "S2",
    "ivory",
    Bought(2),
    Size(127, 109),
    upright(
        (3, 3),
        (121, 103),
        level((3, 3), (67, 103), _item((3, 3), (67, 47), 3), _offcut((3, 52), (67, 54))),
        _offcut((72, 3), (52, 103)),
    ),
)
# An offcut from the shelf is not trimmed; the strip of 67 x 10 is too narrow to keep.
S3 = CutSheet(
    "S3",
    "oat",
    FromShelf("ledge"),
    Size(97, 59),
    upright(
        (0, 0),
        (97, 59),
        level((0, 0), (67, 59), _item((0, 0), (67, 47), 4), _offcut((0, 49), (67, 10))),
        _offcut((69, 0), (28, 59)),
    ),
)
# This sheet lies turned.
S4 = CutSheet(
    "S4",
    "oat",
    Bought(3),
    Size(113, 131),
    upright(
        (3, 3),
        (107, 125),
        level((3, 3), (67, 125), _item((3, 3), (67, 47), 5), _offcut((3, 52), (67, 76))),
        _offcut((72, 3), (38, 125)),
    ),
)
# 61 x 27 once squared by 5; the last strip of the inner cut is 2 high and goes with the kerf.
S5 = CutSheet(
    "S5",
    "sage",
    FromFallout("M1", 0),
    Size(71, 37),
    upright(
        (5, 5),
        (61, 27),
        level((5, 5), (53, 27), _item((5, 5), (53, 25), 2)),
        _offcut((60, 5), (6, 27)),
    ),
)
LEFTOVER = (
    OffcutLeft("S1", Point(3, 78), Size(101, 86), True),
    OffcutLeft("S1", Point(106, 106), Size(73, 58), True),
    OffcutLeft("S1", Point(181, 3), Size(39, 161), True),
    OffcutLeft("S2", Point(3, 52), Size(67, 54), True),
    OffcutLeft("S2", Point(72, 3), Size(52, 103), True),
    OffcutLeft("S3", Point(0, 49), Size(67, 10), False),
    OffcutLeft("S3", Point(69, 0), Size(28, 59), True),
    OffcutLeft("S4", Point(3, 52), Size(67, 76), True),
    OffcutLeft("S4", Point(72, 3), Size(38, 125), True),
    OffcutLeft("S5", Point(60, 5), Size(6, 27), False),
    FalloutLeft("M2", 0, Size(71, 37), True),  # 61 x 27 once squared
    FalloutLeft("M4", 0, Size(47, 25), True),  # 37 x 15
    FalloutLeft("M5", 0, Size(41, 19), False),  # 31 x 9, and 11 is the least
)
# Alder: 740 less 40 % is 444; 1299 less 25 % is 974.25, so 974; goods 444 + 2 x 974 = 2392, not over 5000;
# tax 8.25 % of 2392 is 197.34, so 197. Birch: goods 2 x 610 = 1220, tax 5 % is 61. In all 4670.
PURCHASE = Purchase(
    lines=(
        Line("Alder", "sage", 1, Size(223, 167), 1, 444),
        Line("Alder", "ivory", 2, Size(127, 109), 2, 974),
        Line("Birch", "oat", 3, Size(131, 113), 2, 610),
    ),
    delivery={"Alder": 500, "Birch": 300},
    tax={"Alder": 197, "Birch": 61},
    lower_bound=4444,
)


def nested_by_hand():
    return Nested(JOB, MATS, (S1, S2, S3, S4, S5), LEFTOVER, PURCHASE)


def sound_plan():
    nested = nested_by_hand()
    pieces, credit = cost_pieces(nested)
    return Plan(
        job=JOB,
        when=When.NOW,
        mats=nested.mats,
        sheets=nested.sheets,
        leftover=nested.leftover,
        purchase=nested.purchase,
        pieces=pieces,
        summary=summarise(nested, pieces, credit),
        status=SolveStatus.LIMIT_REACHED,
        proof="not proven",
        seconds=1.0,
        seed=7,
    )
