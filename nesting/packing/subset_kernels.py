"""The inner loop of `subsets`: every set of a few items that straight cuts can free together, with its smallest boxes.

Whole numbers in flat sequences, interpreted or compiled alike, sizes grown by the kerf (see `filling_kernels`). A
set is a number with a bit for each item; items of one size follow one another, and a set that has k of them has the
first k, so that sets which look alike are one. ``alike[i]`` has the bits of all items of the size of item i. Sets are
kept in a table with open addressing: ``slots[h]`` is one more than the place of a set in `masks`, or 0.
"""

from nesting.packing.filling_kernels import Ints

__all__ = ["MOST_BOXES", "SEGMENT", "collect", "dearest", "find", "largest", "parting"]

MOST_BOXES = 200
"""With more boxes that are not within one another for one set, listing is given up."""

SEGMENT = 1024
"""How many boxes each of the three parts of `work` takes: those of a set so far, further ones, and both together."""


def find(mask: int, slots: Ints, size: int, masks: Ints) -> int:
    """Return the place of a set in `masks`, or -1; `size` is how many slots there are, a power of two."""
    h = ((mask * 0x9E3779B1) >> 7) & (size - 1)
    while slots[h] > 0:
        if masks[slots[h] - 1] == mask:
            return slots[h] - 1
        h = (h + 1) & (size - 1)
    return -1


def keep(mask: int, place: int, slots: Ints, size: int, masks: Ints) -> None:
    """Put a set in its place and where `find` finds it."""
    masks[place] = mask
    h = ((mask * 0x9E3779B1) >> 7) & (size - 1)
    while slots[h] > 0:
        h = (h + 1) & (size - 1)
    slots[h] = place + 1


def fits_any(w: int, h: int, spaces: Ints, n: int) -> bool:
    """Whether one of `n` spaces takes a box."""
    fits = False
    for s in range(n):
        if w <= spaces[2 * s] and h <= spaces[2 * s + 1]:
            fits = True
    return fits


def side_by_side(
    a: int, b: int, boxes: Ints, begin: Ints, spaces: Ints, n: int, longest: int, work: Ints, at: int
) -> int:
    """Write the boxes of two sets cut side by side to `work` from box `at` on; return how many fit a space."""
    count = 0
    p = begin[a]
    q = begin[b]
    while p < begin[a + 1] and q < begin[b + 1]:
        w = boxes[2 * p] + boxes[2 * q]
        h = max(boxes[2 * p + 1], boxes[2 * q + 1])
        if h <= longest and fits_any(w, h, spaces, n):
            work[2 * (at + count)] = w
            work[2 * (at + count) + 1] = h
            count += 1
        higher = boxes[2 * p + 1] - boxes[2 * q + 1]
        if higher >= 0:
            p += 1
        if higher <= 0:
            q += 1
    return count


def one_above_other(
    a: int, b: int, boxes: Ints, begin: Ints, spaces: Ints, n: int, longest: int, work: Ints, end: int
) -> int:
    """Write the boxes of two sets cut one above the other to `work` up to box `end`; return how many fit a space."""
    count = 0
    p = begin[a + 1] - 1
    q = begin[b + 1] - 1
    while p >= begin[a] and q >= begin[b]:
        w = max(boxes[2 * p], boxes[2 * q])
        h = boxes[2 * p + 1] + boxes[2 * q + 1]
        if w <= longest and fits_any(w, h, spaces, n):
            count += 1
            work[2 * (end - count)] = w
            work[2 * (end - count) + 1] = h
        wider = boxes[2 * p] - boxes[2 * q]
        if wider >= 0:
            p -= 1
        if wider <= 0:
            q -= 1
    return count


def turned(work: Ints, first: int, count: int, at: int) -> None:
    """Write boxes once more from box `at` on, each turned a quarter."""
    for k in range(count):
        work[2 * (at + k)] = work[2 * (first + count - 1 - k) + 1]
        work[2 * (at + k) + 1] = work[2 * (first + count - 1 - k)]


def merged(work: Ints, one: int, ones: int, other: int, others: int, at: int) -> int:
    """Write from box `at` on those of two rows of boxes that have none of them within; return how many.

    In each row the boxes stand narrow and tall ones first, and no box is within another.
    """
    count = 0
    i = one
    j = other
    while i < one + ones or j < other + others:
        takes = j == other + others
        if not takes and i < one + ones:
            takes = work[2 * i] < work[2 * j] or (work[2 * i] == work[2 * j] and work[2 * i + 1] <= work[2 * j + 1])
        k = i if takes else j
        if takes:
            i += 1
        else:
            j += 1
        if count == 0 or work[2 * k + 1] < work[2 * (at + count) - 1]:
            work[2 * (at + count)] = work[2 * k]
            work[2 * (at + count) + 1] = work[2 * k + 1]
            count += 1
    return count


