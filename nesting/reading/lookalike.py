"""Names that are probably one name spelt in two ways: allowed, and worth a word."""

import difflib
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from nesting.model.job import Board, Offer, Piece, ShelfPiece, Shop
from nesting.spelling import fold

__all__ = ["lookalike_warnings"]

_SHORTEST = 4
_CLOSE = 0.75


def lookalike_warnings(
    pieces: Sequence[Piece],
    offers: Sequence[Offer],
    shops: Sequence[Shop],
    shelf: Sequence[ShelfPiece],
    boards: Sequence[Board],
) -> tuple[str, ...]:
    """Return a sentence for every two names of boards or shops that look like one name misspelt.

    Two kinds are told: names that differ by one letter, and a board that pieces name, that is neither held nor sold
    and whose name is near to one that is.
    """
    names = [board.name for board in boards]
    pairs = list(_one_letter_apart(names))
    pairs.extend(pair for pair in _near_to_sold(pieces, offers, shelf) if not {pair, pair[::-1]} & set(pairs))
    pairs.extend(_one_letter_apart([shop.name for shop in shops]))
    return tuple(
        f"{one!r} and {other!r} are spelt nearly alike; if they are one, spell them alike" for one, other in pairs
    )


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
    asked = dict.fromkeys(
        board for piece in pieces for board in (*piece.boards, *piece.under_boards, *piece.backing) if board not in had
    )
    for board in asked:
        for near in difflib.get_close_matches(board, had, n=1, cutoff=_CLOSE):
            yield board, near
