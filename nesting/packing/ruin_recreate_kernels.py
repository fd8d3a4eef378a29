"""The outer loop of the search: ruin and recreate over the sheets of one board.

The method empties a few sheets, or undoes their last steps, and fills them again (`filling_kernels`). As there,
everything is whole numbers in flat sequences, which run interpreted and compiled with the same plans from the same
seed, and sizes are grown by the kerf. Besides the sequences of `filling_kernels` there are:

======== ==================================================================================================
cost     what one more of each stock costs; nothing for what is held
avail    how many more of it may be used
stock    the stock of each sheet in use; `parts` and `used` are how many steps it has and their area
order    sheet number i is in slot ``order[i]``, and its recipe begins at step ``order[i] * room``
======== ==================================================================================================

References
----------
Dueck (1993), J. Comput. Phys. 104: record-to-record travel.
Schrimpf et al. (2000), J. Comput. Phys. 159: ruin and recreate.
"""

from nesting.packing.filling_kernels import Ints, random_below, try_fill

__all__ = ["FULL", "UNCUT", "improve", "rebuild"]

UNCUT = 10**8  # the cost of a sheet that does not exist: what lies on it is not cut, so no cut on it is too long

FULL = 1 << 12  # how full a sheet is, is counted in this many steps
SLACK = 64


def put_sheet(
    slot: int,
    s: int,
    n: int,
    kept: int,
    area: int,
    left: Ints,
    avail: Ints,
    stock: Ints,
    parts: Ints,
    used: Ints,
    recipe: Ints,
    room: int,
) -> int:
    """Use the recipe in `slot` for a sheet of stock `s`; take its items after `kept` steps off `left`, count them."""
    stock[slot] = s
    parts[slot] = n
    used[slot] = area
    avail[s] -= 1
    items = 0
    for j in range(kept, n):
        code = recipe[3 * (slot * room + j) + 1]
        if code >= 0:
            left[code >> 1] -= 1
            items += 1
    return items


def remove_sheet(
    slot: int, kept: int, left: Ints, avail: Ints, stock: Ints, parts: Ints, recipe: Ints, room: int
) -> int:
    """Give back a sheet and its items beyond `kept` steps, return how many; its recipe stays."""
    avail[stock[slot]] += 1
    items = 0
    for j in range(kept, parts[slot]):
        code = recipe[3 * (slot * room + j) + 1]
        if code >= 0:
            left[code >> 1] += 1
            items += 1
    return items


def refill_sheet(
    slot: int,
    old: int,
    kept: int,
    bw: Ints,
    bh: Ints,
    cost: Ints,
    avail: Ints,
    iw: Ints,
    ih: Ints,
    types: int,
    values: Ints,
    rows: int,
    turn: int,
    longest: int,
    tries: int,
    rng: Ints,
    left: Ints,
    stock: Ints,
    parts: Ints,
    used: Ints,
    recipe: Ints,
    room: int,
    scratch: int,
    trial: Ints,
    val: Ints,
    free: Ints,
) -> int:
    """Fill a sheet again after the first `kept` steps of slot `old`, into `slot`; return how many items it gains.

    Of several tries the one with the largest area is taken. `scratch` is the step where the trials are written.
    """
    s = stock[old]
    cut = longest if cost[s] < UNCUT else bw[s] + bh[s]
    steps = 0
    most = -1
    for j in range(3 * kept):
        recipe[3 * scratch + j] = recipe[3 * old * room + j]
    for _ in range(tries):
        n, area = try_fill(
            s, bw, bh, iw, ih, types, left, values, rows, turn, cut, rng, recipe, scratch, kept, trial, val, free
        )
        if area > most:
            steps = n
            most = area
            for j in range(3 * n):
                recipe[3 * slot * room + j] = recipe[3 * scratch + j]
    return put_sheet(slot, s, steps, kept, most, left, avail, stock, parts, used, recipe, room)


