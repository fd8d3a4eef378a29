"""The inner loops of `set_enumeration`: all sets of items on one sheet of at least a given value, with their boxes.

Whole numbers in flat sequences, interpreted or compiled alike, sizes grown by the kerf (see `filling_kernels`). A
set is three numbers: two have a bit for each kind of which there is one, the third a field for each kind of which there
are more. Two sets may lie on one sheet if they share no bit and no field goes beyond what there is of its kind; then
the guard bit on top of each field, with what `bias` adds to it, stays 0.
"""

from nesting.packing.filling_kernels import Ints

__all__ = ["gather", "largest", "outside"]

HALF = (1 << 31) - 1  # the products of a half stay below 2**63


def outside(
    nx: int, ny: int, fx: Ints, fy: Ints, right: int, top: int, value: Ints, begin: int, most: Ints, line: Ints
) -> None:
    """Write the most value that a sheet can hold beside a box, for boxes of every size.

    Parameters
    ----------
    nx, ny, fx, fy : the grid, as `recursion_kernels.value_table` has it
    right, top : the place of the sheet in it
    value, begin : the most that every size holds, from `begin` on
    most : written, ``most[i * ny + j]`` for a box of the size at i and j
    line : has room for two rows

    Notes
    -----
    Strips beside a box are tried for a whole row at a time, on slices, which compilers make vectors of. Strips above it
    end only where a higher box would leave less.

    References
    ----------
    Viswanathan & Bagchi (1993), Oper. Res. 41; Cung, Hifi & Le Cun (2000), Int. Trans. Oper. Res. 7.
    """
    for i in range(right, 0, -1):
        row = i * ny
        for j in range(top + 1):
            line[j] = 0
        for k in range(i + 1, right + 1):
            strip = begin + fx[k * nx + i] * ny
            beside = value[strip : strip + top + 1]
            wider = most[k * ny : k * ny + top + 1]
            for j in range(len(wider)):
                line[j] = max(line[j], beside[j] + wider[j])
        falls = 0
        for j in range(top, 0, -1):
            best = line[j]
            for f in range(ny, ny + falls):
                k = line[f]
                best = max(best, value[begin + row + fy[k * ny + j]] + most[row + k])
            most[row + j] = best
            if falls == 0 or best > most[row + j + 1]:
                line[ny + falls] = j
                falls += 1
        most[row] = 0


def place(points: Ints, count: int, length: int) -> int:
    """Return the place of the largest of the points that is no larger."""
    low = 0
    high = count
    while low + 1 < high:
        middle = (low + high) // 2
        if points[middle] <= length:
            low = middle
        else:
            high = middle
    return low


def by_area(area: int, one: int, other: int, more: int, kinds: Ints, count: int) -> int:
    """Return the most value that an area can hold of the items that a set does not have, items divided at will.

    `kinds` has six numbers for each of the `count` kinds, the most value for its area first: its value, its area, how
    many there are, and where a set has it: which number, how far up, and the field's bits.
    """
    worth = 0
    for t in range(0, 6 * count, 6):
        word = one if kinds[t + 3] == 0 else other if kinds[t + 3] == 1 else more
        left = kinds[t + 2] - (word >> kinds[t + 4] & kinds[t + 5])
        if left * kinds[t + 1] >= area:
            return worth + area * kinds[t] // kinds[t + 1] + 1
        worth += left * kinds[t]
        area -= left * kinds[t + 1]
    return worth


def slot_of(one: int, other: int, more: int, size: int) -> int:
    """Return the slot of a set; there are `size`, a power of two."""
    mixed = (one & HALF) * 0x9E3779B1 ^ (one >> 31) * 0x85EBCA77
    mixed ^= (other & HALF) * 0xC2B2AE3D ^ (other >> 31) * 0x27D4EB2F
    mixed ^= (more & HALF) * 0x165667B1 ^ (more >> 31) * 0xD6E8FEB9
    return (mixed >> 21) & (size - 1)


def listed(one: int, other: int, more: int, w: int, h: int, sets: Ints, boxes: Ints, newest: int) -> bool:
    """Whether one of the boxes in a slot, `newest` less one and on from there, has just these items within w x h."""
    b = newest - 1
    while b >= 0:
        same = sets[3 * b] == one and sets[3 * b + 1] == other and sets[3 * b + 2] == more
        if same and boxes[8 * b] <= w and boxes[8 * b + 1] <= h:
            return True
        b = boxes[8 * b + 5]
    return False


