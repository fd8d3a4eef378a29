"""The reference library `packingsolver` on one job, in a process of its own: a line for each better answer.

    python -m tests.benchmarks.reference SECONDS turn|fixed < RECTANGLES

Straight cuts in any number of stages, no trim, fewest sheets; every kind of search is the library's own choice. It
needs nothing else of the project, so that another interpreter can run it.
"""

import json
import sys
import time


def main(seconds: float, *, turn: bool) -> None:
    import packingsolver.rectangleguillotine as reference  # noqa: PLC0415

    asked = json.load(sys.stdin)
    builder = reference.InstanceBuilder()
    builder.set_objective(reference.Objective.BinPacking)
    builder.set_number_of_stages_unlimited()
    builder.set_cut_type(reference.CutType.NonExact)
    builder.set_first_stage_orientation(reference.CutOrientation.Any)
    builder.add_bin_type(*asked["sheet"], copies=sum(count for *_, count in asked["items"]))
    for width, height, count in asked["items"]:
        builder.add_item_type(width, height, copies=count, oriented=not turn)
    parameters = reference.OptimizeParameters()
    parameters.time_limit = seconds
    parameters.messages_to_stdout = False
    start = time.monotonic()
    parameters.new_solution_callback = lambda output: _say(start, output)
    _say(start, reference.optimize(builder.build(), parameters), ended=True)


def _say(start: float, output, *, ended=False):
    if not output.solution.full():
        return
    told = {
        "seconds": time.monotonic() - start,
        "sheets": output.solution.number_of_bins(),
        "bound": output.bin_packing_bound,
        "proven": output.is_proven_optimal(),
        "ended": ended,
    }
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(float(sys.argv[1]), turn=sys.argv[2] == "turn")
