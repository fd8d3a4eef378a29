"""What is said of the till: what to buy instead, what to leave out, what else fits and what is worth stocking."""

from collections.abc import Sequence

from cli.reports.sentences import money_words, sheets_words
from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize, Size
from nesting.model.plan import Plan
from nesting.money import half_up
from nesting.names import UNIT_WORDS, size_words
from nesting.options import Left
from nesting.scenarios.room_left import Fewer, HowMany
from nesting.scenarios.shortages import Instead, Shortage
from nesting.scenarios.stocking import Extra
from nesting.scenarios.till import Till
from nesting.spelling import WHOLE_JOB, listed, listed_few

__all__ = [
    "extra_words",
    "fewer_note",
    "fewer_words",
    "inside_sizes",
    "liked_words",
    "more_words",
    "room_words",
    "short_words",
]

_NAMED = 4
_UNANSWERED = "not worked out, because the search was stopped."


def short_words(plan: Plan, short: Shortage) -> tuple[str, str]:
    """Say what is short where, and what to do then."""
    left = short.left
    what = f"No {left.board}" if left.sheets == 0 else f"Only {left.sheets} {left.board}"
    answer = _UNANSWERED if short.answer is None else _answer(plan, short.answer, left)
    return f"{what} at {left.shop}", answer


def _answer(plan: Plan, answer: Instead, left: Left | None = None) -> str:
    """Say what to buy and what to leave (not of the board that is short), which pieces change board and the cost."""
    leaves = [its for its in answer.leaves if left is None or its[1:3] != (left.shop, left.board)]
    parts = []
    if answer.buys:
        also, instead = "also " * (left is None and not leaves), " instead" * (left is not None)
        parts.append(f"{also}buy {_sheets(plan, answer.buys)}{instead}")
    if leaves:
        parts.append(f"leave {_sheets(plan, leaves)}")
    what = " and ".join(parts) or ("the same sheets do" if left is None else "the other sheets do")
    without = _without(plan, answer)
    if without and not parts:
        return f"{without}. {_changes(plan, answer)}{_difference(plan, answer)}"
    return f"{without}; {what}".removeprefix("; ") + f". {_changes(plan, answer)}{_difference(plan, answer)}"


def _without(plan: Plan, answer: Instead) -> str:
    """Say which pieces have to be left out; empty where none has to be."""
    if not answer.without:
        return ""
    left_out = _left_out(plan, answer.without)
    return f"{left_out} cannot be cut then" if answer.fewest else f"no way was found to cut {left_out} then"


def _left_out(plan: Plan, without: Sequence[tuple[str, int]]) -> str:
    quantities = {piece.name: piece.quantity for piece in plan.job.pieces}
    return listed([_copies(piece, count, quantities[piece]) for piece, count in without])


def _changes(plan: Plan, answer: Instead) -> str:
    """Say in a sentence which pieces take a different board than in the first plan."""
    takers: dict[str, list[str]] = {}
    for piece, board, layer in answer.changed:
        takers.setdefault(f"{board}{_layer(plan, piece, layer)}", []).append(piece)
    said = [f"{listed(pieces)} {'takes' if len(pieces) == 1 else 'take'} {board}" for board, pieces in takers.items()]
    return f"Then {'; '.join(said)}. " if said else ""


def _layer(plan: Plan, name: str, layer: int) -> str:
    if layer == 0:
        return ""
    piece = next(piece for piece in plan.job.pieces if piece.name == name)
    return " for its under-mat" if layer == 1 and piece.under_boards else " for its backing"


def _difference(plan: Plan, answer: Instead) -> str:
    more, proven = money_words(plan, abs(answer.more)), answer.plan.purchase.proven
    if answer.more == 0:
        return "It costs the same."
    if answer.more > 0:
        return f"It costs {'' if proven else 'at most '}{more} more."
    return f"It costs {'' if proven else 'at least '}{more} less."


