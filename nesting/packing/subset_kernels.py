"""The inner loop of `subsets`: every set of a few items that straight cuts can free together, with its smallest boxes.

Whole numbers in flat sequences, interpreted or compiled alike, sizes grown by the kerf (see `ruin_recreate_kernels`). A
set is a number with a bit for each item. Sets are kept in a table with open addressing: ``slots[h]`` is one more than
the place of a set in `masks`, or 0.
"""

from nesting.packing.ruin_recreate_kernels import Ints

__all__ = ["collect", "dearest", "find", "largest"]


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


def add_box(w: int, h: int, boxes: Ints, first: int, count: int, spaces: Ints, n: int) -> int:
    """Take a box in among those from `first` on, if a space takes it and none of them is within it; return how many."""
    fits = False
    for s in range(n):
        if w <= spaces[2 * s] and h <= spaces[2 * s + 1]:
            fits = True
    if not fits:
        return count
    k = first
    while k < first + count:
        if boxes[2 * k] <= w and boxes[2 * k + 1] <= h:
            return count
        if boxes[2 * k] >= w and boxes[2 * k + 1] >= h:
            count -= 1
            boxes[2 * k] = boxes[2 * (first + count)]
            boxes[2 * k + 1] = boxes[2 * (first + count) + 1]
        else:
            k += 1
    boxes[2 * (first + count)] = w
    boxes[2 * (first + count) + 1] = h
    return count + 1


def sort_boxes(boxes: Ints, first: int, count: int) -> None:
    """Put boxes in order, narrow and tall ones first."""
    for i in range(first + 1, first + count):
        w = boxes[2 * i]
        h = boxes[2 * i + 1]
        k = i
        while k > first and boxes[2 * k - 2] > w:
            boxes[2 * k] = boxes[2 * k - 2]
            boxes[2 * k + 1] = boxes[2 * k - 1]
            k -= 1
        boxes[2 * k] = w
        boxes[2 * k + 1] = h


def join(
    a: int,
    b: int,
    boxes: Ints,
    begin: Ints,
    first: int,
    count: int,
    spaces: Ints,
    n: int,
    turn: int,
    longest: int,
) -> int:
    """Take in the boxes of two sets cut side by side, and one above the other; return how many there are then.

    The boxes of a set stand narrow and tall ones first, so that for every height the narrowest pair is met in one pass.
    """
    p = begin[a]
    q = begin[b]
    while p < begin[a + 1] and q < begin[b + 1]:
        w = boxes[2 * p] + boxes[2 * q]
        h = max(boxes[2 * p + 1], boxes[2 * q + 1])
        if h <= longest:
            count = add_box(w, h, boxes, first, count, spaces, n)
            if turn:
                count = add_box(h, w, boxes, first, count, spaces, n)
        higher = boxes[2 * p + 1] - boxes[2 * q + 1]
        if higher >= 0:
            p += 1
        if higher <= 0:
            q += 1
    p = begin[a + 1] - 1
    q = begin[b + 1] - 1
    while not turn and p >= begin[a] and q >= begin[b]:
        w = max(boxes[2 * p], boxes[2 * q])
        h = boxes[2 * p + 1] + boxes[2 * q + 1]
        if w <= longest:
            count = add_box(w, h, boxes, first, count, spaces, n)
        wider = boxes[2 * p] - boxes[2 * q]
        if wider >= 0:
            p -= 1
        if wider <= 0:
            q -= 1
    return count


def collect(
    iw: Ints,
    ih: Ints,
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
) -> int:
    """List every set of items that fits a space; return how many, or -1 when there are more than there is room for.

    Parameters
    ----------
    iw, ih : sizes of the `items` items
    spaces : width and height of each of the `n` spaces, all ways round that they may lie
    most : the area of the largest space
    room : how many sets `masks` takes, and eight times how many boxes `boxes` takes
    masks, begin, boxes : written: the sets, smaller ones first; where the boxes of each begin; the boxes, none of a set
        within another

    Notes
    -----
    A set of k items is tried if it is one of k - 1 with a later item added. Its boxes come from all ways of parting it
    in two sets that fit, so the work is at most 3**items, and much less where few items go on a sheet.
    """
    total = 0
    begin[0] = 0
    for i in range(items):
        count = add_box(iw[i], ih[i], boxes, begin[total], 0, spaces, n)
        if turn:
            count = add_box(ih[i], iw[i], boxes, begin[total], count, spaces, n)
        if count > 0:
            sort_boxes(boxes, begin[total], count)
            keep(1 << i, total, slots, size, masks)
            begin[total + 1] = begin[total] + count
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
            if area + iw[i] * ih[i] > most or find(1 << i, slots, size, masks) < 0:
                continue
            whole = mask | 1 << i
            low = whole & -whole
            if total + 1 >= room or begin[total] + 256 > 8 * room:
                return -1
            count = 0
            part = (whole - 1) & whole
            while part > 0:
                if part & low:
                    a = find(part, slots, size, masks)
                    b = find(whole ^ part, slots, size, masks) if a >= 0 else -1
                    if b >= 0:
                        count = join(a, b, boxes, begin, begin[total], count, spaces, n, turn, longest)
                        if count > 200:
                            return -1
                part = (part - 1) & whole
            if count > 0:
                sort_boxes(boxes, begin[total], count)
                keep(whole, total, slots, size, masks)
                begin[total + 1] = begin[total] + count
                total += 1
    return total


def largest(
    w: int, h: int, total: int, items: int, masks: Ints, begin: Ints, boxes: Ints, slots: Ints, size: int, fits: Ints
) -> int:
    """Mark in `fits` the sets that w x h takes and that it does not take with any further item: 1; return how many."""
    for k in range(total):
        fits[k] = 0
        for b in range(begin[k], begin[k + 1]):
            if boxes[2 * b] <= w and boxes[2 * b + 1] <= h:
                fits[k] = 2
                break
    count = 0
    for k in range(total):
        if fits[k] == 0:
            continue
        alone = True
        for i in range(items):
            if masks[k] >> i & 1 == 0:
                more = find(masks[k] | 1 << i, slots, size, masks)
                if more >= 0 and fits[more] > 0:
                    alone = False
                    break
        if alone:
            fits[k] = 1
            count += 1
    return count


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