def emptiness(slot: int, bw: Ints, bh: Ints, cost: Ints, stock: Ints, used: Ints) -> int:
    """Return what makes a bought sheet worth emptying: its cost times the square of the share that is empty."""
    s = stock[slot]
    empty = FULL - used[slot] * FULL // (bw[s] * bh[s])
    return max(1, cost[s]) * empty * empty


def rebuild(
    todo: int,
    limit: int,
    first: int,
    bw: Ints,
    bh: Ints,
    cost: Ints,
    avail: Ints,
    stocks: int,
    iw: Ints,
    ih: Ints,
    types: int,
    values: Ints,
    rows: int,
    turn: int,
    longest: int,
    tries: int,
    rng: Ints,
    left: Ints,
    order: Ints,
    stock: Ints,
    parts: Ints,
    used: Ints,
    recipe: Ints,
    room: int,
    trial: Ints,
    val: Ints,
    free: Ints,
) -> tuple[int, int]:
    """Cut `todo` items (counted in `left`) from the stock there is, first from what is held.

    The sheets go to the slots ``order[first]`` and on. Returns (how many, their cost). How many is -1 as soon as the
    cost exceeds `limit` or the stock or the slots run out: the sheets begun are then still in their slots and taken
    from `avail`, and ``trial[types]`` counts them.
    """
    sheets = 0
    spent = 0
    start = random_below(rng, stocks)
    for i in range(stocks):
        s = (start + i) % stocks
        while todo > 0 and cost[s] == 0 and avail[s] > 0 and first + sheets < len(order) and random_below(rng, 8) > 0:
            slot = order[first + sheets]
            n, area = try_fill(
                s,
                bw,
                bh,
                iw,
                ih,
                types,
                left,
                values,
                rows,
                turn,
                longest,
                rng,
                recipe,
                slot * room,
                0,
                trial,
                val,
                free,
            )
            if area == 0:
                break
            todo -= put_sheet(slot, s, n, 0, area, left, avail, stock, parts, used, recipe, room)
            sheets += 1
    while todo > 0:
        trial[types] = sheets
        if first + sheets >= len(order):
            return -1, spent
        slot = order[first + sheets]
        scratch = len(order) * room
        best = -1
        parts_best = 0
        area_best = 0
        rate = 0.0  # a guide only, and the same in both engines: areas are well below 2**53
        for s in range(stocks):
            if cost[s] == 0 or avail[s] == 0 or spent + cost[s] > limit:
                continue
            cut = longest if cost[s] < UNCUT else bw[s] + bh[s]
            for _ in range(tries):
                n, area = try_fill(
                    s, bw, bh, iw, ih, types, left, values, rows, turn, cut, rng, recipe, scratch, 0, trial, val, free
                )
                if area / cost[s] > rate:
                    rate = area / cost[s]
                    best = s
                    parts_best = n
                    area_best = area
                    for j in range(3 * n):
                        recipe[3 * slot * room + j] = recipe[3 * scratch + j]
        if best < 0:
            return -1, spent
        todo -= put_sheet(slot, best, parts_best, 0, area_best, left, avail, stock, parts, used, recipe, room)
        spent += cost[best]
        sheets += 1
    return sheets, spent


def pick_sheet(
    order: Ints, sheets: int, taken: int, bw: Ints, bh: Ints, cost: Ints, stock: Ints, used: Ints, rng: Ints
) -> int:
    """Move one of the first ``sheets - taken`` sheets to their end: the first for its emptiness, others by chance."""
    n = sheets - taken
    i = random_below(rng, n)
    if taken == 0:
        for _ in range(3):
            j = random_below(rng, n)
            if emptiness(order[j], bw, bh, cost, stock, used) > emptiness(order[i], bw, bh, cost, stock, used):
                i = j
    elif random_below(rng, 2) == 0:  # small fallouts must not crowd out the sheets
        j = random_below(rng, n)
        if used[order[j]] > used[order[i]]:
            i = j
    slot = order[i]
    order[i] = order[n - 1]
    order[n - 1] = slot
    return slot


