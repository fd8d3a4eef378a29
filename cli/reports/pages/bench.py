"""The pages for the bench: each sheet with its cuts in order, then the mats that it gives with their bevel settings."""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from cli.reports.pages.booklet import Beside, Block, Card, Cards, Care, Column, Picture, Row, Section, Table, Words
from nesting.bench.bevels import BevelCut, MatWork, by_hand, mat_work, settings
from nesting.bench.cautions import Matter, caution
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import Batch, Round, rounds
from nesting.bench.steps import Step, sentences_of, steps_of
from nesting.drawing import FROM_THE_BACK, LEGEND, draw_sheet
from nesting.drawing.cut import draw_cut, draw_edges
from nesting.drawing.mat import draw_mat
from nesting.model.job import Bench
from nesting.model.plan import Plan
from nesting.model.sides import Edge
from nesting.names import UNIT_WORDS, Names, length_words, size_words

__all__ = ["bench_sections"]

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
    mark = plan.mark
    plan = replace(plan, identity="")  # what is written on all that is kept is said once
    sheets, mats = 0, 0
    for this in rounds(plan):
        for batch in this.batches:
            intro = () if sheets else tuple(_intro(plan, mark))
            yield _sheet_section(plan, batch, intro)
            sheets += 1
        works = [mat_work(plan, placed) for placed in this.mats]
        yield _mat_section(plan, this, works, first=mats == 0)
        mats += any(work.cuts for work in works)


def _sheet_section(plan: Plan, batch: Batch, intro: tuple[Block, ...]) -> Section:
    sheet, steps = batch.sheets[0], steps_of(cutting_list(plan, batch))
    alike = f"; {len(batch.sheets)} alike" if len(batch.sheets) > 1 else ""
    source = Names(plan.job, plan.mats).sources(batch.sheets)
    title = f"{sheet.board}, {size_words(sheet.size, plan.job.bench)}, {source}{alike}"
    drawing = draw_sheet(plan, sheet, beside=True)
    uncut = f"Nothing to cut: the whole of {batch.ids} is the blank."
    body = (Beside(drawing, _cut_table(plan, batch, steps)),) if steps else (Words(uncut), Picture(drawing))
    return Section(f"sheet-{sheet.id}", batch.ids, title, (*intro, *body), own_page=bool(intro))


def _intro(plan: Plan, mark: str) -> Iterator[Words | Care]:
    """Say what holds for all sheets, before the first of them."""
    blade = caution(Matter.BLADE)
    yield Care(blade.words, blade.source)
    kept = f" On what is kept write plan {mark} too." if mark else ""
    yield Words(
        f"Make the cuts in order, and pencil its name on the back of each part as you cut it.{kept} A heavy line "
        f"means: reset the stop. Sizes are in {UNIT_WORDS[plan.job.bench.unit]}, width by height as the part lies. "
        f"{FROM_THE_BACK} {LEGEND} Where sheets are alike, cut all of them by one list: if it names several mats "
        "for a piece, one comes from each sheet, in this order."
    )


def _cut_table(plan: Plan, batch: Batch, steps: Sequence[Step]) -> Table:
    columns = Column("No.", 7), Column("Set to", 24, figure=True), Column("Cut, face down", 62)
    rows = []
    before: int | None = None
    for step in steps:
        cut, key = step.cuts[0], f"cut-{batch.sheets[0].id}-{step.number}"
        cells = f"{step.number}\n", _figure(step), _said(step, plan.job.bench)
        boxes = tuple((f"{key}-{edge.edge}", edge.edge) for edge in step.cuts) if step.is_edges else ()
        drawing = draw_edges(step.cuts) if step.is_edges else draw_cut(cut)
        rows.append(Row(cells, None if boxes else key, drawing, heavy=cut.measure != before, boxes=boxes))
        before = cut.measure
    return Table("", columns, tuple(rows))


