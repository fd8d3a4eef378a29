"""The pages for the bench: each sheet with its cuts in order, then the mats that it gives with their bevel settings."""

from collections.abc import Hashable, Iterator, Sequence
from itertools import groupby

from cli.reports.pages.booklet import Block, Card, Cards, Care, Column, Picture, Row, Section, Table, Words
from nesting.bench.bevels import BevelCut, MatWork, by_hand, mat_work, settings
from nesting.bench.cautions import Matter, caution
from nesting.bench.cut_order import cutting_list
from nesting.bench.cutting_list import StraightCut, Tool, sentences_of
from nesting.bench.rounds import Batch, Round, rounds
from nesting.drawing import Drawing
from nesting.drawing.cut import draw_cut
from nesting.drawing.lettering import broken
from nesting.drawing.mat import draw_mat
from nesting.drawing.sheet import draw_sheet
from nesting.model.job import Bench
from nesting.model.plan import Plan
from nesting.model.sides import Edge
from nesting.names import UNIT_WORDS, Names, length_words, size_words

__all__ = ["bench_sections"]

# Tenths of a millimetre: what letter paper leaves below a title of one line, how high a sheet may be drawn, and what
# the lines of a cut take.
_PAGE_DEPTH, _DEPTHS = 2400, (1690, 1500, 1300, 1150, 1000, 900, 800, 750, 700, 640)
_BOLD, _PLAIN, _STEP, _ROOM, _LEAST_ROW, _ROW_AIR, _TABLE_HEAD = 35, 33, 43, 1330, 156, 27, 150
_TITLE, _TITLE_STEP, _TITLE_ROOM = 46, 62, 1600

_RUNS_FROM = {Edge.LEFT: Edge.BOTTOM, Edge.TOP: Edge.LEFT, Edge.RIGHT: Edge.TOP, Edge.BOTTOM: Edge.RIGHT}


def bench_sections(plan: Plan) -> Iterator[Section]:
    """Yield a section for each batch of alike sheets, and one for the mats of each round that have anything to do.

    Parameters
    ----------
    plan : Plan
        The plan.

    Yields
    ------
    Section
        In working order; the cautions about the blade and about settings stand where they first matter.
    """
    sheets, mats = 0, 0
    for this in rounds(plan):
        for batch in this.batches:
            yield _sheet_section(plan, batch, first=sheets == 0)
            sheets += 1
        works = [mat_work(plan, placed) for placed in this.mats]
        yield _mat_section(plan, this, works, first=mats == 0)
        mats += any(work.cuts for work in works)


def _sheet_section(plan: Plan, batch: Batch, *, first: bool) -> Section:
    sheet, cuts = batch.sheets[0], cutting_list(plan, batch)
    table = _cut_table(plan, batch, cuts)
    intro = list(_intro(batch, first=first))
    alike = f"; {len(batch.sheets)} alike" if len(batch.sheets) > 1 else ""
    source = Names(plan.job, plan.mats).source(sheet)
    title = f"{sheet.board}, {size_words(sheet.size, plan.job.bench)}, {source}{alike}"
    above = _depth(intro) + (len(broken(title, _TITLE, _TITLE_ROOM)) - 1) * _TITLE_STEP
    drawing = _drawing(plan, batch, above, _cuts_depth(cuts, plan) if table else 0)
    blocks: tuple[Block, ...] = (*intro, Picture(drawing), *([table] if table else _uncut(batch)))
    return Section(f"sheet-{sheet.id}", batch.ids, title, blocks)


def _drawing(plan: Plan, batch: Batch, above: int, below: int) -> Drawing:
    """Draw the sheet as large as leaves its cuts room on the page; they go overleaf where it would be too small."""
    sheet = batch.sheets[0]
    for room in (_PAGE_DEPTH - above - below, _PAGE_DEPTH - above):
        for depth in (depth for depth in _DEPTHS if depth < room):
            drawing = draw_sheet(plan, sheet, depth=depth, head=False)
            if drawing.height <= room:
                return drawing
    return draw_sheet(plan, sheet, depth=_DEPTHS[-1], head=False)


def _intro(batch: Batch, *, first: bool) -> Iterator[Words | Care]:
    if first:
        blade = caution(Matter.BLADE)
        yield Care(blade.words, blade.source)
        yield Words("Make the cuts in order, and pencil its name on the back of each part as it comes off.")
    if len(batch.sheets) > 1:
        yield Words(
            f"Cut {batch.ids} in the same way. The drawing names the mats of {batch.sheets[0].id}; where the list "
            "names several mats for one part, they come from these sheets in this order."
        )


def _uncut(batch: Batch) -> tuple[Words]:
    return (Words(f"Nothing to cut: the whole of {batch.ids} is the blank."),)


