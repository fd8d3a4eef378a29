"""From a job and its mats to what the solver is asked: boards, offers and shops by number, sizes less what is lost."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction
from itertools import groupby
from math import floor

from nesting.errors import Obstacle
from nesting.geometry import Size
from nesting.lengths import format_length
from nesting.model.job import Job, ShelfKind, ShelfPiece
from nesting.model.mat import Mat
from nesting.offers import sells, unit_price
from nesting.options import Options
from nesting.packing.instance import Copy, Held, Instance, Lot, Priced, Short, Till
from nesting.sizing import fallout_size
from nesting.spelling import fold

__all__ = ["narrowed", "obstacles", "pose", "shelf_edge", "within_reach"]


def shelf_edge(job: Job, piece: ShelfPiece) -> int:
    """Return how much is trimmed off each edge of a shelf piece: only a whole sheet has its factory edges."""
    return job.bench.trim if piece.kind is ShelfKind.SHEET else 0


def pose(job: Job, mats: Sequence[Mat], *, optional: bool = False) -> Instance:
    """Return the instance that a job and its mats make.

    Parameters
    ----------
    job : Job
        Its discounts already in its offers.
    mats : sequence of Mat
        What is to be cut; item i of the instance is mat i.
    optional : bool
        Whether copies may be left out, the last of a piece first.

    Returns
    -------
    Instance
        Boards in the order of ``job.boards``, offers and tills in the order of their tables, one lot for each layer of
        each piece, all of whose copies take the same board. Optional copies have lots of their own and are in the order
        of the pieces and their copies.
    """
    bench, names = job.bench, [board.name for board in job.boards]
    number = {name: place for place, name in enumerate(names)}
    tills = {shop.name: place for place, shop in enumerate(job.shops)}
    lots = tuple(_lots(job, mats, number, by_copy=optional))
    return Instance(
        kerf=bench.kerf,
        longest=None if bench.longest_cut is None else floor(bench.longest_cut),
        turn=tuple(board.turn for board in job.boards),
        lots=lots,
        held=tuple(
            Held(number[piece.board], piece.size.inset(shelf_edge(job, piece)), piece.quantity) for piece in job.shelf
        ),
        offers=tuple(
            Priced(
                size=offer.sheet.inset(bench.trim),
                boards=tuple(place for place, name in enumerate(names) if sells(job, offer, name)),
                price=unit_price(offer),
                till=tills[offer.shop],
                at_most=offer.at_most or None,  # what is sold out has no boards
                at_least=offer.at_least or 1,
                pack=offer.pack_of,
            )
            for offer in job.offers
        ),
        tills=tuple(Till(shop.delivery, shop.free_over, Fraction(shop.tax) / 100) for shop in job.shops),
        room=bench.room_for_sheets,
        optional=tuple(_copies(mats, lots)) if optional else (),
    )


def _lots(job: Job, mats: Sequence[Mat], number: dict[str, int], *, by_copy: bool) -> Iterator[Lot]:
    bench = job.bench

    def key(item: int) -> tuple[str, int, int]:
        mat = mats[item]
        return mat.piece, mat.copy if by_copy else 0, mat.layer

    pieces = {name: number for number, name in enumerate(dict.fromkeys(key(item)[:2] for item in range(len(mats))))}
    for _, group in groupby(sorted(range(len(mats)), key=key), key=key):
        items = tuple(group)
        mat = mats[items[0]]
        fallen = tuple(fallout_size(window, bench.squaring) for window in mat.windows) if bench.use_fallout else ()
        yield Lot(
            mat.blank, items, tuple(dict.fromkeys(number[b] for b in mat.boards)), fallen, pieces[key(items[0])[:2]]
        )


def _copies(mats: Sequence[Mat], lots: Sequence[Lot]) -> Iterator[Copy]:
    """Yield each copy of each piece with its lots, after the copy before it."""
    its: dict[tuple[str, int], list[int]] = defaultdict(list)
    for place, lot in enumerate(lots):
        mat = mats[lot.items[0]]
        its[mat.piece, mat.copy].append(place)
    places = {key: place for place, key in enumerate(its)}
    for (piece, copy), layers in its.items():
        yield Copy(tuple(layers), places.get((piece, copy - 1)))


def narrowed(instance: Instance, job: Job, options: Options) -> Instance:
    """Return the instance with what the options leave of its offers and boards, and what may be spent.

    Parameters
    ----------
    instance, job : Instance, Job
        As `pose` returns and takes them.
    options : Options
        Its shops and boards in the job's spelling.

    Returns
    -------
    Instance
        The offers keep their numbers; one from which nothing may be bought has no boards.
    """
    tills = {shop.name: number for number, shop in enumerate(job.shops)}
    names = {board.name: number for number, board in enumerate(job.boards)}
    shorts = tuple(
        Short(names[its.board], frozenset(tills.values() if its.shop is None else {tills[its.shop]}), its.sheets)
        for its in options.left
    )
    open_to = {tills[shop] for shop in options.shops} or set(tills.values())
    if options.sheets == 0:
        open_to = set()

    def still(offer: Priced) -> tuple[int, ...]:
        if offer.till not in open_to:
            return ()
        short = {its.board for its in shorts if offer.till in its.tills and its.left < _fewest(offer)}
        return tuple(board for board in offer.boards if board not in short)

    lots = instance.lots
    if options.liked_best:
        lots = tuple(replace(lot, boards=lot.boards[:1]) for lot in lots)
    return replace(
        instance,
        lots=lots,
        offers=tuple(replace(offer, boards=still(offer)) for offer in instance.offers),
        shorts=shorts,
        budget=options.budget,
        most=options.sheets,
    )


def _fewest(offer: Priced) -> int:
    """Return how many sheets of one board are bought from an offer at least, if any are."""
    return offer.pack if len(offer.boards) > 1 else max(offer.pack, offer.at_least)


def obstacles(job: Job, mats: Sequence[Mat], instance: Instance) -> tuple[Obstacle, ...]:
    """Return each mat that no stock of its boards can hold, why, and what would mend it.

    Parameters
    ----------
    job, mats, instance : Job, sequence of Mat, Instance
        As `pose` takes and returns them, or with what `narrowed` leaves.

    Returns
    -------
    tuple of Obstacle
        One for each layer of a piece, in the order of the pieces; empty where every blank fits something.
    """
    reach = _reach(instance)
    spaces = _spaces(instance, reach)
    hopeless = [lot for lot, boards in zip(instance.lots, reach, strict=True) if not boards]
    return tuple(
        _obstacle(job, mats[lot.items[0]], instance, lot, {board: spaces[board] for board in lot.boards})
        for lot in sorted(hopeless, key=lambda lot: lot.items[0])
    )


def within_reach(instance: Instance) -> Instance:
    """Return the instance with only those boards for each lot of which something sold, held or fallen out takes it.

    Parameters
    ----------
    instance : Instance
        One in which nothing stands in the way of any lot (`obstacles`).

    Returns
    -------
    Instance
        The same lots, each with one board or more.
    """
    reach = _reach(instance)
    lots = (
        replace(lot, boards=boards, ranks=tuple(lot.rank(board) for board in boards))
        for lot, boards in zip(instance.lots, reach, strict=True)
    )
    return replace(instance, lots=tuple(lots))


def _reach(instance: Instance) -> list[tuple[int, ...]]:
    """Return for each lot those of its boards of which something takes it, none where it cannot be cut.

    A fallout is stock of a board only as long as its own lot can have that board, so a board that a lot loses may take
    another lot's last stock of it: boards are taken away until nothing changes. A fallout takes only what is smaller
    than the mat that it drops out of, so no two lots can serve each other.
    """
    reach = [lot.boards for lot in instance.lots]
    while True:
        spaces = _spaces(instance, reach)
        left = [
            tuple(board for board in boards if instance.fits(lot.size, board, spaces[board]))
            for lot, boards in zip(instance.lots, reach, strict=True)
        ]
        if left == reach:
            return reach
        reach = left


def _spaces(instance: Instance, reach: Sequence[Sequence[int]]) -> list[list[Size]]:
    """Return for each board the sizes that are sold, held, or fall out of the lots that can have it."""
    spaces = [dict.fromkeys(sizes) for sizes in instance.sizes]
    for held in instance.held:
        spaces[held.board][held.size] = None
    for lot, boards in zip(instance.lots, reach, strict=True):
        for board in boards:
            spaces[board].update(dict.fromkeys(lot.fallouts))
    return [list(its) for its in spaces]


def _obstacle(job: Job, mat: Mat, instance: Instance, lot: Lot, spaces: dict[int, list[Size]]) -> Obstacle:
    names = " or ".join(job.boards[board].name for board in lot.boards)
    piece = next(piece for piece in job.pieces if piece.name == mat.piece)
    layer = "mat" if mat.layer == 0 else "under-mat" if mat.layer == 1 and piece.under_boards else "backing"
    place = piece.row, piece.board_cells[("mat", "under-mat", "backing").index(layer)]
    larger = [space for its in spaces.values() for space in its]
    if not larger:
        return _none_to_be_had(job, mat, lot, f"{names} for its {layer}", place)
    largest = max(larger, key=lambda size: size.area)
    if any(_holds(instance, board, space, lot) for board, its in spaces.items() for space in its):
        return Obstacle(
            mat.piece,
            f"its {layer}, {_said(job, mat.blank)}, fits on a sheet of {names}, but only a cut longer than the longest"
            " cut frees it",
            "Raise the longest cut in the bench table, offer another sheet, or let this mat be cut elsewhere",
            *place,
        )
    return Obstacle(
        mat.piece,
        f"its {layer}, {_said(job, mat.blank)}, is larger than every sheet and leftover of {names}; the largest is"
        f" {_said(job, largest)}{' once trimmed' if job.bench.trim else ''}",
        "Correct its inside width and height if they are wrong. If they are right, write a larger sheet into the"
        " offers, name another board, or have this mat cut elsewhere",
        *place,
    )


def _none_to_be_had(job: Job, mat: Mat, lot: Lot, what: str, place: tuple[int, str]) -> Obstacle:
    """Say that nothing is sold or held of a lot's boards, or that what is asked leaves nothing of them to be bought."""
    names = [job.boards[board].name for board in lot.boards]
    if any(sells(job, offer, name) for offer in job.offers for name in names):
        return Obstacle(
            mat.piece,
            f"no {what} is left to be bought at the shops asked for, and the shelf holds none",
            "Allow another shop or more sheets, or name another board in the pieces table",
            *place,
        )
    near = list(dict.fromkeys(filter(None, (_nearest_had(job, name) for name in names))))
    meant = f"If you mean {' or '.join(near)}, write that; otherwise write" if near else "Write"
    return Obstacle(
        mat.piece,
        f"nobody sells {what}, and the shelf holds none",
        f"{meant} an offer or a shelf piece for {' or '.join(names)}, or name another board",
        *place,
    )


def _nearest_had(job: Job, board: str) -> str | None:
    """Return the board sold or held by name that is spelt most like one that is neither."""
    had = [offer.board for offer in job.offers if offer.board] + [piece.board for piece in job.shelf]
    folded = {fold(name): name for name in had}
    near = get_close_matches(fold(board), folded, n=1)
    return folded[near[0]] if near else None


def _holds(instance: Instance, board: int, space: Size, lot: Lot) -> bool:
    """Whether a blank lies within a space, whatever cuts may free it."""
    lies = (lot.size, lot.size.turned) if instance.turn[board] else (lot.size,)
    return any(lying.w <= space.w and lying.h <= space.h for lying in lies)


def _said(job: Job, size: Size) -> str:
    unit, ruler = job.bench.unit, job.bench.ruler
    return f"{format_length(size.w, unit, ruler)} x {format_length(size.h, unit, ruler)} {unit}"
