"""The solver: straight-cut nesting on whole numbers, with nothing of mats, money signs or files in it.

It is a logic-based Benders decomposition. The master problem decides what to buy and which board each lot is cut from;
the subproblems, one for each board, decide whether everything can be cut from those sheets. Column generation gives the
valid inequalities that make the lower bound, local search and exact subproblems give the solutions.

A solve, in `solve` and `stages`
--------------------------------
`objective` has what is minimised, one objective after the other: which copies are left out, where limits keep some from
being cut; then the cost; then how many pieces do not have the boards they like best. What an objective reaches is a
limit for those after it. All of them have the same master problem, inequalities and no-goods.

Everything that the stages share is in one `SolverState` (`state`), which each call is given: the incumbent, the pools,
the assignment of lots to boards, the standing searches, the no-goods and when to stop. The stages take turns until the
value of the incumbent meets the lower bound or it is time to stop:

1. `board_searches`: ruin and recreate on every board, at fixed prices, from the assignment of the incumbent.

2. `bounding.price`: column generation, board by board (`board_lp`) and for linked boards together (`joint_lp`). The
   dual values, made whole, prove valid inequalities.

3. `restricted_master`: the best solution that the columns in the pool make.

4. `bounding.solve_master`: the optimum of the master problem is the lower bound of the objective that is minimised,
   under the limits that the objectives before it set. `bounding.separate` looks for an inequality that its solution
   violates; if there is one, the master problem is solved again. For the cost alone it is also bounded by prices; what
   copies are left out and how many have their first boards has the bound of the master problem and no other.

5. `primal`: master solutions better than the incumbent are tried, by search and then by exact subproblems, with
   restarts.

Jobs of few items begin with interpreted kernels. Objectives after the first go on with what is known,
and only the cost has searches and prices of its own.

Where to find what
------------------
Pricing
    `pricing` (the guillotine recursion, with rationed kinds: decremental state space relaxation), `subsets` (few items:
    all sets that one sheet gives), `recursion_kernels` and `subset_kernels`. Gilmore & Gomory (1961, 1965), Beasley
    (1985), Herz (1972), Righini & Salani (2008), Wang (1983). The points of the recursion are in
    `pricing`: all sums up to half of the longest stock, beyond that only what is left of some stock.
Master problem
    `master` (`MasterProblem`), by CP-SAT: offers, packs, limits, fees, tax. Hooker & Ottosson (2003).
Valid inequalities
    `pricing.ValidInequality`; kept in `pools`, added to the master problem by `bounding`.
No-goods
    `master.NoGood`; proven by `subproblem`, added to the state by `primal`, to the master problem by `bounding`.
Exact subproblems
    `subproblem`, by `set_enumeration` and `set_enumeration_kernels`. Baldacci, Christofides & Mingozzi (2008),
    Viswanathan & Bagchi (1993).
Incumbent and lower bound
    `incumbent`; `result` has what is proven of each objective, `nesting.model.status` says how the solve ended.
Lexicographic objectives
    `objective`; `board_preference` and `solve` (`solve_selection`) make them of soft constraints. Isermann (1982).
Column and inequality pools, known solutions
    `pools.Pools`, which later solves of the same boards go on with. `Incumbent.adopt` buys anew for what they found; a
    later solve searches before it proves where that is far from its bound.
Restarts
    `primal`, by Luby's sequence: Luby, Sinclair & Zuckerman (1993). The standing searches of `board_searches` begin
    anew where the incumbent has another assignment, which is no restart in this sense.
First-choice boards
    `board_preference`: after the cost, so many pieces as can have the board they name first, then their second.
Restricted master
    `restricted_master`. Joncour et al. (2010).
Local search
    `ruin_recreate` and `ruin_recreate_kernels`. Schrimpf et al. (2000), Dueck (1993).

`instance` is the question, `solution` the answer, `pattern` how one sheet is divided; with every item in its place that
is a `nesting.model.cut_tree`. `engine` has the kernels interpreted and compiled, `prepare` compiles them, `stop` is the
limit, `interrupts` is about Ctrl-C.

After the cost come the later goals, the same items from the same sheets: `leftovers` lays them so that a more useful
shelf is left (`usefulness` is the measure), `old_stock` uses fallouts and shelf pieces first, `merge_offcuts` joins
offcuts.

A bound never comes from a rounded number: a linear programme only proposes values, `pricing` or `subsets` says in whole
numbers what they prove, and the master problem counts in cents.
"""
