"""The solver: straight-cut nesting on whole numbers, with nothing of mats, money signs or files in it.

It is a logic-based Benders decomposition. The master problem decides what to buy and which board each lot is cut from;
the subproblems, one for each board, decide whether everything can be cut from those sheets. Column generation gives the
valid inequalities that make the lower bound; local search and exact subproblems give the solutions.

Inside, a size is true, or grown by the kerf (`pattern.GrownSize`): then straight cuts lose nothing.

A solve, in `solve` and `stages`
--------------------------------
`objective` says what is minimised, one objective after the other: first which copies are left out, where limits keep
some from being cut; then the cost; then how many pieces do not have the boards they like best. The value that one
objective reaches is a limit for those after it. All of them share the master problem, inequalities and no-goods.

Everything that the stages share is in one `SolverState` (`state`), which each call is given: the incumbent, the pools,
the assignment of lots to boards, the standing searches, the no-goods and when to stop. The stages take turns until the
value of the incumbent meets the lower bound or it is time to stop:

1. `board_searches`: ruin and recreate on every board, at fixed prices, from the assignment of the incumbent.

2. `bounding.price`: column generation, board by board (`board_lp`) and for linked boards together (`joint_lp`). The
   dual values, made whole, prove valid inequalities.

3. `restricted_master`: the best solution that the columns in the pool make.

4. `bounding.solve_master`: the optimum of the master problem is the lower bound of the objective that is minimised,
   under the limits that the objectives before it set. `bounding.separate` looks for an inequality that its solution
   violates; if there is one, the master problem is solved again. That is done for the cost alone: `Stages.prove` says
   why.

5. `diving`, at once where the gap is large, otherwise when 6 has failed: the linear programme over all boards, with
   columns that have no more of a kind than there are, is made whole step by step, and all its columns are combined;
   then `neighbourhoods` cut a share of the sheets anew, with columns listed for that.

6. `primal`: master solutions better than the incumbent are tried, by search and then by exact subproblems, with
   restarts.

Jobs of few items begin with interpreted kernels. An objective after the first begins with the columns, inequalities and
no-goods that are known.

Where to find what
------------------
When it is proven
    When value and bound meet: `Incumbent.settled` ends the stages, `result` says what is proven of each objective, and
    `nesting.model.status` how the solve ended. `incumbent` keeps the best solution and the lower bound. `primal` makes
    them meet too, where no master solution better than the incumbent is left.
Time limit
    `stop`: the state has it. `solve` shares the seconds out among objectives (`LEVEL_SHARE`, `COST_SHARE`); stages have
    no share, but each a length of its turns. They ask `stop` between their steps, CP-SAT and SCIP get about the seconds
    left (five to buy only what a solution needs), enumeration the number of steps that a slow machine takes in them.
Fallouts
    Free stock, as held pieces are: `Instance.free_stock` counts both, for every stage. A fallout is there only on the
    board of its own lot, and its item is larger, so nothing is cut from itself. `nesting.from_solution` chooses, after
    the solve, which window a pattern on a fallout is cut from; `old_stock` moves items into fallouts. `to_instance`
    makes the fallouts of each lot.
Linear programmes
    `board_lp` (one board) and `joint_lp` (linked boards), by GLOP: columns are generated for them, by pricing with
    their dual values. Gilmore & Gomory (1961).
Pricing
    `pricing` (the guillotine recursion, with rationed kinds: decremental state space relaxation), `subsets` (few items:
    all sets that one sheet gives), `recursion_kernels` and `subset_kernels`. The points of the recursion are all sums
    up to half of the longest stock, and beyond that only what is left of some stock. Gilmore & Gomory (1961, 1965),
    Beasley (1985), Herz (1972), Righini & Salani (2008), Wang (1983).
Bounded pricing
    `bounded_pricing`, by the lists of `set_listing`, for the linear programme of `diving` alone.
Master problem
    `master` (`MasterProblem`), by CP-SAT: offers, packs, limits, fees, tax. Hooker & Ottosson (2003).
Valid inequalities
    `pricing.ValidInequality`, a dual feasible function of one board; made by `BoardLP.price` and `BoardLP.by_area`,
    kept in `pools`, added to the master problem by `bounding`.
No-goods
    `master.NoGood`; proven by `subproblem`, added to the state by `primal`, to the master problem by `bounding`, and
    kept in `pools` for later solves. What only failed is assumed for a while, in `primal` alone.
Exact subproblems
    `subproblem`, by `set_enumeration`, `set_listing` and `set_enumeration_kernels`. Baldacci, Christofides & Mingozzi
    (2008), Viswanathan & Bagchi (1993).
Lexicographic objectives
    `objective`; `board_preference` and `solve` (`solve_selection`) make them of soft constraints. Isermann (1982).
Column and inequality pools, known solutions
    `pools.Pools`, which later solves of the same boards use again. `Incumbent.adopt` buys the sheets of earlier
    solutions at the prices of this solve; where that is far from the bound, it searches before it proves.
Restarts
    `primal`, by Luby's sequence: Luby, Sinclair & Zuckerman (1993). The standing searches of `board_searches` start
    again whenever the incumbent has another assignment, which is no restart in this sense.
First-choice boards
    `board_preference`: after the cost, as many pieces as possible have the board they name first, then their second.
Restricted master
    `restricted_master`. Joncour et al. (2010).
Diving
    `diving`. Sadykov et al. (2019).
Large neighbourhoods
    `neighbourhoods`, which `diving` ends with. Shaw (1998), Danna, Rothberg & Le Pape (2005).
Local search
    `ruin_recreate` and `ruin_recreate_kernels`, which fill sheets by `filling_kernels`. Schrimpf et al. (2000), Dueck
    (1993), Lodi, Martello & Vigo (1999).

`instance` is the question and `solution` the answer. `pattern` says how one sheet is divided; with every item in its
place that is a `nesting.model.cut_tree`. `engine` has the kernels interpreted and compiled, `object_code` keeps what
was compiled, `prepare` says whether that is still to be done, `interrupts` is about Ctrl-C.

After the solve the same items are laid on the same sheets in a better way: `leftovers` leaves a more useful shelf
(`usefulness` is the measure), `old_stock` uses fallouts and shelf pieces first, `merge_offcuts` joins offcuts.

A bound never comes from a rounded number: a linear programme only proposes values, `pricing` or `subsets` says in whole
numbers what they prove, and the master problem counts in cents.
"""
