"""The independent checker: holds a plan against its job by arithmetic of its own, before anyone sees it.

It calls none of the code that sized, nested, bought or costed, so that a mistake there is caught here and not repeated.

- `sizes`: mats against their pieces
- `sheets`: sheets and leftovers against stock
- `trees`: straight cuts, kerf and trim
- `buying`: the purchase against the offers
- `costs`: what each piece costs
- `summary`: counts, waste and savings
"""

from nesting.check.buying import purchase_faults
from nesting.check.costs import cost_faults
from nesting.check.sheets import sheet_faults
from nesting.check.sizes import size_faults
from nesting.check.summary import summary_faults
from nesting.check.trees import tree_faults
from nesting.errors import LayoutError
from nesting.model.plan import Plan

__all__ = ["assert_sound", "broken_rules"]


def broken_rules(plan: Plan) -> tuple[str, ...]:
    """Return a line for each rule that a plan breaks.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.

    Returns
    -------
    tuple of str
        Empty for a sound plan. Sizes come first, then sheets, cuts, purchase, costs and the summary.

    Notes
    -----
    Of the parts that other figures are worked out from (ids, places in `Plan.mats`) the first that is wrong may hide
    what else is: the costs of a plan are only looked at once its mats and sheets are sound.
    """
    layout = (*size_faults(plan), *sheet_faults(plan), *tree_faults(plan), *purchase_faults(plan))
    return layout or (*cost_faults(plan), *summary_faults(plan))


def assert_sound(plan: Plan, *, only_bought: bool = False) -> None:
    """Return if a plan breaks no rule.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.
    only_bought : bool
        Whether to look at the purchase alone and what is said to be proven of it, as the rest was sound before.

    Raises
    ------
    LayoutError
        With a line for each broken rule: a mistake in this program, never in the job.
    """
    broken = tuple(purchase_faults(plan)) if only_bought else broken_rules(plan)
    if broken:
        raise LayoutError("the plan breaks its own rules:\n" + "\n".join(broken))
