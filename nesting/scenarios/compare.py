"""The bulk buy: one job at several discounts, now and with later pieces, with and without fallout, shop by shop."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import ceil

from nesting.errors import CannotBeCutError
from nesting.model.job import Job, When
from nesting.model.plan import Plan
from nesting.money import half_up
from nesting.offers import with_discount
from nesting.options import Options
from nesting.plan import Progress
from nesting.scenarios.afterwards import another_day
from nesting.scenarios.session import Session, until_near
from nesting.sizing import size_pieces

__all__ = ["DISCOUNTS", "Case", "Comparison", "Figure", "cases", "compare"]

DISCOUNTS = tuple(Decimal(percent) for percent in (0, 25, 40, 50, 60))
"""The discounts compared where none are named, in per cent."""

_EACH = 1 / 60
"""The share of the time that a figure gets at first, once the boards are known, and once more if it is not proven."""

_MOST_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Case:
    """One way of buying: `discount` None for the offers as they stand, `shop` None for all shops together.

    Its figure is what `windowfall plan` says with the options `--discount`, `--later`, `--no-fallout` and `--shop`.
    """

    discount: Decimal | None
    when: When = When.NOW
    use_fallout: bool = True
    shop: str | None = None

    @property
    def options(self) -> Options:
        """The options of its plan, beside the discount, which is in the job's offers."""
        shops = () if self.shop is None else (self.shop,)
        return Options(self.when, use_fallout=None if self.use_fallout else False, shops=shops)


