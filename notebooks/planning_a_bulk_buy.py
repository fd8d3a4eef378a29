# ---
# jupyter:
#   jupytext:
#     text_representation:
#       extension: .py
#       format_name: percent
#   kernelspec:
#     display_name: Python 3
#     language: python
#     name: python3
# ---

# %% [markdown]
# # Planning a bulk buy
#
# An allotment society frames its seed catalogue covers for the autumn show, and has the covers of next year in a
# drawer. The paper shop in town takes so much off everything for one week; the mill outside is cheap all year. How much
# off makes it worth buying for next year too, and how many sheets should be carried home?
#
# Everything here is made up. Lengths are inches, money is dollars.

# %%
import tempfile
from decimal import Decimal
from pathlib import Path

import matplotlib.pyplot as plt
import pandas as pd

import nesting
from nesting.geometry import ExactSize
from nesting.lengths import parse_size
from nesting.scenarios.compare import Case
from nesting.scenarios.till import at_the_till

PIECES = """piece,quantity,inside width,inside height,picture width,picture height,boards,when,quote
bean cover,4,12 1/8,16 1/8,8 1/2,11 1/2,linen or straw,now,22
pea cover,3,11 1/8,14 1/8,7 1/2,10,linen,now,20
squash cover,2,20 1/8,24 1/8,14 1/2,18,clay,now,41
seed packet,6,6 1/8,8 1/8,3 3/4,5 3/4,straw or linen,now,9
herb cover,3,20 1/8,24 1/8,14 1/2,18,clay,later,41
"""
OFFERS = """shop,board,sheet width,sheet height,price
Cross Street Papers,any,32,40,10.40
Weir Mill,linen,32,40,6.90
Weir Mill,clay,32,40,7.30
"""
SHOPS = "shop,tax\nCross Street Papers,7\n"


def society_job():
    """Return the covers of this year and of the next, as a job read from a folder like any other."""
    with tempfile.TemporaryDirectory() as folder:
        tables = {"pieces": PIECES, "offers": OFFERS, "shops": SHOPS, "bench": "name,value\ntrim,1/8\n"}
        for name, text in tables.items():
            (Path(folder) / f"{name}.csv").write_text(text, encoding="utf-8")
        return nesting.read_job(folder)


job = society_job()

# %% [markdown]
# ## What is paid at each discount
#
# The discount is that of the shop in town; the mill keeps its prices. Each figure is a plan of its own; a star would
# mark one that is not proven to be the least.

# %%
OFF = [Decimal(percent) for percent in (0, 20, 30, 40, 50, 60)]
found = nesting.compare(job, OFF, sale_at="Cross Street Papers", seconds=20)
ways = nesting.frames.comparison(found)
ways = ways[ways["fallout"] & ways["shop"].isna() & ways["discount"].notna()]
ways = ways.assign(pieces=ways["when"].map({"now": "this year's", "later": "with next year's"}))
paid = ways.pivot_table(index="discount", columns="pieces", values="paid", aggfunc="first")

figure, axes = plt.subplots(figsize=(7, 4))
for (name, sums), style in zip(paid.astype(float).items(), ("s-", "o--"), strict=True):
    axes.plot(sums.index.astype(int), sums, style, color="black" if name == "this year's" else "#0072b2", label=name)
axes.set(xlabel="per cent off in town", ylabel="paid for board in all, $", ylim=(0, None))
axes.legend()
axes.grid(alpha=0.3)
plt.show()

# %%
star = (ways["paid"] == ways["lower_bound"]).map({True: "", False: " *"})
stars = ways.assign(paid="$" + ways["paid"].astype(str) + star)
print(stars.pivot_table(index="discount", columns="pieces", values=["sheets", "paid"], aggfunc="first").to_string())

# %% [markdown]
# The lines are level as long as the mill is cheaper and fall once the shop in town is: a discount is worth nothing
# until it beats the price that is to be had every day.
#
# ## Where the sheets come from

# %%
bought = pd.DataFrame(
    [
        {"off": int(off), "shop": line.shop, "sheets": line.count}
        for off in OFF
        if (its := found.figure(Case(off)))
        for line in its.plan.purchase.lines
    ]
)
sheets = bought.pivot_table(index="off", columns="shop", values="sheets", aggfunc="sum", fill_value=0)
axes = sheets.plot.bar(stacked=True, figsize=(7, 3), color=["#0072b2", "#e0e0e0"], edgecolor="black", rot=0)
axes.set(xlabel="per cent off in town", ylabel="sheets for this year", ylim=(0, 6), yticks=range(0, 7, 2))
axes.legend(ncols=2, loc="upper left")
plt.show()

# %% [markdown]
# ## Does it pay to buy for next year now?
#
# What next year's covers add to the bill now stands beside what they would cost by themselves another day, at full
# prices and with what this year leaves on the shelf.

# %%
apart = Decimal(found.apart) / 100
more = paid["with next year's"] - paid["this year's"]
figure, axes = plt.subplots(figsize=(7, 3.4))
axes.bar(
    [str(off) for off in more.index], more.astype(float), color="#0072b2", edgecolor="black", label="more if bought now"
)
axes.axhline(float(apart), color="black", linestyle="--", label="by themselves another day")
axes.set(xlabel="per cent off in town", ylabel="for next year's covers, $", ylim=(0, 1.4 * float(apart)))
axes.legend(ncols=2, loc="upper left")
plt.show()

# %%
for off, cost in more.items():
    print(f"{off:2} % off: ${cost:.2f} more now, ${apart:.2f} another day: ${apart - cost:.2f} saved")
print(f"Buying for next year pays from {found.pays_from} % off.")

# %% [markdown]
# Money that is saved next year is spent today, and board that lies about gets bent and bleached. Where little is saved
# and there is no flat, dark shelf, let it be.
#
# ## At the till
#
# The same job, worked out for the day itself, at the prices without a discount: how many more mats for common frames
# still fit in what is bought, and what to do if a board is gone.

# %%
frames = {size: ExactSize(*parse_size(size, job.bench.unit)) for size in ("5 x 7", "8 x 10")}
till = at_the_till(job, nesting.Options(), tuple(frames.values()), {}, seconds=5)
names = {inside: size for size, inside in frames.items()}
counts = pd.DataFrame(
    [{"board": many.board, "frame": names[many.inside], "more": many.count} for many in till.more]
).pivot_table(index="board", columns="frame", values="more", sort=False)
axes = counts.T.plot.bar(figsize=(7, 3), color=["#0072b2", "#e0e0e0", "white"], edgecolor="black", rot=0)
axes.set(xlabel="frame, in", ylabel="further mats that fit")
plt.show()

# %%
for short in till.shortages:
    what = f"{short.left.sheets} {short.left.board} left at {short.left.shop}"
    if isinstance(short.answer, Exception):
        print(f"{what}: there is no plan")
    else:
        print(f"{what}: ${short.answer.more / 100:.2f} more, {len(short.answer.changed)} pieces change board")