def _depth(blocks: Sequence[Words | Care]) -> int:
    """Return how high words stand at most, in tenths of a millimetre."""
    return sum(len(broken(block.words, _PLAIN, 1700)) * _STEP + 110 for block in blocks)


def _cuts_depth(cuts: Sequence[StraightCut], plan: Plan) -> int:
    """Return how high the cutting list stands at most, in tenths of a millimetre."""
    rows = (
        sum(len(broken(words, _PLAIN if place else _BOLD, _ROOM)) for place, words in enumerate(sentences))
        for sentences in (sentences_of(cut, plan.job.bench) for cut in cuts)
    )
    return _TABLE_HEAD + sum(max(_LEAST_ROW, lines * _STEP + _ROW_AIR) for lines in rows)


def _cut_table(plan: Plan, batch: Batch, cuts: Sequence[StraightCut]) -> Table | None:
    if not cuts:
        return None
    columns = Column("Set to", 16, figure=True), Column("Cut, as the sheet lies face down", 84)
    rows = []
    before: object = None
    for number, cut in enumerate(cuts):
        setting = cut.measure, cut.tool
        rows.append(
            Row(
                (_figure(cut), "\n".join(sentences_of(cut, plan.job.bench))),
                tick=f"cut-{batch.sheets[0].id}-{number}",
                drawing=draw_cut(cut),
                heavy=setting != before,
            )
        )
        before = setting
    unit = UNIT_WORDS[plan.job.bench.unit]
    count = f"{len(cuts)} cut{'' if len(cuts) == 1 else 's'}"
    heading = f"{count} in order, {unit} (heavy line: set the cutter anew)"
    return Table(heading, columns, tuple(rows))


def _figure(cut: StraightCut) -> str:
    """Return the measure alone, large, and below it whatever else has to be known to set it."""
    exact, _, marks = cut.words.partition(" (between the marks ")
    below = [f"between {marks.removesuffix(')')}"] if marks else []
    if cut.tool is Tool.STRAIGHTEDGE:
        below.append("by straightedge")
    return "\n".join([exact, *below])


def _mat_section(plan: Plan, this: Round, works: Sequence[MatWork], *, first: bool) -> Section:
    cut = [work for work in works if work.cuts]
    blocks: list[Block] = []
    if cut and first:
        blocks += _how_to(plan)
    blocks.append(Cards("", tuple(_card(plan, alike) for alike in _alike(works))))
    blocks += _setting_tables(plan, this, cut)
    which = "of these sheets" if this.number == 0 else f"of fallout, round {this.number}"
    what = "draw, then cut the windows" if cut else "plain blanks"
    return Section(f"mats-{this.number}", "Mats", f"Mats {which}: {what}", tuple(blocks), own_page=bool(cut))


def _how_to(plan: Plan) -> Iterator[Block]:
    yield Words(
        "Lay each mat face down and draw the pencil lines, right across the back. Then cut setting by setting, below: "
        "the named edge goes to the guide, the blade always runs the same way, and after each side the mat is given a "
        "quarter turn, so that left, top, right and bottom follow each other, as seen from the back. The stop is "
        "measured from the edge that the blade runs towards, the start from the edge that it runs from."
    )
    if plan.job.bench.overcut:
        yield Words("Start and stop have the overcut in them: the cuts run past the pencil lines by so much.")
    else:
        yield Words("Start and stop are the pencil lines; the marks of the cutter allow for the overcut.")
    setting = caution(Matter.SETTING)
    yield Care(setting.words, setting.source)
    if any(piece.under_boards for piece in plan.job.pieces) and plan.job.bench.use_fallout:
        tape = caution(Matter.TAPE)
        yield Care(tape.words, tape.source)


def _alike(works: Sequence[MatWork]) -> Iterator[tuple[MatWork, ...]]:
    """Yield the mats that look the same on the bench together."""

    def key(work: MatWork) -> Hashable:
        mat = work.placed.mat
        return mat.piece, mat.layer, work.placed.board, mat.blank, tuple(window.fallout for window in work.windows)

    for _, alike in groupby(works, key=key):
        yield tuple(alike)


def _card(plan: Plan, alike: Sequence[MatWork]) -> Card:
    work, bench = alike[0], plan.job.bench
    called = work.name if len(alike) == 1 else f"{work.name} and {len(alike) - 1} more alike"
    sheets = ", ".join(dict.fromkeys(each.placed.sheet for each in alike))
    lines = [
        called,
        f"{work.placed.board}, {size_words(work.placed.mat.blank, bench)}, from {sheets}",
        *_marks(work, plan),
    ]
    ticks = tuple((f"mat-{each.placed.mat.id}", each.placed.mat.id) for each in alike)
    return Card(ticks, draw_mat(work, bench), tuple(lines))


