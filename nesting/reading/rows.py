"""From a row of a table to what it asks for: the rules between the columns of one row."""

from collections.abc import Sequence
from fractions import Fraction

from nesting.errors import Fault
from nesting.geometry import ExactSize, Size
from nesting.lengths import round_down, round_up
from nesting.model.job import Bench, Board, Offer, Piece, ShelfKind, ShelfPiece, Shop, Unit, When
from nesting.reading.alternatives import BoardNames
from nesting.reading.columns import ANY, BENCH, plain_key
from nesting.reading.fields import Row
from nesting.reading.headings import nearest
from nesting.reading.tables import Cell
from nesting.spelling import Spellings, fold

__all__ = ["bench_of", "board_of", "offer_of", "piece_of", "sheet_of", "shelf_piece_of", "shop_of"]

_AXES = ("width", "height")
_STAND_IN_INSIDE = ExactSize(Fraction(1), Fraction(1))

_Sides = tuple[Fraction | None, Fraction | None]


def bench_of(rows: Sequence[Row], faults: list[Fault]) -> Bench:
    """Return the settings of the bench, from the rows of its table and what is usual for the rest."""
    cells = _settings(rows)
    columns = {column.heading: column for column in BENCH}
    unit = Unit(Row("bench", 1, columns, cells, unit=Unit.IN, faults=faults).choice("unit"))
    row = Row("bench", 1, columns, cells, unit=unit, faults=faults)
    allowance, clearance = row.length("allowance"), row.maybe_length("glass clearance")
    return Bench(
        unit=unit,
        ruler=_ruler(row),
        allowance=allowance,
        overlap=row.length("overlap"),
        trim=round_up(row.length("trim"), 1),
        kerf=round_up(row.length("kerf"), 1),
        squaring=round_up(row.length("squaring"), 1),
        keep_at_least=row.size("keep at least"),
        longest_cut=row.maybe_length("longest cut"),
        guide_reach=row.maybe_length("guide reach"),
        overcut=row.length("overcut"),
        lip=row.length("lip"),
        glass_clearance=allowance if clearance is None else clearance,
        use_fallout=row.choice("use fallout") == "yes",
        room_for_sheets=row.maybe_count("room for sheets"),
        currency=row.text("currency") or "",
        cutter_cost=row.maybe_money("cutter cost"),
        border_notes=row.choice("border notes") == "yes",
    )


def _settings(rows: Sequence[Row]) -> dict[str, Cell]:
    """Find the value of each setting; an unknown name and a name used twice are faults."""
    known = {plain_key(column.heading): column.heading for column in BENCH}
    cells: dict[str, Cell] = {}
    for row in rows:
        written = row.name("name")
        setting = known.get(plain_key(written))
        if not written:
            continue
        if setting is None:
            row.fault("name", "is not a setting of the bench", nearest(written, known.values()))
        elif setting in cells:
            row.fault("name", f"is in row {cells[setting].row} already", "Keep one row of this name")
        else:
            cells[setting] = row.cell("value")
    return cells


def _ruler(row: Row) -> int:
    """Ticks between the marks of the ruler, which must be whole."""
    ruler = row.length("ruler")
    if row.is_sound and ruler.denominator != 1:
        row.fault(
            "ruler",
            "is no graduation that lengths can be rounded to exactly",
            "Write a binary fraction of the inch down to 1/128 in, or a multiple of 0.025 mm",
        )
    return max(1, round_down(ruler, 1))


def piece_of(row: Row, bench: Bench, spellings: BoardNames) -> Piece:
    """Return the framed piece that a row asks for; what the row leaves open is the bench's to say."""
    overlap, allowance = row.maybe_length("overlap"), row.maybe_length("allowance")
    overlap = bench.overlap if overlap is None else overlap
    inside, picture, show = row.sides("inside"), row.sides("picture"), row.sides("show")
    piece = Piece(
        name=row.name("piece"),
        row=row.number,
        quantity=row.count("quantity"),
        group=row.text("group"),
        inside=_both(inside) or _STAND_IN_INSIDE,
        picture=_both(picture),
        shown=_shown(row, show, picture, overlap),
        overlap=overlap,
        bottom_extra=row.length("bottom extra"),
        allowance=bench.allowance if allowance is None else allowance,
        across=row.count("across"),
        down=row.count("down"),
        gap=row.length("gap"),
        boards=row.boards("boards", spellings),
        under_boards=row.boards("under boards", spellings),
        reveal=row.length("reveal"),
        under_inset=row.length("under inset"),
        backing=row.boards("backing", spellings),
        moulding_width=row.maybe_length("moulding width"),
        when=When(row.choice("when")),
        priority=row.maybe_count("priority"),
        frame_cost=row.money("frame cost"),
        other_cost=row.money("other cost"),
        quote=row.maybe_money("quote"),
        notes=row.notes(),
        board_cells=(_address(row, "boards"), _address(row, "under boards"), _address(row, "backing")),
    )
    if piece.shown is None and row.is_sound and (piece.across, piece.down) != (1, 1):
        row.fault(
            "across" if piece.across > 1 else "down",
            "asks for several windows, but there is no picture to cut a window for",
            "Write the size of the picture, or leave across and down empty",
        )
    return piece