def listed_set(place: int, count: int, work: Ints, boxes: Ints, begin: Ints) -> None:
    """Take over the boxes of a set that stand first in `work`."""
    for k in range(2 * count):
        boxes[2 * begin[place] + k] = work[k]
    begin[place + 1] = begin[place] + count


def is_next(i: int, mask: int, alike: Ints) -> bool:
    """Whether item i is the first of its size that a set does not have."""
    return mask >> i & 1 == 0 and (i == 0 or alike[i - 1] != alike[i] or mask >> (i - 1) & 1 == 1)


def own_sizes(mask: int, items: int, alike: Ints, own: Ints) -> int:
    """Write the bits of the sizes that a set has, those of later items first; return how many sizes."""
    count = 0
    for i in range(items - 1, -1, -1):
        if mask >> i & 1 and (i == 0 or alike[i - 1] != alike[i]):
            own[count] = alike[i]
            count += 1
    return count


def without_one(mask: int, size: int) -> int:
    """Return a set with one item of a size less; `size` has the bits of all items of it."""
    return mask ^ ((mask & size) + (size & -size) >> 1)


def all_smaller(whole: int, count: int, own: Ints, slots: Ints, size: int, masks: Ints) -> bool:
    """Whether a set with any one item taken out is listed, without which it fits nothing either."""
    k = 0
    while k < count and find(without_one(whole, own[k]), slots, size, masks) >= 0:
        k += 1
    return k == count


def ways_to_part(whole: int, count: int, own: Ints) -> int:
    """Return how many parts of a set look different."""
    ways = 1
    for k in range(count):
        copies = 1
        left = whole & own[k]
        while left:
            left &= left - 1
            copies += 1
        ways *= copies
    return ways


def next_parts(part: int, rest: int, whole: int, own: Ints) -> tuple[int, int]:
    """Return the two parts of a set that follow these; the first begins with the whole, and never is empty.

    They are counted down like a number with a digit for each size in `own`, the first digit being the quickest.
    """
    k = 0
    while part & own[k] == 0:
        part |= whole & own[k]
        rest &= ~own[k]
        k += 1
    return without_one(part, own[k]), (rest & ~own[k]) | (rest & own[k]) << 1 | (own[k] & -own[k])


def join_parts(
    whole: int,
    count: int,
    own: Ints,
    slots: Ints,
    size: int,
    masks: Ints,
    boxes: Ints,
    begin: Ints,
    spaces: Ints,
    n: int,
    turn: int,
    longest: int,
    work: Ints,
) -> int:
    """Write the boxes of a set, of all ways to part it in two, to `work`; return how many, or more than `MOST_BOXES`.

    Once the part has none of the size of the lowest item, all that would follow have been the rest of one before. Where
    items may be turned, what is cut one above the other is what is cut side by side turned a quarter.
    """
    made = 0
    part = whole
    rest = 0
    last = own[count - 1]
    while made <= MOST_BOXES:
        part, rest = next_parts(part, rest, whole, own)
        if part & last == 0:
            break
        a = find(part, slots, size, masks)
        b = find(rest, slots, size, masks)
        more = side_by_side(a, b, boxes, begin, spaces, n, longest, work, SEGMENT)
        made = taken_in(work, made, SEGMENT, more)
        if not turn and made <= MOST_BOXES:
            more = one_above_other(a, b, boxes, begin, spaces, n, longest, work, 2 * SEGMENT)
            made = taken_in(work, made, 2 * SEGMENT - more, more)
    if turn and made <= MOST_BOXES:
        turned(work, 0, made, SEGMENT)
        made = taken_in(work, made, SEGMENT, made)
    return made


def taken_in(work: Ints, made: int, other: int, others: int) -> int:
    """Take boxes in among the `made` that stand first in `work`; return how many there are then."""
    if others == 0:
        return made
    count = merged(work, 0, made, other, others, 2 * SEGMENT)
    for k in range(2 * count):
        work[k] = work[4 * SEGMENT + k]
    return count