def _sheets(plan: Plan, sheets: Sequence[tuple[int, str, str, Size]]) -> str:
    shops = dict.fromkeys(shop for _, shop, _, _ in sheets)
    return listed(
        [
            f"{listed([sheets_words(plan, count, board, size) for count, its, board, size in sheets if its == shop])} "
            f"at {shop}"
            for shop in shops
        ]
    )


def liked_words(till: Till) -> str:
    """Say what it costs to give every piece the board that it names first."""
    match till.liked_best:
        case None:
            return "Every piece has the board that it names first."
        case CannotBeCutError(stopped=True):
            return _UNANSWERED.capitalize()
        case CannotBeCutError(proven=True) as error:
            return f"Not every piece can have the board that it names first.{_because(error)}"
        case CannotBeCutError():
            return "No way was found to give every piece the board that it names first."
        case Instead() as answer:
            return f"To give every piece the board that it names first, {_answer(till.plan, answer)}"


def _because(error: CannotBeCutError) -> str:
    """Name the pieces that cannot be cut from the boards that they name first, where they are known."""
    names = [obstacle.piece for obstacle in error.obstacles]
    if names == [WHOLE_JOB]:
        return ""
    return f" {listed_few(names, _NAMED)} cannot be cut then."


def more_words(till: Till) -> str:
    """Say what the counts of further blanks are."""
    bench = till.plan.job.bench
    return (
        f"For frames of these inside sizes ({UNIT_WORDS[bench.unit]}), one size at a time, beside all that is planned "
        "and without moving any of it to another board:"
    )


def inside_sizes(till: Till) -> dict[ExactSize, str]:
    """Return the inside sizes that were asked for, with their names, in their order."""
    bench = till.plan.job.bench
    insides = dict.fromkeys(many.inside for many in till.more)
    return {inside: size_words(Size(int(inside.width), int(inside.height)), bench) for inside in insides}


def room_words(many: HowMany) -> str:
    """Return how many further blanks fit, with + where there may be room for more."""
    return f"{many.count}{'' if many.most else '+'}"


def fewer_words(plan: Plan, fewer: Fewer) -> str:
    """Say without which pieces a board needs fewer sheets, and what that saves."""
    without = _left_out(plan, fewer.without)
    sheets = "one sheet" if fewer.sheets == 1 else f"{fewer.sheets} sheets"
    doubt = "" if fewer.fewest else " Leaving out fewer may do."
    return f"Without {without}, {fewer.board} needs {sheets} fewer: {money_words(plan, fewer.saved)} less.{doubt}"


def fewer_note(till: Till) -> str:
    """Say how several ways to need a sheet fewer go together; the same piece may stand in two of them."""
    many = len(till.fewer) > 1
    return "Each line is by itself: two of them together need not save both sums." if many else ""


def _copies(piece: str, count: int, quantity: int) -> str:
    if quantity == 1:
        return piece
    return f"{piece} (all {count})" if count == quantity else f"{piece} ({count} of {quantity})"


def extra_words(plan: Plan, extra: Extra) -> str:
    """Say what to buy beyond the plan and why, what it costs now and another day, and what that saves."""
    more, later, saved = (money_words(plan, cents) for cents in (extra.more, extra.apart.purchase.total, extra.saved))
    what = _sheets(plan, extra.buys)
    if extra.leaves:
        what += f" in place of {_sheets(plan, extra.leaves)}"
    doubt = "" if extra.proven else " Not all of these sums are proven."
    sums = f"{more} more now, {later} another day without the discounts, so {saved} saved"
    return f"{what}, {_grounds(extra)}: {sums}.{doubt}"


def _grounds(extra: Extra) -> str:
    if not extra.used:
        return "for the later pieces"
    tenths = [(board, half_up(10 * sheets)) for board, sheets in extra.used]
    said = listed([f"{tenth // 10}.{tenth % 10} sheets of {board}" for board, tenth in tenths])
    return f"as the log shows {said} used in a year"
