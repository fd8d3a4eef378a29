"""The inner loops: filling one sheet by straight cuts, and ruin and recreate over the sheets of one board.

Everything here is whole numbers in flat sequences, so that the very same functions run interpreted on lists (small
jobs, which should not wait for a compiler) and compiled on arrays (large ones), with the same plans from the same seed.

Sizes are *grown by the kerf*: a part of true width w counts w + kerf, and so do sheets. Straight cuts of grown parts
then lose nothing, and a last strip no wider than the kerf is a remainder that nothing fits. `longest` is grown alike.

The method is ruin and recreate: a loop empties a few sheets, or undoes their last steps, and fills them again. Filling
is greedy and randomised: each item goes into a corner of the smallest free rectangle that takes any, and the rest of
the rectangle is split in two by straight cuts.

Functions that call each other stay in this file, since numba keeps what it has compiled until that file changes.

The sequences, for `types` kinds of part and `stocks` kinds of stock:

======== ==================================================================================================
iw, ih   width and height of each type
values   `rows` rows of `types` values, which say what is put in first
bw, bh   width and height of each stock, largest value first
cost     what one more of it costs; nothing for what is held
avail    how many more of it may be used
recipe   three numbers for each step. First the rectangle that it divides: the sheet is 0, and step i makes
         2i + 1, at the right, and 2i + 2, above. Then the item in its corner: twice its type, plus one if
         it is turned. Last the way of the first cut. A negative number in place of the item means a single
         cut so far in, with rectangle 2i + 1 before it and 2i + 2 beyond it
stock    the stock of each sheet in use; `parts` and `used` are how many steps it has and their area
order    sheet number i is in slot ``order[i]``, and its recipe begins at step ``order[i] * room``
======== ==================================================================================================

References
----------
Dueck (1993), J. Comput. Phys. 104: record-to-record travel.
Lodi, Martello & Vigo (1999), INFORMS J. Comput. 11: greedy guillotine filling with free rectangles.
Schrimpf et al. (2000), J. Comput. Phys. 159: ruin and recreate.
"""

from collections.abc import MutableSequence

__all__ = ["FULL", "LEVEL", "UNCUT", "UPRIGHT", "Ints", "improve", "rebuild", "ways"]

Ints = MutableSequence[int]

UNCUT = 10**8  # the cost of a sheet that does not exist: what lies on it is not cut, so no cut on it is too long

FULL = 1 << 12  # how full a sheet is, is counted in this many steps
SLACK = 64
UPRIGHT = 0
LEVEL = 1


def random_below(rng: Ints, n: int) -> int:
    """Return a number from 0 to n - 1 and step the generator in ``rng[0]`` (linear congruence, 32 bits)."""
    rng[0] = (rng[0] * 1664525 + 1013904223) & 0xFFFFFFFF
    return ((rng[0] >> 8) * n) >> 24


def ways(w: int, h: int, rw: int, rh: int, longest: int) -> int:
    """Return which first cut frees a w x h part in a corner of rw x rh: 1 upright, 2 level, 3 either, 0 neither."""
    if w > rw or h > rh:
        return 0
    found = 0
    if (w == rw or rh <= longest) and (h == rh or w <= longest):
        found = 1
    if (h == rh or rw <= longest) and (w == rw or h <= longest):
        found += 2
    return found


def choose(
    rw: int, rh: int, iw: Ints, ih: Ints, types: int, left: Ints, val: Ints, turn: int, longest: int, favour: int
) -> int:
    """Return twice the type, plus one if turned, of the part of most value that rw x rh takes; -1 if it takes none."""
    best = -1
    top = 0
    for t in range(types):
        if left[t] == 0:
            continue
        for turned in range(1 + turn):
            w = ih[t] if turned else iw[t]
            h = iw[t] if turned else ih[t]
            if ways(w, h, rw, rh, longest) == 0:
                continue
            v = val[t]
            if w == rw:
                v += (v * favour) >> 3
            if h == rh:
                v += (v * favour) >> 3
            if v > top:
                top = v
                best = 2 * t + turned
    return best


def split(rule: int, w: int, h: int, rw: int, rh: int, allowed: int, rng: Ints) -> int:
    """Return the way of the first cut that frees w x h in rw x rh, by one of five rules where both are allowed."""
    if allowed == 1:
        return UPRIGHT
    if allowed == 2:
        return LEVEL
    dw = rw - w
    dh = rh - h
    if rule == 0:  # the larger remainder as large as can be
        upright = max(dw * rh, w * dh) >= max(rw * dh, dw * h)
    elif rule == 1:  # along the shorter remainder
        upright = dw >= dh
    elif rule == 2:  # along the longer remainder
        upright = dw < dh
    elif rule == 3:  # along the shorter side of the part
        upright = h <= w
    else:
        upright = random_below(rng, 2) == 0
    return UPRIGHT if upright else LEVEL


def pair(side: int, whole: int, iw: Ints, ih: Ints, types: int, left: Ints, turn: int, way: int, rng: Ints) -> int:
    """Return how far in a cut runs that two items side by side just reach, at least `side`; 0 if none was found.

    Some good patterns have a strip that is a little wider than its largest part, because two others fill it together.
    """
    for _ in range(12):
        a = random_below(rng, types)
        b = random_below(rng, types)
        if left[a] == 0 or left[b] == 0 or (a == b and left[a] < 2):
            continue
        at = 0
        for t in (a, b):
            lying = random_below(rng, 2) if turn else 0
            at += iw[t] if lying == way else ih[t]
        if side <= at < whole and 8 * at <= 9 * side:
            return at
    return 0


