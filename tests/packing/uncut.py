"""The fewest sheets that rectangles lie in without overlapping, straight cuts or not: a model apart from the solver.

No plan of straight cuts takes fewer sheets than that, so a bound above it is wrong unless straight cuts take more.
"""

from ortools.sat.python import cp_model

__all__ = ["fewest_sheets"]


def fewest_sheets(sheet, blanks, *, turn, kerf=0, seconds=20.0):
    """Return the least number of sheets that was found to hold all blanks, sizes (w, h); sure where time is not up.

    Every count returned is one that holds them, so that no bound may be above it in any case. All sheets lie side by
    side on one strip whose borders no blank crosses. Between two blanks side by side, or one above the other, lies the
    kerf.
    """
    wide, high = sheet[0] + kerf, sheet[1] + kerf
    model = cp_model.CpModel()
    uprights, levels, places = [], [], []
    for w, h in blanks:
        turned = model.new_bool_var("") if turn else 0
        across = w + kerf + (h - w) * turned
        up = h + kerf + (w - h) * turned
        place = model.new_int_var(0, len(blanks) - 1, "")
        x, y = model.new_int_var(0, wide * len(blanks), ""), model.new_int_var(0, high, "")
        model.add(x >= wide * place)
        model.add(x + across <= wide * (place + 1))
        uprights.append(_interval(model, x, across, wide * len(blanks)))
        levels.append(_interval(model, y, up, high))
        places.append(place)
    model.add_no_overlap_2d(uprights, levels)
    last = model.new_int_var(0, len(blanks) - 1, "")
    model.add_max_equality(last, places)
    area = sum((w + kerf) * (h + kerf) for w, h in blanks)
    model.add(last >= -(-area // (wide * high)) - 1)
    model.minimize(last)
    return _least(model, seconds, len(blanks))


def _interval(model, start, size, end):
    """Return an interval that ends at `end` or before."""
    stop = model.new_int_var(0, end, "")
    return model.new_interval_var(start, size, stop, "")


def _least(model, seconds, most):
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    if solver.solve(model) in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return round(solver.objective_value) + 1
    return most