def collect(
    iw: Ints,
    ih: Ints,
    alike: Ints,
    own: Ints,
    items: int,
    spaces: Ints,
    n: int,
    turn: int,
    longest: int,
    most: int,
    room: int,
    masks: Ints,
    begin: Ints,
    boxes: Ints,
    slots: Ints,
    size: int,
    work: Ints,
) -> int:
    """List every set of items that fits a space; return how many, or -1 when there are more than there is room for.

    Parameters
    ----------
    iw, ih, alike : sizes of the `items` items, and for each the bits of all of its size
    own : room for as many sizes
    work : room for three times `SEGMENT` boxes
    spaces : width and height of each of the `n` spaces, all ways round that they may lie
    most : the area of the largest space
    room : how many sets `masks` takes, and eight times how many boxes `boxes` takes
    masks, begin, boxes : written: the sets, smaller ones first; where the boxes of each begin; the boxes, none of a set
        within another

    Notes
    -----
    A set of k items is tried if it is one of k - 1 with a later item added and fits with any one of its items left out.
    Its boxes come from all ways of parting it in two sets, so the work is at most 3**items, and much less where few
    items go on a sheet or many are alike. Past a hundred ways for each set there is room for, it is given up.
    """
    ways = 0
    total = 0
    begin[0] = 0
    for i in range(items):
        if is_next(i, 0, alike) and fits_any(iw[i], ih[i], spaces, n):
            work[0] = iw[i]
            work[1] = ih[i]
            count = 1
            if turn:
                turned(work, 0, 1, SEGMENT)
                count = taken_in(work, 1, SEGMENT, 1)
            keep(1 << i, total, slots, size, masks)
            listed_set(total, count, work, boxes, begin)
            total += 1
    at = 0
    while at < total:
        mask = masks[at]
        at += 1
        area = 0
        last = 0
        for i in range(items):
            if mask >> i & 1:
                area += iw[i] * ih[i]
                last = i
        for i in range(last + 1, items):
            whole = mask | 1 << i
            if area + iw[i] * ih[i] > most or not is_next(i, mask, alike):
                continue
            sizes = own_sizes(whole, items, alike, own)
            if not all_smaller(whole, sizes, own, slots, size, masks):
                continue
            ways += ways_to_part(whole, sizes, own)
            if total + 1 >= room or begin[total] + MOST_BOXES > 8 * room or ways > 100 * room:
                return -1
            count = join_parts(whole, sizes, own, slots, size, masks, boxes, begin, spaces, n, turn, longest, work)
            if count > MOST_BOXES:
                return -1
            if count > 0:
                keep(whole, total, slots, size, masks)
                listed_set(total, count, work, boxes, begin)
                total += 1
    return total


def largest(
    w: int,
    h: int,
    total: int,
    items: int,
    alike: Ints,
    masks: Ints,
    begin: Ints,
    boxes: Ints,
    slots: Ints,
    size: int,
    found: Ints,
) -> int:
    """Write to `found` the sets that w x h takes and that it does not take with any further item; return how many."""
    for k in range(total):
        found[k] = 0
        for b in range(begin[k], begin[k + 1]):
            if boxes[2 * b] <= w and boxes[2 * b + 1] <= h:
                found[k] = 1
                break
    count = 0
    for k in range(total):
        if found[k] == 0:
            continue
        alone = True
        for i in range(items):
            if is_next(i, masks[k], alike):
                more = find(masks[k] | 1 << i, slots, size, masks)
                if more >= 0 and found[more] > 0:  # larger sets stand behind
                    alone = False
                    break
        if alone:
            found[count] = masks[k]
            count += 1
    return count


def parting(
    mask: int,
    w: int,
    h: int,
    items: int,
    alike: Ints,
    own: Ints,
    slots: Ints,
    size: int,
    masks: Ints,
    begin: Ints,
    boxes: Ints,
    found: Ints,
) -> int:
    """Find two sets, and a box of each, that side by side or one above the other make just the box w x h of a set.

    Writes the two sets and the places of their boxes to `found`; returns 1 for side by side, 2 for one above the other,
    0 where there is nothing. `own` is room for as many numbers as there are `items`.
    """
    own_sizes(mask, items, alike, own)
    part, rest = next_parts(mask, 0, mask, own)
    while part:
        a = find(part, slots, size, masks)
        b = find(rest, slots, size, masks)
        if a >= 0 and b >= 0:
            for near in range(begin[a], begin[a + 1]):
                for far in range(begin[b], begin[b + 1]):
                    found[0] = part
                    found[1] = rest
                    found[2] = near
                    found[3] = far
                    if boxes[2 * near] + boxes[2 * far] == w and max(boxes[2 * near + 1], boxes[2 * far + 1]) == h:
                        return 1
                    if boxes[2 * near + 1] + boxes[2 * far + 1] == h and max(boxes[2 * near], boxes[2 * far]) == w:
                        return 2
        part, rest = next_parts(part, rest, mask, own)
    return 0


def dearest(masks: Ints, count: int, values: Ints, items: int) -> int:
    """Return which of `count` sets is worth most by the values of its items; 0 where all are worth nothing."""
    best = 0
    top = 0
    for c in range(count):
        worth = 0
        for i in range(items):
            if masks[c] >> i & 1:
                worth += values[i]
        if worth > top:
            top = worth
            best = masks[c]
    return best