def _said(step: Step, bench: Bench) -> str:
    """Return the sentences of a step; its edges are named by their boxes where it has several."""
    first, *others = sentences_of(step, bench)
    return "\n".join([f"{first.partition(':')[0]}:" if step.is_edges else first, *others])


def _figure(step: Step) -> str:
    """Return the measure alone, large, and below it between which marks of the ruler it lies."""
    exact, _, marks = step.cuts[0].words.partition(" (between the marks ")
    return f"{exact}\nbetween {marks.removesuffix(')')}" if marks else exact


def _mat_section(plan: Plan, this: Round, works: Sequence[MatWork], *, first: bool) -> Section:
    cut, plain = [work for work in works if work.cuts], [work for work in works if not work.cuts]
    blocks: list[Block] = []
    if cut and first:
        blocks += _how_to(plan)
    if cut:
        blocks.append(Cards("", tuple(_card(plan, alike) for alike in _alike(cut)), across=4))
    if plain:
        blocks.append(_plain_table(plan, plain))
    blocks += _setting_tables(plan, this, cut)
    which = "of these sheets" if this.number == 0 else f"of fallout, round {this.number}"
    what = "draw, then cut the windows" if cut else "plain blanks"
    return Section(f"mats-{this.number}", "Mats", f"Mats {which}: {what}", tuple(blocks), own_page=False)


def _plain_table(plan: Plan, works: Sequence[MatWork]) -> Table:
    """Return a row for each kind of plain blank, with a box for each of those that are alike."""
    columns = Column("Mat", 18), Column("Plain blank, no window", 82)
    rows = tuple(_plain_row(plan, alike) for alike in _alike(works))
    return Table("", columns, rows, halved=len(rows) > 1 and not any(row.boxes for row in rows))


def _plain_row(plan: Plan, alike: Sequence[MatWork]) -> Row:
    first, *others = (work.placed for work in alike)
    size, id_ = size_words(first.mat.blank, plan.job.bench), first.mat.id
    if not others:
        return Row((f"{id_}\n", f"{alike[0].name}, {first.board}, {size}, from {first.sheet}"), tick=f"mat-{id_}")
    boxes = tuple((f"mat-{work.placed.mat.id}", work.placed.mat.id) for work in alike)
    said = f"{first.board}, {size}", "; ".join(_names(plan, alike)), _origins(alike)
    return Row((f"{len(alike)} alike\n", "\n".join(said)), boxes=boxes)


def _origins(alike: Sequence[MatWork]) -> str:
    """Say for each sheet which of alike blanks come from it."""
    sheets: dict[str, list[str]] = {}
    for work in alike:
        sheets.setdefault(work.placed.sheet, []).append(work.placed.mat.id)
    return "; ".join(f"from {sheet}: {', '.join(mats)}" for sheet, mats in sheets.items())


def _how_to(plan: Plan) -> Iterator[Block]:
    overcut = (
        "Start and stop have the overcut in them: the cuts run past the pencil lines by so much."
        if plan.job.bench.overcut
        else "Start and stop are the pencil lines; the marks of the cutter allow for the overcut."
    )
    yield Words(
        "Lay each mat face down and draw the pencil lines right across the back, so far from each edge. Then cut "
        "setting by setting, below: the named edge goes to the guide, the blade always runs the same way, and after "
        "each side give the mat a quarter turn, so that left, top, right and bottom follow each other, as seen from "
        "the back. Measure the stop from the edge that the blade runs towards, the start from the edge that it runs "
        f"from. {overcut}"
    )
    setting = caution(Matter.SETTING)
    yield Care(setting.words, setting.source)
    if any(piece.under_boards for piece in plan.job.pieces) and plan.job.bench.use_fallout:
        tape = caution(Matter.TAPE)
        yield Care(tape.words, tape.source)


def _alike(works: Sequence[MatWork]) -> Iterator[tuple[MatWork, ...]]:
    """Yield the mats that look the same on the bench together, whichever pieces they belong to."""
    alike: dict[Hashable, list[MatWork]] = {}
    for work in works:
        key = work.placed.board, work.placed.mat.blank, work.lines, tuple(window.size for window in work.windows)
        alike.setdefault(key, []).append(work)
    yield from map(tuple, alike.values())


