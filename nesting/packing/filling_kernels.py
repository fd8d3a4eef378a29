"""The inner loop of the search: filling one sheet by straight cuts.

Everything here is whole numbers in flat sequences, so that the very same functions run interpreted on lists (small
jobs, which should not wait for a compiler) and compiled on arrays (large ones), with the same plans from the same seed.

Sizes are *grown by the kerf*: a part of true width w counts w + kerf, and so do sheets. Straight cuts of grown parts
then lose nothing, and a last strip no wider than the kerf is a remainder that nothing fits. `longest` is grown alike.

Filling is greedy and randomised: each item goes into a corner of the smallest free rectangle that takes any, and the
rest of the rectangle is split in two by straight cuts.

The sequences, for `types` kinds of part and `stocks` kinds of stock:

======== ==================================================================================================
iw, ih   width and height of each type
values   `rows` rows of `types` values, which say what is put in first
bw, bh   width and height of each stock, largest value first
recipe   three numbers for each step. First the rectangle that it divides: the sheet is 0, and step i makes
         2i + 1, at the right, and 2i + 2, above. Then the item in its corner: twice its type, plus one if
         it is turned. Last the way of the first cut. A negative number in place of the item means a single
         cut so far in, with rectangle 2i + 1 before it and 2i + 2 beyond it
======== ==================================================================================================

References
----------
Lodi, Martello & Vigo (1999), INFORMS J. Comput. 11: greedy guillotine filling with free rectangles.
"""

from collections.abc import MutableSequence

__all__ = ["LEVEL", "UPRIGHT", "Ints", "fill", "random_below", "split", "try_fill", "ways"]

Ints = MutableSequence[int]

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