def _address(row: Row, heading: str) -> str:
    return row.cell(heading).address or ""


def _both(sides: _Sides) -> ExactSize | None:
    """Make a size of two sides, or nothing where one is left out."""
    width, height = sides
    return None if width is None or height is None else ExactSize(width, height)


def _shown(row: Row, show: _Sides, picture: _Sides, overlap: Fraction) -> ExactSize | None:
    """Work out the part of the picture to be seen; None for a blank without a window."""
    axes = tuple(zip(_AXES, show, picture, strict=True))
    missing = [axis for axis, shown, pictured in axes if shown is None and pictured is None]
    if len(missing) == 1:
        what = "picture" if any(side is not None for side in picture) else "show"
        row.fault(
            f"{what} {missing[0]}",
            "is empty though the other side is given",
            "Write both the width and the height, or neither",
        )
    if missing or not row.is_sound:
        return None
    return _both((_seen(row, axes[0], overlap), _seen(row, axes[1], overlap)))


def _seen(row: Row, side: tuple[str, Fraction | None, Fraction | None], overlap: Fraction) -> Fraction | None:
    """Work out one side of what is to be seen, as written or the picture less its overlap; it cannot be nothing."""
    axis, show, picture = side
    if show is not None or picture is None:
        return show
    if picture <= 2 * overlap:
        row.fault(
            f"picture {axis}",
            "is no more than the overlap on both sides, so nothing of it would be seen",
            f"Write a larger picture {axis} or a smaller overlap",
        )
    return picture - 2 * overlap


def offer_of(row: Row, number: int, bench: Bench, shops: Spellings, boards: Spellings) -> Offer:
    """Return the offer of a row, the `number`-th of its table."""
    board = row.name("board")
    offer = Offer(
        number=number,
        shop=_spell(shops, row.name("shop")),
        board=None if fold(board) == ANY else _spell(boards, board),
        sheet=sheet_of(row, "sheet"),
        price=row.money("price"),
        discount=row.percent("discount"),
        at_most=row.maybe_count("at most"),
        at_least=row.maybe_count("at least"),
        pack_of=row.count("pack of"),
        row=row.number,
    )
    if row.is_sound:
        _refuse_what_trim_eats(row, offer.sheet, bench, ("sheet width", "sheet height"))
        _refuse_limits(row, offer)
    return offer


def _refuse_limits(row: Row, offer: Offer) -> None:
    """Note limits that no number of sheets can meet."""
    if not offer.at_most:  # no limit, or sold out
        return
    least = offer.at_least or 1
    if least > offer.at_most:
        row.fault("at least", f"is more than at most, {offer.at_most}", "Write at least no larger than at most")
    elif offer.pack_of > offer.at_most:
        row.fault("pack of", f"is more than at most, {offer.at_most}", "Write a pack no larger than at most")
    elif -(-least // offer.pack_of) * offer.pack_of > offer.at_most:
        row.fault(
            "pack of",
            f"makes no number of sheets from at least {least} to at most {offer.at_most}",
            "Write limits between which a whole number of packs lies",
        )


def _refuse_what_trim_eats(row: Row, sheet: Size, bench: Bench, headings: tuple[str, str]) -> None:
    """Note sides of a sheet of which trimming leaves nothing."""
    for heading, side in zip(headings, sheet, strict=True):
        if side <= 2 * bench.trim:
            row.fault(heading, "is no more than the trim on both edges", "Write a larger sheet or a smaller trim")


def sheet_of(row: Row, what: str = "") -> Size:
    """Read the size of what is held or bought: down to the tick, so that nothing is cut from what is not there."""
    width, height = _both(row.sides(what)) or _STAND_IN_INSIDE
    return Size(round_down(width, 1), round_down(height, 1))


def _spell(spellings: Spellings, name: str) -> str:
    """Spell a name as at first; the stand-in for a missing one is no name."""
    return spellings.spell(name) if name else name


def shop_of(row: Row, shops: Spellings) -> Shop:
    """Return what a shop charges beside its prices."""
    return Shop(
        _spell(shops, row.name("shop")), row.money("delivery"), row.maybe_money("free over"), row.percent("tax")
    )


def shelf_piece_of(row: Row, bench: Bench, boards: Spellings) -> ShelfPiece:
    """Return the pieces of board held that a row lists."""
    piece = ShelfPiece(
        label=row.name("label"),
        board=_own_name(row, boards),
        size=sheet_of(row),
        quantity=row.count("quantity"),
        kind=ShelfKind(row.choice("kind")),
    )
    if row.is_sound and piece.kind is ShelfKind.SHEET:
        _refuse_what_trim_eats(row, piece.size, bench, ("width", "height"))
    return piece


def board_of(row: Row, boards: Spellings) -> Board:
    """Return what a row says about a board."""
    return Board(_own_name(row, boards), row.swatch("swatch"), row.length("thickness"), row.choice("turn") == "yes")


def _own_name(row: Row, boards: Spellings) -> str:
    """Read the name of one board where ``any`` would mean nothing."""
    name = row.name("board")
    if fold(name) == ANY:
        row.fault("board", "names no board: any stands only in the table offers", "Name the board")
    return _spell(boards, name)