def largest(
    total: int,
    kinds: Ints,
    count: int,
    least: int,
    w: int,
    h: int,
    sets: Ints,
    boxes: Ints,
    slots: Ints,
    size: int,
    found: Ints,
) -> int:
    """Write to `found` the boxes of value `least` to which no item can be added within w x h; return how many.

    The other parameters are those of `gather`, when it is done.
    """
    n = 0
    for b in range(total):
        if boxes[8 * b + 2] < least:
            continue
        alone = True
        for t in range(0, 6 * count, 6):
            had = sets[3 * b + kinds[t + 3]] >> kinds[t + 4] & kinds[t + 5]
            if had < kinds[t + 2]:
                step = 1 << kinds[t + 4]
                one = sets[3 * b] + (step if kinds[t + 3] == 0 else 0)
                other = sets[3 * b + 1] + (step if kinds[t + 3] == 1 else 0)
                more = sets[3 * b + 2] + (step if kinds[t + 3] == 2 else 0)
                if listed(one, other, more, w, h, sets, boxes, slots[slot_of(one, other, more, size)]):
                    alone = False
                    break
        if alone:
            found[n] = b
            n += 1
    return n


def gather(
    singles: int,
    kinds: Ints,
    count: int,
    bias: int,
    guards: int,
    w: int,
    h: int,
    longest: int,
    xs: Ints,
    nx: int,
    ys: Ints,
    ny: int,
    most: Ints,
    least: int,
    room: int,
    sets: Ints,
    boxes: Ints,
    slots: Ints,
    size: int,
    lists: Ints,
    n: int,
    work: int,
) -> int:
    """List the boxes that a sheet of w x h of value `least` may be made of; return how many, -1 if too many.

    Parameters
    ----------
    singles : how many boxes there are to begin with, one item each
    kinds, count : see `by_area`
    bias, guards : see above
    longest : no cut is longer
    xs, nx, ys, ny, most : the grid, and what `outside` found
    room : how many boxes may be listed
    sets : three numbers for each box; those of the boxes to begin with are there, the others are written
    boxes : likewise eight numbers for each box: width, height, value, the two boxes that it is made of (-1 for a single
        item), and the next ones in its slot, among those about as wide and among those about as high
    slots, size : written: one more than the last box in each slot; how many slots there are, a power of two
    lists, n : one more than the last box of each of n widths and of n heights
    work : how many steps may be taken, one for each pair of boxes, and one for each kind where a pair is looked into

    Notes
    -----
    Every box is tried with all before it, side by side and one above the other. It is kept if its items and the most
    that can lie beside it may reach `least`, and if no box of the same items lies within it.
    """
    for slot in range(size):
        slots[slot] = 0
    total = singles
    at = 0
    while at < total:
        aw = boxes[8 * at]
        ah = boxes[8 * at + 1]
        boxes[8 * at + 6] = lists[(aw - 1) * n // w] - 1
        boxes[8 * at + 7] = lists[n + (ah - 1) * n // h] - 1
        lists[(aw - 1) * n // w] = at + 1
        lists[n + (ah - 1) * n // h] = at + 1
        for level in range(2):
            left = h - ah if level else w - aw
            if left <= 0:
                continue
            for number in range(level * n, level * n + (left - 1) * n // (h if level else w) + 1):
                b = lists[number] - 1
                while b >= 0:
                    work -= 1
                    mate = b
                    b = boxes[8 * mate + 6 + level]
                    one = sets[3 * at] | sets[3 * mate]
                    other = sets[3 * at + 1] | sets[3 * mate + 1]
                    more = sets[3 * at + 2] + sets[3 * mate + 2]
                    if one != sets[3 * at] + sets[3 * mate] or other != sets[3 * at + 1] + sets[3 * mate + 1]:
                        continue
                    if (more + bias) & guards:
                        continue
                    cw = max(aw, boxes[8 * mate]) if level else aw + boxes[8 * mate]
                    ch = ah + boxes[8 * mate + 1] if level else max(ah, boxes[8 * mate + 1])
                    if cw > w or ch > h or (cw if level else ch) > longest:
                        continue
                    value = boxes[8 * at + 2] + boxes[8 * mate + 2]
                    work -= count
                    if value + most[place(xs, nx, cw) * ny + place(ys, ny, ch)] < least:
                        continue
                    rest = w * h - cw * ch
                    if value < least and value + by_area(rest, one, other, more, kinds, count) < least:
                        continue
                    slot = slot_of(one, other, more, size)
                    if listed(one, other, more, cw, ch, sets, boxes, slots[slot]):
                        continue
                    if total >= room:
                        return -1
                    sets[3 * total] = one
                    sets[3 * total + 1] = other
                    sets[3 * total + 2] = more
                    boxes[8 * total] = cw
                    boxes[8 * total + 1] = ch
                    boxes[8 * total + 2] = value
                    boxes[8 * total + 3] = mate
                    boxes[8 * total + 4] = at
                    boxes[8 * total + 5] = slots[slot] - 1
                    slots[slot] = total + 1
                    total += 1
        if work < 0:
            return -1
        at += 1
    return total