def improve(
    rounds: int,
    head: Ints,
    bw: Ints,
    bh: Ints,
    cost: Ints,
    avail: Ints,
    stocks: int,
    iw: Ints,
    ih: Ints,
    types: int,
    values: Ints,
    rows: int,
    turn: int,
    longest: int,
    tries: int,
    rng: Ints,
    left: Ints,
    order: Ints,
    stock: Ints,
    parts: Ints,
    used: Ints,
    recipe: Ints,
    room: int,
    trial: Ints,
    val: Ints,
    free: Ints,
) -> None:
    """Ruin and recreate: empty up to five sheets, or cut them back, and cut their items again; keep what is no worse.

    This is done `rounds` times. In three of four rounds some of the sheets keep their first steps and are filled from
    there. ``head`` holds (sheets, cost, sum of `emptiness`, its record at this cost, steps kept of each sheet taken).
    Cheaper is better; at the same cost the sum of `emptiness` is to be large, which drives the emptiest sheet to
    nothing. It may fall short of its record by one part in `SLACK`, or the search would stop at the first local optimum
    (record-to-record travel).
    """
    for _ in range(rounds):
        sheets = head[0]
        if sheets == 0:
            return
        taken = min(sheets, 2 + random_below(rng, 4))
        partly = random_below(rng, 4)
        todo = 0
        spent = 0
        before = 0
        for i in range(taken):
            slot = pick_sheet(order, sheets, i, bw, bh, cost, stock, used, rng)
            before += emptiness(slot, bw, bh, cost, stock, used)
            spent += cost[stock[slot]]
            kept = random_below(rng, parts[slot]) if partly and random_below(rng, 2) else 0
            while kept > 0 and recipe[3 * (slot * room + kept - 1) + 1] < 0:  # what is kept ends with an item
                kept -= 1
            head[4 + i] = kept
            todo += remove_sheet(slot, kept, left, avail, stock, parts, recipe, room)
        refilled = 0
        paid = 0
        for i in range(taken):
            if head[4 + i] == 0:
                continue
            old = order[sheets - 1 - i]
            todo -= refill_sheet(
                order[sheets + refilled],
                old,
                head[4 + i],
                bw,
                bh,
                cost,
                avail,
                iw,
                ih,
                types,
                values,
                rows,
                turn,
                longest,
                tries,
                rng,
                left,
                stock,
                parts,
                used,
                recipe,
                room,
                len(order) * room,
                trial,
                val,
                free,
            )
            refilled += 1
            paid += cost[stock[old]]
        made, now = rebuild(
            todo,
            spent - paid,
            sheets + refilled,
            bw,
            bh,
            cost,
            avail,
            stocks,
            iw,
            ih,
            types,
            values,
            rows,
            turn,
            longest,
            tries,
            rng,
            left,
            order,
            stock,
            parts,
            used,
            recipe,
            room,
            trial,
            val,
            free,
        )
        whole = made >= 0
        made = refilled + (made if whole else trial[types])
        now += paid
        after = 0
        for i in range(made):
            after += emptiness(order[sheets + i], bw, bh, cost, stock, used)
        total = head[2] + after - before
        if whole and (now < spent or total >= head[3] - head[3] // SLACK):
            for i in range(made):
                slot = order[sheets - taken + i]
                order[sheets - taken + i] = order[sheets + i]
                order[sheets + i] = slot
            head[0] = sheets - taken + made
            head[1] += now - spent
            head[2] = total
            head[3] = total if now < spent else max(head[3], total)
        else:
            for i in range(made):
                avail[stock[order[sheets + i]]] += 1
            for i in range(taken):
                avail[stock[order[sheets - 1 - i]]] -= 1
        for t in range(types):
            left[t] = 0
