"""The inner loop of pricing: the most that parts of every size hold, by straight cuts.

As in `ruin_recreate_kernels`, whole numbers in flat sequences, which run interpreted and compiled with the same
results.
"""

from nesting.packing.ruin_recreate_kernels import Ints

__all__ = ["value_table"]


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
) -> None:
    """Fill `value` with the most that parts of every size hold, by straight cuts.

    ``xs[i]`` and ``ys[j]`` are the sizes that sums of items come to; ``fx[i * nx + k]`` is the place in `xs` of what
    is left of ``xs[i]`` beyond a cut at ``xs[k]``, rounded down. Some kinds of item are rationed: a state is how many
    of each may still be used, and ``portion[begin[s] : begin[s + 1]]`` lists the states that s can be divided into.
    With one state every item may be used any number of times. `mirrored` says that a part is worth the same turned, and
    that `xs` begins like `ys`.

    `value` holds, state by state, nx rows of ny, and begins with the best single item that has exactly this size.

    Notes
    -----
    Whether a cut is longer than `longest` is asked of the size rounded down, so the values are safe upper bounds; a
    cut down to the next smaller point always counts. The inner loop runs along a row, which compilers make vectors of.

    References
    ----------
    Gilmore & Gomory (1965), Oper. Res. 13: the recursion. Herz (1972), IBM J. Res. Dev. 16: sums of items suffice.
    """
    plane = nx * ny
    low = ny  # rows from here on may not be cut upright
    while low > 0 and ys[low - 1] > longest:
        low -= 1
    for i in range(1, nx):
        left = i if mirrored else 1
        for s in range(states):
            row = s * plane + i * ny
            for j in range(1, left):
                value[row + j] = value[s * plane + j * ny + i]
            for j in range(left, ny):
                value[row + j] = max(value[row + j], value[row - ny + j])
            for k in range(1, i):
                if 2 * xs[k] > xs[i]:
                    break
                for p in range(begin[s], begin[s + 1]):
                    near = portion[p] * plane + k * ny
                    far = (s - portion[p]) * plane + fx[i * nx + k] * ny
                    for j in range(left, low):
                        value[row + j] = max(value[row + j], value[near + j] + value[far + j])
            half = 1  # a loop without a way out in the middle is made a vector of
            for j in range(left, ny):
                best = max(value[row + j], value[row + j - 1])
                while half < j and 2 * ys[half] <= ys[j]:
                    half += 1
                if xs[i] <= longest:
                    for p in range(begin[s], begin[s + 1]):
                        near = portion[p] * plane + i * ny
                        far = (s - portion[p]) * plane + i * ny
                        for k in range(1, half):
                            best = max(best, value[near + k] + value[far + fy[j * ny + k]])
                value[row + j] = best