@dataclass(frozen=True, slots=True)
class Figure:
    """What a way of buying comes to, and the plan of it."""

    plan: Plan

    @property
    def total(self) -> int:
        """What is paid in all, in cents."""
        return self.plan.purchase.total

    @property
    def sheets(self) -> int:
        """How many sheets are bought."""
        return self.plan.summary.sheets_bought

    @property
    def proven(self) -> bool:
        """Whether no plan for it costs less."""
        return self.plan.purchase.proven

    @property
    def each(self) -> int:
        """What a framed piece costs in board, delivery and tax on the average, in cents."""
        return half_up(Fraction(self.total, len(self.plan.pieces)))

    @property
    def saved(self) -> int | None:
        """How much less the boards cost than the quotes, in cents; None where there are no quotes."""
        return self.plan.summary.saved


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that was compared.

    Parameters
    ----------
    sale_at : str or None
        The shop whose discount differs, in the job's spelling; None for all shops.
    figures : Mapping of Case to Figure or CannotBeCutError
        In the order of `cases`; of a comparison that was interrupted those that were reached.
    apart : int or None
        What the later pieces cost when they are bought for by themselves, at the prices before any discount and with
        what the first wall leaves, in cents; None if there are none, or that cannot be said.
    pays_from : Decimal or None
        The least whole discount, of those from the lowest to the highest compared, from which buying for the later
        pieces now costs less than buying for them apart; None if at none, or that cannot be said.
    complete : bool
        Whether every figure was reached.
    """

    job: Job
    sale_at: str | None
    figures: Mapping[Case, Figure | CannotBeCutError]
    apart: int | None
    pays_from: Decimal | None
    complete: bool

    def figure(self, case: Case) -> Figure | None:
        """Return the figure of a case; None where it has no plan or was not reached."""
        found = self.figures.get(case)
        return found if isinstance(found, Figure) else None


def cases(job: Job, discounts: Sequence[Decimal]) -> Iterator[Case]:
    """Yield the ways of buying that are compared, the offers as they stand first.

    Parameters
    ----------
    job : Job
        The job. With no later pieces, or one shop, or no fallout used, there is so much less to compare.
    discounts : sequence of Decimal
        Per cent off every offer without a limit.

    Yields
    ------
    Case
        Each once.
    """
    later = any(piece.when is When.LATER for piece in job.pieces)
    shops = tuple(dict.fromkeys(offer.shop for offer in job.offers))
    for when in (When.NOW, When.LATER) if later else (When.NOW,):
        for discount in (None, *discounts):
            yield Case(discount, when)
            if job.bench.use_fallout:
                yield Case(discount, when, use_fallout=False)
            if len(shops) > 1:
                yield from (Case(discount, when, shop=shop) for shop in shops)


def compare(
    job: Job,
    discounts: Sequence[Decimal] = DISCOUNTS,
    *,
    sale_at: str | None = None,
    seconds: float = 60.0,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
    known: Callable[[Comparison], None] | None = None,
) -> Comparison:
    """Return what a job costs in every way of buying that is compared, each with its plan.

    Parameters
    ----------
    job : Job
        The job as read.
    discounts : sequence of Decimal
        Per cent off, from 0 to 100.
    sale_at : str, optional
        The shop that gives them, in the job's spelling; the other shops keep theirs. All shops give them otherwise.
    seconds : float
        The time limit for all together, nearly.
    seed : int
        As of `make_plan`.
    progress : callable, optional
        As of `make_plan`, told which figure of how many is worked on.
    known : callable, optional
        Told what is known so far, each time a figure is there.

    Returns
    -------
    Comparison
        Interrupted (Ctrl-C), what there is so far.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    CannotBeCutError
        If the job as it stands has no plan.

    Notes
    -----
    What is learned of the boards for one figure serves the others (`Pools`), so that all together take little more
    than the first. No plan but the first is drawn anew for a more useful shelf, and only those of all shops with
    fallout look for boards that are liked better: no figure hangs on it. The first figure of a kind, now or with the
    later pieces, with fallout or without, gets much of the time. The others begin with what it has taught, and end at
    first where no plan costs more than one per cent less; figures left unproven are tried once more at the end, with
    what all the others have taught. Where the plan of all shops buys at one shop alone, it is that shop's plan too.
    """
    size_pieces(job, When.LATER)  # tells the faults of later pieces too before anything is planned
    session = Session(job, seconds=seconds, seed=seed, progress=progress)
    comparer = _Comparer(session, tuple(cases(job, discounts)), sale_at)

    def tell() -> None:
        if known is not None:
            known(Comparison(job, sale_at, dict(comparer.figures), None, None, complete=False))

    comparer.run(tell)
    apart = comparer.apart()
    pays_from = None if apart is None else comparer.pays_from(sorted(discounts), apart)
    return Comparison(job, sale_at, comparer.figures, apart, pays_from, not session.stopped)


class _Comparer:
    def __init__(self, session: Session, wanted: tuple[Case, ...], sale_at: str | None) -> None:
        self.session, self.wanted = session, wanted
        self.off = "" if sale_at is None else f"{sale_at}="
        self.later = tuple(piece for piece in session.job.pieces if piece.when is When.LATER)
        self.each = _EACH * session.seconds
        self.for_apart = min(_MOST_SECONDS, session.seconds / 10)
        self.figures: dict[Case, Figure | CannotBeCutError] = {}
        self.begun: set[tuple[When, bool]] = set()

    def run(self, tell: Callable[[], None]) -> None:
        for place, case in enumerate(self.wanted):
            if self.session.stopped:
                return
            seconds = self._share(case)
            self.figures[case] = self.figure(case, seconds, limit=until_near if place else None)
            if place == 0 and isinstance(found := self.figures[case], CannotBeCutError):
                raise found
            tell()
        for case in [case for case, its in self.figures.items() if isinstance(its, Figure) and not its.proven]:
            left = self.session.left() - (self.for_apart if self.later else 0)
            if left <= 0:
                return
            found, again = self.figures[case], self.figure(case, min(self.each, left))
            if isinstance(again, Figure) and isinstance(found, Figure) and again.total <= found.total:
                self.figures[case] = again
                tell()

    def _share(self, case: Case) -> float:
        """Give the first figures of a kind most of the time, the others little."""
        kind = case.when, case.use_fallout
        if kind in self.begun:
            return self.each
        self.begun.add(kind)
        return min(_MOST_SECONDS, self.session.seconds / (6 if self.session.has_learned(case.when) else 4))

    def figure(
        self, case: Case, seconds: float = 0.0, limit: Callable[[Progress], float] | None = None
    ) -> Figure | CannotBeCutError:
        """Plan a case with all that is known, within a time limit."""
        whole = self.figure_of(replace(case, shop=None)) if case.shop else None
        if whole is not None and {line.shop for line in whole.plan.purchase.lines} == {case.shop}:
            return whole  # nothing that one shop alone sells makes it cheaper than all of them together
        job = self.session.job
        plan = self.session.plan(
            case.options,
            seconds=seconds,
            step=f"figure {min(len(self.figures) + 1, len(self.wanted))} of {len(self.wanted)}",
            job=job if case.discount is None else with_discount(job, f"{self.off}{case.discount}"),
            liked=case.use_fallout and case.shop is None,  # the boards decide what is saved against the quotes
            refined=case == self.wanted[0],  # what the first leaves over is what the later pieces may be cut from
            limit=limit,
        )
        return Figure(plan) if isinstance(plan, Plan) else plan

    def figure_of(self, case: Case) -> Figure | None:
        """Return the figure of a case that is known and has a plan."""
        found = self.figures.get(case)
        return found if isinstance(found, Figure) else None

    def apart(self) -> int | None:
        """Return what the later pieces cost by themselves another day, without discounts and coupons."""
        first = self.figures.get(Case(None))
        if not self.later or not isinstance(first, Figure):
            return None
        alone = another_day(first.plan, self.later)
        plan = self.session.plan(Options(When.LATER), seconds=self.for_apart, job=alone, apart=True, liked=False)
        return plan.purchase.total if isinstance(plan, Plan) else None

    def pays_from(self, discounts: Sequence[Decimal], apart: int) -> Decimal | None:
        """Return from which discount on buying for the later pieces now costs less than apart."""
        paying = next((discount for discount in discounts if self._pays(discount, apart)), None)
        if paying is None or paying == discounts[0] or self.session.stopped:
            return None if self.session.stopped else paying
        low, high = int(discounts[discounts.index(paying) - 1]), ceil(paying)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self._pays(Decimal(middle), apart) else (middle, high)
        return None if self.session.stopped else Decimal(high)

    def _pays(self, discount: Decimal, apart: int) -> bool:
        now, later = (
            self.figures.get(Case(discount, when)) or self.figure(Case(discount, when))
            for when in (When.NOW, When.LATER)
        )
        return isinstance(now, Figure) and isinstance(later, Figure) and later.total - now.total < apart