def divide(rw: int, rh: int, w: int, h: int, code: int, way: int, step: int, free: Ints, frees: int) -> int:
    """Add what a step leaves of the rectangle rw x rh to the free ones; return how many there are then.

    The step puts an item of w x h into its corner, or is a single cut ``-code`` in.
    """
    first = 3 * frees
    if code < 0:
        upright = way == UPRIGHT
        free[first] = -code if upright else rw
        free[first + 1] = rh if upright else -code
        free[first + 2] = 2 * step + 1
        free[first + 3] = rw + code if upright else rw
        free[first + 4] = rh if upright else rh + code
        free[first + 5] = 2 * step + 2
        return frees + 2
    if w < rw:
        free[first] = rw - w
        free[first + 1] = rh if way == UPRIGHT else h
        free[first + 2] = 2 * step + 1
        first += 3
    if h < rh:
        free[first] = w if way == UPRIGHT else rw
        free[first + 1] = rh - h
        free[first + 2] = 2 * step + 2
        first += 3
    return first // 3


def replay(kept: int, iw: Ints, ih: Ints, recipe: Ints, base: int, free: Ints) -> tuple[int, int, int]:
    """Repeat the first `kept` steps of a recipe; return (free rectangles, area placed, single cuts)."""
    frees = 1
    area = 0
    cuts = 0
    for step in range(kept):
        rid, code, way = recipe[3 * (base + step)], recipe[3 * (base + step) + 1], recipe[3 * (base + step) + 2]
        k = 0
        while free[3 * k + 2] != rid:
            k += 1
        rw = free[3 * k]
        rh = free[3 * k + 1]
        frees -= 1
        for j in range(3):
            free[3 * k + j] = free[3 * frees + j]
        w = h = 0
        if code >= 0:
            w = ih[code >> 1] if code & 1 else iw[code >> 1]
            h = iw[code >> 1] if code & 1 else ih[code >> 1]
        else:
            cuts += 1
        frees = divide(rw, rh, w, h, code, way, step, free, frees)
        area += w * h
    return frees, area, cuts


def fill(
    rw: int,
    rh: int,
    iw: Ints,
    ih: Ints,
    types: int,
    left: Ints,
    val: Ints,
    turn: int,
    longest: int,
    rng: Ints,
    recipe: Ints,
    base: int,
    kept: int,
    free: Ints,
) -> tuple[int, int]:
    """Fill one sheet of rw x rh greedily; return (steps taken, area placed). `left` is counted down.

    The recipe is written from step `base` on. Its first `kept` steps are there already, and their items are not in
    `left`. `free` is room for three numbers for each free rectangle.
    """
    rule = random_below(rng, 5)
    favour = 2 * random_below(rng, 4)
    pairing = random_below(rng, 2)  # whether some cuts run beyond two parts at once, along neither of them
    free[0] = rw
    free[1] = rh
    free[2] = 0
    placed = kept
    frees, area, cuts = replay(kept, iw, ih, recipe, base, free)
    while frees > 0:
        k = 0
        for j in range(1, frees):
            if free[3 * j] * free[3 * j + 1] < free[3 * k] * free[3 * k + 1]:
                k = j
        rw = free[3 * k]
        rh = free[3 * k + 1]
        rid = free[3 * k + 2]
        frees -= 1
        for j in range(3):
            free[3 * k + j] = free[3 * frees + j]
        code = choose(rw, rh, iw, ih, types, left, val, turn, longest, favour)
        if code < 0:
            continue
        t = code >> 1
        w = ih[t] if code & 1 else iw[t]
        h = iw[t] if code & 1 else ih[t]
        way = UPRIGHT
        at = 0
        if pairing and 2 * cuts <= placed and random_below(rng, 3) == 0:
            way = random_below(rng, 2)
            if (rh if way == UPRIGHT else rw) <= longest:
                side, whole = (w, rw) if way == UPRIGHT else (h, rh)
                at = pair(side, whole, iw, ih, types, left, turn, way, rng)
        if at > 0:
            code = -at
            cuts += 1
        else:
            way = split(rule, w, h, rw, rh, ways(w, h, rw, rh, longest), rng)
            area += w * h
            left[t] -= 1
        recipe[3 * (base + placed)] = rid
        recipe[3 * (base + placed) + 1] = code
        recipe[3 * (base + placed) + 2] = way
        frees = divide(rw, rh, w, h, code, way, placed, free, frees)
        placed += 1
    return placed, area


def try_fill(
    s: int,
    bw: Ints,
    bh: Ints,
    iw: Ints,
    ih: Ints,
    types: int,
    left: Ints,
    values: Ints,
    rows: int,
    turn: int,
    longest: int,
    rng: Ints,
    recipe: Ints,
    base: int,
    kept: int,
    trial: Ints,
    val: Ints,
    free: Ints,
) -> tuple[int, int]:
    """Fill a sheet of stock `s` by randomised values, `left` unchanged; return (steps, area placed).

    Its first `kept` steps stay.
    """
    row = types * random_below(rng, rows)
    shake = 340 * random_below(rng, 3)  # of 1024: values are lowered by chance, by nothing, up to a third or two thirds
    for t in range(types):
        trial[t] = left[t]
        val[t] = values[row + t]
        if shake:
            val[t] -= (val[t] * random_below(rng, shake)) >> 10
    return fill(bw[s], bh[s], iw, ih, types, trial, val, turn, longest, rng, recipe, base, kept, free)


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
