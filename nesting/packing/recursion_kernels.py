"""The inner loop of pricing: the most that parts of every size hold, by straight cuts.

As in `filling_kernels`, whole numbers in flat sequences, which run interpreted and compiled with the same
results.
"""

from nesting.packing.filling_kernels import Ints

__all__ = ["added", "first_cut", "rests", "value_table"]


def added(one: int, other: int) -> int:
    """Return a sum; compiled, it has as many bits as what is added, so that more sums are made at a time."""
    return one + other


def rests(points: Ints, found: Ints) -> None:
    """Write the place of what is left of ``points[i]`` beyond ``points[k]``, rounded down, to ``found[i * count + k]``.

    There are `count` points; where k is not below i, it stays as it is.
    """
    count = len(points)
    for i in range(count):
        at = i
        for k in range(1, i):
            while points[at] > points[i] - points[k]:
                at -= 1
            found[i * count + k] = at


def value_table(
    xs: Ints,
    ys: Ints,
    nx: int,
    ny: int,
    fx: Ints,
    fy: Ints,
    longest: int,
    mirrored: int,
    states: int,
    begin: Ints,
    portion: Ints,
    value: Ints,
    line: Ints,
    rises: Ints,
) -> None:
    """Fill `value` with the most that parts of every size hold, by straight cuts.

    ``xs[i]`` and ``ys[j]`` are the sizes that sums of items come to; ``fx[i * nx + k]`` is the place in `xs` of what
    is left of ``xs[i]`` beyond a cut at ``xs[k]``, rounded down. Some kinds of item are rationed: a state is how many
    of each may still be used, and ``portion[begin[s] : begin[s + 1]]`` lists the states that s can be divided into.
    With one state every item may be used any number of times. `mirrored` says that a part is worth the same turned, and
    that `ys` begins like `xs`.

    `value` holds, state by state, nx rows of ny, and begins with the best single item that has exactly this size.
    `line` has room for a row, `rises` for two numbers for each state and then a row of each.

    Notes
    -----
    Whether a cut is longer than `longest` is asked of the size rounded down, so the values are safe upper bounds; a
    cut down to the next smaller point always counts. Of level cuts only those are tried whose first part is worth more
    than a smaller one would be. Upright cuts are tried for a whole row at a time, on slices, which compilers make
    vectors of.

    References
    ----------
    Gilmore & Gomory (1965), Oper. Res. 13: the recursion. Herz (1972), IBM J. Res. Dev. 16: sums of items suffice.
    """
    plane = nx * ny
    low = ny  # rows from here on may not be cut upright
    while low > 0 and ys[low - 1] > longest:
        low -= 1
    for i in range(1, nx):
        top = min(i + 1, ny) if mirrored else ny
        end = min(top, low)
        for s in range(states):
            row = s * plane + i * ny
            for j in range(top):
                line[j] = max(value[row + j], value[row - ny + j])
            for k in range(1, i):
                if 2 * xs[k] > xs[i]:
                    break
                for p in range(begin[s], begin[s + 1]):
                    first = portion[p] * plane + k * ny
                    second = (s - portion[p]) * plane + fx[i * nx + k] * ny
                    near = value[first : first + end]
                    far = value[second : second + end]
                    for j in range(len(near)):
                        line[j] = max(line[j], added(near[j], far[j]))
            rises[2 * s] = 0
            for p in range(states):
                rises[2 * p + 1] = 0
            for j in range(1, top):
                best = max(line[j], value[row + j - 1])
                if xs[i] <= longest:
                    for p in range(begin[s], begin[s + 1]):
                        state = portion[p]
                        listed = 2 * states + state * ny
                        half = rises[2 * state + 1]
                        while half < rises[2 * state] and 2 * ys[rises[listed + half]] <= ys[j]:
                            half += 1
                        rises[2 * state + 1] = half
                        first = state * plane + i * ny
                        second = (s - state) * plane + i * ny
                        for place in range(listed, listed + half):
                            k = rises[place]
                            best = max(best, added(value[first + k], value[second + fy[j * ny + k]]))
                value[row + j] = best
                if best > value[row + j - 1]:
                    rises[2 * states + s * ny + rises[2 * s]] = j
                    rises[2 * s] += 1
                if mirrored and i < ny:
                    value[s * plane + j * ny + i] = best


def first_cut(
    xs: Ints,
    ys: Ints,
    nx: int,
    ny: int,
    fx: Ints,
    fy: Ints,
    longest: int,
    begin: Ints,
    portion: Ints,
    value: Ints,
    i: int,
    j: int,
    state: int,
    found: Ints,
) -> int:
    """Find the first cut of the part at i and j whose two parts are worth as much as it is, by a filled `value_table`.

    Writes the place of the cut, and the state of its first part, to `found`; returns 1 for an upright cut, 2 for a
    level one. A part that holds no more than a smaller one is cut down to that. The other parameters are those of
    `value_table`.
    """
    plane = nx * ny
    here = state * plane + i * ny + j
    worth = value[here]
    for p in range(begin[state], begin[state + 1]):
        first = portion[p] * plane
        second = (state - portion[p]) * plane
        found[1] = portion[p]
        if ys[j] <= longest:
            for k in range(1, i):
                if value[first + k * ny + j] + value[second + fx[i * nx + k] * ny + j] == worth:
                    found[0] = k
                    return 1
        if xs[i] <= longest:
            for k in range(1, j):
                if value[first + i * ny + k] + value[second + i * ny + fy[j * ny + k]] == worth:
                    found[0] = k
                    return 2
    found[1] = state
    if value[here - ny] == worth:
        found[0] = i - 1
        return 1
    found[0] = j - 1
    return 2
