"""Which picture goes into which frame, on the screen: the proposal, other choices, and what the points mean."""

from collections.abc import Iterator
from fractions import Fraction

from rich.console import Console

from cli.reports.paragraphs import print_paragraphs
from nesting.lengths import round_up
from nesting.model.job import Bench
from nesting.money import format_money, half_up
from nesting.names import UNIT_WORDS, length_words, size_words
from nesting.pairing import Fit, Match, Pairing, Points, RunnerUp, Unframed
from nesting.pairing.fit import NARROWEST, STEP

__all__ = ["print_pairing"]


def print_pairing(pairing: Pairing, console: Console) -> None:
    """Print the proposal; a window of 60 columns is wide enough.

    Parameters
    ----------
    pairing : Pairing
        What is proposed.
    console : Console
        Where to print, as `open_console` gives it.
    """
    unit = UNIT_WORDS[pairing.asked.job.bench.unit]
    console.print("Which picture goes into which frame.")
    console.print(f"Sizes in {unit}, width × height.")
    for match in pairing.matches:
        copies = f", {match.count} copies" if match.count > 1 else ""
        picture = pairing.asked.pictures[match.picture]
        console.print()
        heading = f"{picture.name}{copies}: {_frame(match.fit)}"
        print_paragraphs(console, heading, ((line,) for line in _match_lines(pairing, match)))
    for heading, lines in (("Left over", _left_over(pairing)), ("What the points say", _explained(pairing))):
        paragraphs = [(line,) for line in lines]
        if paragraphs:
            console.print()
        print_paragraphs(console, heading, paragraphs, "- ")


def _frame(fit: Fit) -> str:
    return f"{fit.frame.name}{', turned' if fit.turned else ''}"


def _match_lines(pairing: Pairing, match: Match) -> Iterator[str]:
    fit, bench = match.fit, pairing.asked.job.bench
    yield _sizes_line(pairing, fit, bench)
    if any(fit.crop):
        parts = zip(fit.crop, ("the width", "the height"), strict=True)
        crop = " and ".join(f"{_up(length, bench)} of {what}" for length, what in parts if length)
        yield f"Cropped: {crop} is hidden that was to be seen."
    if any(fit.trim):
        parts = zip(fit.trim, ("wider", "higher"), strict=True)
        more = " and ".join(f"{_up(length, bench)} {what}" for length, what in parts if length)
        yield f"The picture is {more} than the mat: it must be cut down or folded to go into the frame."
    yield f"{_points(fit.points.total)}: {_parts(fit.points)}."
    yield _runner_up(match.runner_up)


def _sizes_line(pairing: Pairing, fit: Fit, bench: Bench) -> str:
    mat = fit.mats[0]
    windows = [one.windows for one in fit.mats if one.windows][-1]
    count = f"{len(windows)} windows of " if len(windows) > 1 else ""
    words = [f"Shows {count}{size_words(windows[0].size, bench)}."]
    if mat.borders is not None:
        left, right, top, bottom = (
            length_words(border, bench)
            for border in (mat.borders.left, mat.borders.right, mat.borders.top, mat.borders.bottom)
        )
        sides = f"sides {left}" if left == right else f"left {left}, right {right}"
        words.append(f"Borders: {sides}, top {top}, bottom {bottom}.")
    if fit.board_cost is not None:
        words.append(f"Board about {format_money(fit.board_cost, pairing.asked.job.bench.currency)}.")
    return " ".join(words)


def _up(length: Fraction, bench: Bench) -> str:
    return length_words(round_up(length, bench.ruler), bench)


def _tenths(points: int) -> str:
    return f"{points // 10}.{points % 10}"


def _points(points: int) -> str:
    return f"{_tenths(points)} point{'' if points == 10 else 's'}"


def _parts(points: Points) -> str:
    parts = ("even", points.even), ("border", points.border), ("crop", points.crop), ("board", points.board)
    return ", ".join(f"{name} {_tenths(part)}" for name, part in parts if part) or "nothing counts against it"


def _runner_up(other: RunnerUp) -> str:
    if other.fit is None:
        return "Runner-up: none; otherwise it would be left without a frame."
    if other.fewer > 0:
        return f"Runner-up: {_frame(other.fit)}, which would leave another picture without a frame."
    if other.worse == 0:
        return f"Runner-up: {_frame(other.fit)}, which is just as good for all together."
    more = "more" if other.worse > 0 else "fewer, but a picture of lower priority would take a place"
    return f"Runner-up: {_frame(other.fit)}; all together would count {_points(abs(other.worse))} {more}."


def _left_over(pairing: Pairing) -> Iterator[str]:
    for left in pairing.unframed:
        copies = "" if left.count == 1 and left.picture.quantity == 1 else f", {left.count} of {left.picture.quantity}"
        yield f"Without a frame: {left.picture.name}{copies}. {_why(left)}"
    bench = pairing.asked.job.bench
    for frame, count in pairing.spare:
        copies = "" if frame.quantity == 1 else f", {count} of {frame.quantity}"
        inside = " × ".join(length_words(half_up(side), bench) for side in frame.inside)
        yield f"Without a picture: the frame {frame.name}{copies}, inside size {inside}."


def _why(left: Unframed) -> str:
    if left.refused is None:
        return "The frames that would hold it have other pictures."
    frame, refused = left.refused
    if refused.hidden == 1 or refused.problem != "is too small":
        return f"No frame will do; the nearest, {frame.name}, {refused.problem}."
    hidden = half_up(100 * refused.hidden)
    return f"No frame will do; the nearest, {frame.name}, is so small that {hidden} % of a side would be hidden."


def _explained(pairing: Pairing) -> Iterator[str]:
    """Say what each number on the page comes from."""
    job, weights = pairing.asked.job, pairing.weights
    step = length_words(STEP[job.bench.unit], job.bench)
    narrowest = length_words(NARROWEST[job.bench.unit], job.bench)
    yield (
        f"In all {_points(pairing.total)}, the fewest with this many pictures in frames. Points count against "
        "a pairing. They put common practice into numbers; they are no rule, and you may know better."
    )
    yield f"even: {weights.even} for each {step} between the side borders and the top border."
    yield (
        f"border: {weights.border} for each {step} that the narrowest border is short of what looks right in a frame "
        "of that size and width."
    )
    yield (
        f"crop: {weights.crop} for each per cent of what was to be seen that is hidden. A picture is cropped only "
        f"where less than {narrowest} of mat would be left beside it, and never by more than a quarter of a side."
    )
    yield _board_words(pairing)
    if pairing.unpriced and pairing.prices.sheet is not None:
        yield f"No price is known for {', '.join(pairing.unpriced)}, which counts nothing."
    yield "To count otherwise: --weigh crop=3, and the like."


def _board_words(pairing: Pairing) -> str:
    if pairing.prices.sheet is None:
        return "board: nothing, as there is no table offers with prices."
    price = format_money(pairing.prices.sheet, pairing.asked.job.bench.currency)
    return (
        f"board: {pairing.weights.board} for each tenth of the cheapest sheet, {price}. "
        "What board costs is the area of the blanks at the cheapest price for its boards; offcuts, fallout, delivery "
        "and tax are left aside."
    )
