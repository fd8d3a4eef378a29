"""What if and compare as words for the page: headings, rows and remarks, as far as they are known."""

from collections.abc import Iterator, Mapping
from typing import Any

from cli.reports.at_the_till import (
    extra_words,
    fewer_note,
    fewer_words,
    inside_sizes,
    liked_words,
    more_words,
    room_words,
    short_words,
)
from cli.reports.comparing import grids, remarks
from nesting.drawing.fractions import on_one_line
from nesting.scenarios.compare import Comparison, Figure
from nesting.scenarios.till import Till

__all__ = ["compare_view", "till_view"]

_Section = Mapping[str, Any]
_NOTHING = "Nothing is to be bought: the shelf is enough"


def till_view(till: Till) -> Mapping[str, Any]:
    """Return what may happen at the till, as far as it is worked out."""
    liked = [liked_words(till)] if till.more or till.fewer or till.liked_best else []
    nothing = [] if till.plan.purchase.lines else [f"{_NOTHING}, so nothing can be sold out."]
    return {"sections": list(_till_sections(till)), "remarks": [*nothing, *liked]}


def _till_sections(till: Till) -> Iterator[_Section]:
    plan = till.plan
    if till.shortages:
        rows = [_begun(*short_words(plan, short)) for short in till.shortages]
        yield _section("If a board is sold out or short", ("If", "Then"), rows)
    if till.fewer:
        rows = [(fewer.board, fewer_words(plan, fewer)) for fewer in till.fewer]
        yield {**_section("One sheet fewer", ("Board", "Do without"), rows), "words": fewer_note(till)}
    if till.more:
        sizes = inside_sizes(till)
        boards = dict.fromkeys(many.board for many in till.more)
        rooms = {(many.board, many.inside): room_words(many) for many in till.more}
        room = [(board, *(rooms.get((board, inside), "") for inside in sizes)) for board in boards]
        yield {**_section("What else fits", ("Board", *sizes.values()), room), "words": more_words(till)}
    if till.extras:
        yield _section("Worth stocking", (), [(extra_words(plan, extra),) for extra in till.extras])


def _begun(what: str, then: str) -> tuple[str, str]:
    return what, then[:1].upper() + then[1:]


def compare_view(found: Comparison) -> Mapping[str, Any]:
    """Return what the ways of buying cost, as far as they are worked out."""
    figures = found.figures.values()
    if all(isinstance(figure, Figure) and not figure.plan.purchase.lines for figure in figures):
        return {"sections": [], "remarks": [f"{_NOTHING}, whatever the discount."] if figures else []}
    sections = [_section(grid.heading, grid.columns, grid.rows) for grid in grids(found)]
    return {"sections": sections, "remarks": list(remarks(found)) if found.complete else []}


def _section(heading: str, columns: Any, rows: Any) -> dict[str, Any]:
    return {"heading": heading, "columns": list(columns), "rows": [[*map(on_one_line, row)] for row in rows]}
