"""Faults planted in a plan: each function changes one thing and leaves the rest."""

from dataclasses import replace

from nesting.model.cut_tree import Cut
from tests.sound import upright


def with_bench(plan, **changes):
    return replace(plan, job=replace(plan.job, bench=replace(plan.job.bench, **changes)))


def with_mat(plan, place, **changes):
    """Change what the plan says of a mat, its size or its place."""
    old = plan.mats[place]
    own = {name: change for name, change in changes.items() if name in {"board", "sheet", "turned"}}
    sized = {name: change for name, change in changes.items() if name not in own}
    new = replace(old, mat=replace(old.mat, **sized), **own)
    return replace(plan, mats=(*plan.mats[:place], new, *plan.mats[place + 1 :]))


def with_sheet(plan, sheet, **changes):
    return replace(plan, sheets=tuple(replace(s, **changes) if s.id == sheet.id else s for s in plan.sheets))


def with_root(plan, sheet, *parts, divide=upright):
    return with_sheet(plan, sheet, root=divide(sheet.root.at, sheet.root.size, *parts))


def with_left(plan, place, **changes):
    entries = list(plan.leftover)
    entries[place] = replace(entries[place], **changes)
    return replace(plan, leftover=tuple(entries))


def with_line(plan, place, **changes):
    lines = list(plan.purchase.lines)
    lines[place] = replace(lines[place], **changes)
    return with_purchase(plan, lines=tuple(lines))


def with_purchase(plan, **changes):
    return replace(plan, purchase=replace(plan.purchase, **changes))


def with_offer(plan, number, **changes):
    offers = tuple(replace(o, **changes) if o.number == number else o for o in plan.job.offers)
    return replace(plan, job=replace(plan.job, offers=offers))


def with_board(plan, name, **changes):
    boards = tuple(replace(b, **changes) if b.name == name else b for b in plan.job.boards)
    return replace(plan, job=replace(plan.job, boards=boards))


def with_cost(plan, place, **changes):
    costs = list(plan.pieces)
    costs[place] = replace(costs[place], **changes)
    return replace(plan, pieces=tuple(costs))


def with_summary(plan, **changes):
    return replace(plan, summary=replace(plan.summary, **changes))


def with_shelf_kind(plan, kind):
    return replace(plan, job=replace(plan.job, shelf=(replace(plan.job.shelf[0], kind=kind),)))


def with_shop(plan, name, **changes):
    shops = tuple(replace(s, **changes) if s.name == name else s for s in plan.job.shops)
    return replace(plan, job=replace(plan.job, shops=shops))


def changed(sheet, old, new):
    """Return the root of a sheet with one of its parts, at whatever depth, replaced."""

    def walk(node):
        if node == old:
            return new
        if isinstance(node, Cut):
            return replace(node, parts=tuple(walk(part) for part in node.parts))
        return node

    return walk(sheet.root)