def _marks(work: MatWork, plan: Plan) -> Iterator[str]:
    """Say where the pencil lines are, edge by edge, how large each window is and what its fallout is for."""
    bench = plan.job.bench
    if not work.windows:
        yield "Plain blank, no window"
        return
    yield f"Pencil, from each edge: {_pencil(work, bench)}"
    for (size, fallout), alike in groupby(work.windows, key=lambda window: (window.size, window.fallout)):
        which = _which([window.number + 1 for window in alike], len(work.windows))
        yield f"{which}: {size_words(size, bench)}. Fallout: {fallout}"


def _which(numbers: Sequence[int], of: int) -> str:
    """Name a window, or several in a row that are alike; only a mat with several has them numbered."""
    if of == 1:
        return "Window"
    first, last = numbers[0], numbers[-1]
    return f"Window {first}" if first == last else f"Windows {first} to {last}, each"


def _pencil(work: MatWork, bench: Bench) -> str:
    """Say where the pencil lines are, in as few words as they allow."""
    marks = {
        edge: " and ".join(length_words(line.distance, bench) for line in lines)
        for edge, lines in groupby(work.lines, key=lambda line: line.edge)
    }
    if len(set(marks.values())) == 1:
        return marks[Edge.TOP]
    if marks[Edge.LEFT] == marks[Edge.RIGHT]:
        ends = marks[Edge.TOP], marks[Edge.BOTTOM]
        top = f"top and bottom {ends[0]}" if ends[0] == ends[1] else f"top {ends[0]}; bottom {ends[1]}"
        return f"sides {marks[Edge.LEFT]}; {top}"
    return "; ".join(f"{edge} {words}" for edge, words in marks.items())


def _setting_tables(plan: Plan, this: Round, works: Sequence[MatWork]) -> Iterator[Table]:
    bench = plan.job.bench
    several = {work.placed.mat.id for work in works if len(work.windows) > 1}
    rows = []
    guide = -1
    for number, setting in enumerate(settings(works)):
        figures = length_words(setting.guide, bench), length_words(setting.stop, bench)
        cuts = "\n".join(_cuts_words(plan, setting.cuts, several))
        rows.append(Row((*figures, f"\n{cuts}"), tick=f"set-{this.number}-{number}", heavy=setting.guide != guide))
        guide = setting.guide
    if rows:
        columns = Column("Guide", 15, figure=True), Column("Stop", 15, figure=True), Column("Mats and sides", 70)
        yield Table(f"Bevel settings, {UNIT_WORDS[bench.unit]} (heavy line: move the guide)", columns, tuple(rows))
    hand = by_hand(works)
    if hand:
        yield _by_hand_table(plan, this, hand, several)


def _cuts_words(plan: Plan, cuts: Sequence[BevelCut], several: set[str]) -> Iterator[str]:
    """Say which sides are cut, those that start alike together, and the windows with the same sides together."""
    starts: dict[int, dict[str, list[str]]] = {}
    for cut in cuts:
        starts.setdefault(cut.start, {}).setdefault(_window(cut, several), []).append(cut.side)
    for start, windows in starts.items():
        alike: dict[str, list[str]] = {}
        for window, sides in windows.items():
            alike.setdefault(", ".join(sides), []).append(window)
        said = (f"{', '.join(names)}{' each' if len(names) > 1 else ''} {sides}" for sides, names in alike.items())
        yield f"start {length_words(start, plan.job.bench)}: {'; '.join(said)}"


def _window(cut: BevelCut, several: set[str]) -> str:
    return f"{cut.mat} window {cut.window + 1}" if cut.mat in several else cut.mat


def _by_hand_words(cut: BevelCut, side: str, bench: Bench) -> str:
    start, end = length_words(cut.start, bench), length_words(cut.stop, bench)
    return f"{side}\nStart {start} from the {_RUNS_FROM[cut.side]} edge, end {end} from the other."


def _by_hand_table(plan: Plan, this: Round, cuts: Sequence[BevelCut], several: set[str]) -> Table:
    bench = plan.job.bench
    rows = tuple(
        Row(
            (
                length_words(cut.guide, bench),
                _by_hand_words(cut, f"{_window(cut, several)} {cut.side}", bench),
            ),
            tick=f"hand-{this.number}-{number}",
        )
        for number, cut in enumerate(cuts)
    )
    columns = Column("Border", 15, figure=True), Column("Mat and side", 85)
    return Table("By pencil and straightedge: out of the guide's reach, or too near an edge", columns, rows)
