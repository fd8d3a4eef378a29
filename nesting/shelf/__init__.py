"""The user's own shelf: what is left of one wall is stock for the next.

- `held`: what is on the shelf, and every way to change it
- `by_hand`: changes by hand
- `text`: the shelf file, a CSV
- `history`: its log
- `store`: reading and changing the file: locked, in one step, undone
- `booking`: a plan that was cut, entered
- `sources`: which piece of the shelf a plan means
- `reserving`: what is kept for plans at the bench
- `keeping`: the same, done and undone on the shelf file
- `finished`: which copies of a wall are cut already
- `recutting`: a spoiled mat planned again, and what that takes kept for it
- `mending`: the job of cutting a spoiled mat again
- `undoing`: taking an earlier booking back
- `stock`: the shelf as stock of a job
- `ageing`: what has lain longest
"""