def _card(plan: Plan, alike: Sequence[MatWork]) -> Card:
    work, bench = alike[0], plan.job.bench
    sheets = ", ".join(dict.fromkeys(each.placed.sheet for each in alike))
    lines = [
        "; ".join(_names(plan, alike)),
        f"{work.placed.board}, from {sheets}",
        *_marks(work, plan),
        *_fallouts(alike),
    ]
    ticks = tuple((f"mat-{each.placed.mat.id}", each.placed.mat.id) for each in alike)
    return Card(ticks, draw_mat(work, bench), tuple(lines))


def _names(plan: Plan, alike: Sequence[MatWork]) -> Iterator[str]:
    """Yield the names of alike mats; the copies of a row together, where it has more than one of them here."""
    names = Names(plan.job, plan.mats)
    for (piece, _), works in groupby(alike, key=lambda work: (work.placed.mat.piece, work.placed.mat.layer)):
        first, *others = works
        count = f", {1 + len(others)} of them" if others else ""
        yield f"{piece}{names.behind(first.placed.mat)}{count}" if others else first.name


def _marks(work: MatWork, plan: Plan) -> Iterator[str]:
    """Say where the pencil lines are, edge by edge, and how large each window is."""
    bench = plan.job.bench
    yield f"Pencil lines: {_pencil(work, bench)}"
    for size, alike in groupby(work.windows, key=lambda window: window.size):
        which = _which([window.number + 1 for window in alike], len(work.windows))
        yield f"{which}: {size_words(size, bench)}"


def _fallouts(alike: Sequence[MatWork]) -> Iterator[str]:
    """Say what the fallouts of alike mats are for, those with one end together; where they differ, by sheet alone."""
    ends: dict[str, list[str]] = {}
    for work in alike:
        several = len(work.windows) > 1
        for window in work.windows:
            name = f"{work.placed.mat.id} window {window.number + 1}" if several else work.placed.mat.id
            ends.setdefault(window.fallout, []).append(name)
    if len(ends) == 1:
        ((end, windows),) = ends.items()
        yield f"Fallout{' of each' if len(windows) > 1 else ''}: {end}"
    else:
        said = (f"{', '.join(windows)}: {end.partition(':')[0]}" for end, windows in ends.items())
        yield f"Fallouts. {'; '.join(said)}"


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
        columns = Column("Guide", 27, figure=True), Column("Stop", 27, figure=True), Column("Start: mats and sides", 46)
        heading = f"Bevel settings, {UNIT_WORDS[bench.unit]} (heavy line: move the guide)"
        yield Table(heading, columns, tuple(rows), halved=True)
    hand = by_hand(works)
    if hand:
        yield _by_hand_table(plan, this, hand, several)


def _cuts_words(plan: Plan, cuts: Sequence[BevelCut], several: set[str]) -> Iterator[str]:
    """Say which sides are cut, those that start alike together, and the windows with the same sides together."""
    starts: dict[int, dict[str, list[str]]] = {}
    for cut in cuts:
        starts.setdefault(cut.start, {}).setdefault(_window(cut, several), []).append(cut.side)
    order = [placed.mat.id for placed in plan.mats]
    for start, windows in starts.items():
        alike: dict[str, list[str]] = {}
        for window, sides in windows.items():
            alike.setdefault(", ".join(sides), []).append(window)
        said = (f"{_in_a_row(names, order)} {sides}" for sides, names in alike.items())
        yield f"{length_words(start, plan.job.bench)}: {'; '.join(said)}"


def _in_a_row(names: Sequence[str], order: Sequence[str]) -> str:
    """Name mats, three or more that follow each other in the plan by the first and the last of them."""
    runs: list[list[str]] = []
    for name in names:
        follows = runs and name in order and order[order.index(name) - 1] == runs[-1][-1]
        if follows:
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


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
