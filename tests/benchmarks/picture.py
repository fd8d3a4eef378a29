"""Measures as a picture: how far plans are above what is proven, and how many are proven, by the number of pieces."""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from tests.benchmarks.measures import REFERENCE, Measure
from tests.benchmarks.table import totals


@dataclass(frozen=True, slots=True)
class Point:
    """Jobs of one number of pieces: per cent of cost above the bound, per cent proven."""

    n: int
    above: float
    proven: float


def draw(measures: Sequence[Measure], folder: Path) -> str:
    """Write ``plot.svg`` and ``plot.png`` where `matplotlib` is installed; return a sentence that says which."""
    if find_spec("matplotlib") is None:
        return "No picture: matplotlib is not installed (it comes with the extra notebooks)."
    import_module("matplotlib").use("Agg")
    pyplot = import_module("matplotlib.pyplot")
    figure, (gaps, proofs) = pyplot.subplots(1, 2, figsize=(14, 6), layout="constrained")
    for name, points in lines(measures).items():
        style = "s--" if REFERENCE in name else "o-"
        numbers = [point.n for point in points]
        gaps.plot(numbers, [point.above for point in points], style, label=name)
        proofs.plot(numbers, [point.proven for point in points], style, label=name)
    for axes, title in ((gaps, "cost above the proven bound, %"), (proofs, "plans proven cheapest, %")):
        axes.set_title(title)
        axes.set_xlabel("pieces")
        axes.set_ylim(bottom=0)
    figure.legend(*gaps.get_legend_handles_labels(), loc="outside right upper", fontsize="small")
    for name in ("plot.svg", "plot.png"):
        figure.savefig(folder / name)
    pyplot.close(figure)
    return "Picture: plot.svg and plot.png."


def lines(measures: Sequence[Measure]) -> dict[str, list[Point]]:
    """Return a line for each solver and set, all classes in one; jobs without a plan count as not proven."""
    sums: dict[str, dict[int, list[int]]] = {}
    for made in totals(measures):
        kind, n, turn, limit = made.group
        if n is None or not made.bound:
            continue
        name = "classes" if kind.startswith("class") else kind
        line = sums.setdefault(f"{name}{'' if turn else ', no turns'}, {made.solver}, {limit:g} s", {})
        parts = line.setdefault(n, [0, 0, 0, 0])
        line[n] = [a + b for a, b in zip(parts, (made.cost, made.bound, made.proven, made.jobs), strict=True)]
    return {
        name: [
            Point(n, 100 * (cost / bound - 1), 100 * proven / jobs)
            for n, (cost, bound, proven, jobs) in sorted(line.items())
        ]
        for name, line in sums.items()
    }
