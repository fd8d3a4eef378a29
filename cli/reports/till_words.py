"""What may happen at the till, in sentences and tables for the screen."""

from collections.abc import Iterator, Sequence

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.text import Text

from cli.reports.sentences import carry_words, money_words
from cli.reports.terminal import money_table, wrapped
from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.money import half_up
from nesting.planned import Plan
from nesting.till.room_left import Fewer, HowMany
from nesting.till.shortages import Instead, Shortage
from nesting.till.stocking import Extra
from nesting.till.till import Till
from nesting.words import size_words

__all__ = ["print_till"]

_LAYERS = ("", " for its under-mat", " for its backing")


def print_till(till: Till, console: Console) -> None:
    """Print what to carry to the till and what to do if something is otherwise there.

    Parameters
    ----------
    till : Till
        What was worked out.
    console : Console
        A window of 60 columns is wide enough.
    """
    console.print(Text(wrapped(carry_words(till.plan), console.width), style="bold"))
    for heading, parts in _sections(till):
        if parts:
            console.print()
            console.print(Text(heading, style="bold cyan"))
        for part in parts:
            console.print(Padding(part, (0, 0, 0, 2), expand=False))


def _sections(till: Till) -> Iterator[tuple[str, list[RenderableType]]]:
    yield "If a board is sold out or short", [_short(till.plan, short) for short in till.shortages]
    yield "The boards liked best", [_liked(till)]
    yield "Further blanks that still fit in what is bought", list(_more(till))
    yield "One sheet fewer", [_fewer(till.plan, fewer) for fewer in till.fewer]
    yield "Worth stocking", [_extra(till.plan, extra) for extra in till.extras]


def _short(plan: Plan, short: Shortage) -> str:
    left = short.left
    what = f"No {left.board}" if left.sheets == 0 else f"Only {left.sheets} {left.board}"
    return f"{what} at {left.shop}: {_answer(plan, short.answer)}"


def _answer(plan: Plan, answer: Instead | CannotBeCutError) -> str:
    if isinstance(answer, CannotBeCutError):
        names = [obstacle.piece for obstacle in answer.obstacles]
        if names == ["the job"]:
            return "there is no plan then."
        return f"{_listed(names[:4])}{' and others' if len(names) > 4 else ''} cannot be cut then."
    parts = []
    if answer.buys:
        parts.append(f"buy {_sheets(plan, answer.buys)}")
    if answer.leaves:
        parts.append(f"leave {_sheets(plan, answer.leaves)}")
    parts += [f"{piece} takes {board}{_LAYERS[min(layer, 2)]}" for piece, board, layer in answer.changed]
    return f"{'; '.join(parts) or 'the same sheets do'}. {_difference(plan, answer)}"


def _difference(plan: Plan, answer: Instead) -> str:
    proven = "" if answer.plan.purchase.proven else " or less"
    if answer.more == 0:
        return "It costs the same."
    return f"It costs {money_words(plan, abs(answer.more))} {'more' if answer.more > 0 else 'less'}{proven}."


def _sheets(plan: Plan, sheets: Sequence[tuple[int, str, str, Size]]) -> str:
    bench = plan.job.bench
    return _listed([f"{count} {board} {size_words(size, bench)} at {shop}" for count, shop, board, size in sheets])


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _liked(till: Till) -> str:
    match till.liked_best:
        case None:
            return "Every piece has the board that it names first."
        case CannotBeCutError():
            return f"Not every piece can have the board that it names first: {_answer(till.plan, till.liked_best)}"
        case Instead() as answer:
            return f"To give every piece the board that it names first: {_answer(till.plan, answer)}"


def _more(till: Till) -> Iterator[RenderableType]:
    if not till.more:
        return
    bench = till.plan.job.bench
    openings = tuple(dict.fromkeys(many.opening for many in till.more))
    table = money_table(1, [size_words(Size(int(opening.width), int(opening.height)), bench) for opening in openings])
    for board in dict.fromkeys(many.board for many in till.more):
        its = [many for many in till.more if many.board == board]
        table.add_row(board, *map(_count, its))
    yield f"For frames of these openings ({bench.unit}), each size by itself, beside everything in the plan:"
    yield table
    if any(not many.most for many in till.more):
        yield "A + means that perhaps more can be fitted."


def _count(many: HowMany) -> str:
    return f"{many.count}{'' if many.most else '+'}"


def _fewer(plan: Plan, fewer: Fewer) -> str:
    without = _listed([f"{count} of {piece}" if count > 1 else piece for piece, count in fewer.without])
    sheets = "one sheet" if fewer.sheets == 1 else f"{fewer.sheets} sheets"
    return f"Without {without}, {fewer.board} needs {sheets} fewer: {money_words(plan, fewer.saved)} less."


def _extra(plan: Plan, extra: Extra) -> str:
    money, grounds = [money_words(plan, cents) for cents in (extra.usual, extra.price, extra.saved)], []
    if extra.later:
        grounds.append(f"the later pieces take {extra.later} more")
    if extra.used:
        tenths = half_up(10 * extra.used)
        grounds.append(f"the log shows {tenths // 10}.{tenths % 10} sheets used in a year")
    size = size_words(extra.sheet, plan.job.bench)
    return (
        f"{extra.count} {extra.board} {size} at {extra.shop}: {_listed(grounds)}. {extra.count} x ({money[0]} without "
        f"the discount - {money[1]} now, with tax) = {money[2]} saved."
    )
