"""Names that are probably one name spelt in two ways: allowed, and worth a word."""

import difflib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from nesting.model.job import Board, Offer, Piece, ShelfPiece, Shop
from nesting.spelling import fold

__all__ = ["Lookalike", "lookalike_warnings", "lookalikes"]

_SHORTEST = 4
_CLOSE = 0.75


@dataclass(frozen=True, slots=True)
class Lookalike:
    """A name that is probably another one misspelt, and what is said of the two."""

    name: str
    near: str
    words: str


def lookalike_warnings(
    pieces: Sequence[Piece],
    offers: Sequence[Offer],
    shops: Sequence[Shop],
    shelf: Sequence[ShelfPiece],
    boards: Sequence[Board],
) -> tuple[str, ...]:
    """Return a sentence for every two names of boards or shops that look like one name misspelt, as `lookalikes`."""
    return tuple(its.words for its in lookalikes(pieces, offers, shops, shelf, boards))


def lookalikes(
    pieces: Sequence[Piece],
    offers: Sequence[Offer],
    shops: Sequence[Shop],
    shelf: Sequence[ShelfPiece],
    boards: Sequence[Board],
) -> tuple[Lookalike, ...]:
    """Return every two names of boards or shops that look like one name misspelt.

    Three kinds are told: names that differ by one letter; a board that pieces name, that is neither held nor sold and
    whose name is near to one that is; a board held that no piece names and whose name is near to one that pieces do.
    """
    pairs: list[tuple[str, str]] = []
    for pair in (
        *_slips_first(_one_letter_apart([board.name for board in boards]), pieces, offers, shelf),
        *_near_to_sold(pieces, offers, shelf),
        *_near_to_asked(pieces, offers, shelf),
    ):
        if not {pair, pair[::-1]} & set(pairs):
            pairs.append(pair)
    there = {name: _where(name, pieces, offers, shelf) for pair in pairs for name in pair}
    shop_pairs = tuple(_one_letter_apart([shop.name for shop in shops]))
    selling = {name: _selling(name, offers) for pair in shop_pairs for name in pair}
    same_board = (_same("board", there, one, other) for one, other in pairs)
    return (*same_board, *(_same("shop", selling, one, other) for one, other in shop_pairs))


def _same(what: str, there: Mapping[str, str], one: str, other: str) -> Lookalike:
    """Ask whether two names are one, each with its place."""
    first = f"{there[one]}: " if there[one] else ""
    beside = f" ({there[other]})" if there[other] else ""
    mend = f"If they are one {what}, write the same name in both places; now they count as two"
    return Lookalike(one, other, f"{first}{one!r} looks like {other!r}{beside}. {mend}")


def _slips_first(
    pairs: Iterable[tuple[str, str]], pieces: Sequence[Piece], offers: Sequence[Offer], shelf: Sequence[ShelfPiece]
) -> Iterator[tuple[str, str]]:
    """Turn the pairs whose second name is the slip: it alone is neither sold nor held, or it is the rarer one."""
    had = {offer.board for offer in offers} | {held.board for held in shelf}
    asked = Counter(board for piece in pieces for board in _asked(piece))

    def sound(name: str) -> tuple[bool, int]:
        return name in had, asked[name]

    for one, other in pairs:
        yield (other, one) if sound(one) > sound(other) else (one, other)


def _where(name: str, pieces: Sequence[Piece], offers: Sequence[Offer], shelf: Sequence[ShelfPiece]) -> str:
    """Say where a board is named first."""
    for piece in pieces:
        if name in _asked(piece):
            return f"pieces, row {piece.row}"
    for offer in offers:
        if offer.board == name:
            return f"offers, row {offer.row}"
    return next((f"shelf, label {held.label}" for held in shelf if held.board == name), "")


def _selling(shop: str, offers: Sequence[Offer]) -> str:
    """Say where a shop sells something first; one that sells nothing stands in the table shops alone."""
    return next((f"offers, row {offer.row}" for offer in offers if offer.shop == shop), "shops")


def _asked(piece: Piece) -> tuple[str, ...]:
    return (*piece.boards, *piece.under_boards, *piece.backing)


def _one_letter_apart(names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Find the pairs in which one letter is left out, put in, changed or swapped with the next.

    Short names and names that differ in a digit are often meant to differ so.
    """
    for one, other in combinations(names, 2):
        first, second = fold(one), fold(other)
        if min(len(first), len(second)) >= _SHORTEST and _is_slip(first, second):
            yield one, other


def _is_slip(first: str, second: str) -> bool:
    start = next(
        (i for i, (a, b) in enumerate(zip(first, second, strict=False)) if a != b), min(len(first), len(second))
    )
    one, other = first[start:], second[start:]
    if any(letter.isdigit() for letter in one[:1] + other[:1]):
        return False
    swapped = one[1:2] + one[:1] + one[2:] == other
    return swapped or one[1:] == other[1:] or one[1:] == other or one == other[1:]


def _near_to_sold(
    pieces: Sequence[Piece], offers: Sequence[Offer], shelf: Sequence[ShelfPiece]
) -> Iterator[tuple[str, str]]:
    """Find the boards that no one sells or holds and whose names are near to those of boards sold or held."""
    if any(offer.board is None for offer in offers):
        return
    had = list(dict.fromkeys([offer.board for offer in offers if offer.board] + [piece.board for piece in shelf]))
    asked = dict.fromkeys(board for piece in pieces for board in _asked(piece) if board not in had)
    for board in asked:
        for near in difflib.get_close_matches(board, had, n=1, cutoff=_CLOSE):
            yield board, near


def _near_to_asked(
    pieces: Sequence[Piece], offers: Sequence[Offer], shelf: Sequence[ShelfPiece]
) -> Iterator[tuple[str, str]]:
    """Find the boards held that no piece names and no one sells, and whose names are near to ones that pieces do.

    On the shelf a board is often called by a part of its name, or by its name and a word more.
    """
    asked = list(dict.fromkeys(board for piece in pieces for board in _asked(piece)))
    known = {*asked, *(offer.board for offer in offers)}
    for board in dict.fromkeys(held.board for held in shelf if held.board not in known):
        words = set(fold(board).split())
        within = (name for name in asked if words & set(fold(name).split()) in (words, set(fold(name).split())))
        near = next(within, None) or next(iter(difflib.get_close_matches(board, asked, n=1, cutoff=_CLOSE)), None)
        if near is not None:
            yield board, near
