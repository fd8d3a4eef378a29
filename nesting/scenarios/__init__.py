"""Many plans of one job, made in one session that shares time and what the solver learns.

- `session`: one time limit, one seed and the solver's pools for all plans
- `limits`: the pieces that a budget, a count of sheets or the shelf alone is enough for
- `compare`: the bulk buy: several discounts, now and later, shop by shop
- `till`: all that may happen in the shop
- `shortages`: a board sold out or short
- `room_left`: how many more mats fit, and what to leave out for one sheet fewer
- `stocking`: which sheets are worth stocking
- `afterwards`: what is held once a plan has been cut
"""
