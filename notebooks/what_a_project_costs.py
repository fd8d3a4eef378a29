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
# # What a project costs
#
# A primary school frames the work of three classes for its corridor, with a cutter bought for the purpose. What does
# each framed piece cost, how does that stand beside what a shop asks for the mat, what does each class owe, and when
# has the cutter paid for itself?
#
# Everything here is made up. Lengths are millimetres, money is euros.

# %%
import tempfile
from decimal import Decimal
from pathlib import Path

import matplotlib.pyplot as plt
import pandas as pd

import nesting

HEADINGS = (
    "piece,quantity,group,inside width,inside height,picture width,picture height,boards,frame cost,other cost,quote"
)
PIECES = f"""{HEADINGS}
tadpoles,3,class 1,303,403,210,297,reed,4.50,0.30,14
lighthouse,1,class 1,503,703,400,560,reed or night,11.00,0.30,31
moths,4,class 2,243,303,150,200,night,3.80,0.30,11
harbour,1,class 2,603,803,480,640,night,14.00,0.30,38
alphabet,6,class 3,183,243,100,150,reed or night,2.90,0.30,8
kites,2,class 3,403,503,297,420,night,7.20,0.30,19
"""
OFFERS = "shop,board,sheet width,sheet height,price,discount\nBrook Paper,any,800,1200,9.60,25%\n"
BENCH = "name,value\nunit,mm\ntrim,3\ncurrency,€\ncutter cost,129\n"
SHOPS = "shop,delivery,tax\nBrook Paper,5.90,19\n"


def school_job():
    """Return the corridor, as a job read from a folder like any other."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in {"pieces": PIECES, "offers": OFFERS, "bench": BENCH, "shops": SHOPS}.items():
            (Path(folder) / f"{name}.csv").write_text(text, encoding="utf-8")
        return nesting.read_job(folder)


plan = nesting.make_plan(school_job(), seconds=8)
costs = nesting.frames.costs(plan)
SUMS = ["board", "board_credited", "frame", "other", "quote"]
each = costs[SUMS].astype(float).groupby(costs["piece"], sort=False).mean()  # to draw; what is printed is exact

# %% [markdown]
# ## The corridor

# %%
nesting.pictures.wall(plan)

# %% [markdown]
# ## One piece of each kind
#
# What is paid for a board, with its share of delivery and tax, is shared over the blanks cut from it by their area. The
# mark is what a shop asks for the mat alone, without the frame.

# %%
figure, axes = plt.subplots(figsize=(7, 3.6))
left = pd.Series(0.0, index=each.index)
for part, shade, hatch in zip(
    ("board", "frame", "other"), ("#0072b2", "#e0e0e0", "white"), ("", "//", ".."), strict=True
):
    axes.barh(each.index, each[part], left=left, color=shade, hatch=hatch, edgecolor="black", label=part)
    left += each[part]
axes.plot(each["quote"], each.index, "kD", label="a shop asks for the mat")
axes.invert_yaxis()
axes.set(xlabel="€ a piece, on the average of its copies")
axes.legend(loc="lower right")
plt.show()

# %%
paid = nesting.frames.purchase(plan)["amount"].sum()
print(f"{plan.summary.sheets_bought} sheets, €{paid} with delivery and tax.")
print(f"The boards of all pieces come to €{costs['board'].sum()}: the same to the cent.")

# %% [markdown]
# ## Two ways of sharing
#
# Whoever pays for the sheets today pays for what is left of them too. But what is kept is worth something to the next
# wall: credited at its share of the area, it comes off, and a mat that is cut from a window bears nothing. What that
# mat bore before falls to the others, so that some of them may bear more.

# %%
figure, axes = plt.subplots(figsize=(7, 3.2))
places = range(len(each))
axes.bar(
    [place - 0.2 for place in places], each["board"], 0.4, color="#0072b2", edgecolor="black", label="all that is paid"
)
axes.bar(
    [place + 0.2 for place in places],
    each["board_credited"],
    0.4,
    color="white",
    hatch="//",
    edgecolor="black",
    label="less what is kept",
)
axes.set(xticks=list(places), xticklabels=each.index, ylabel="boards of one piece, €")
axes.legend()
plt.show()

# %%
credited, credit = costs["board_credited"].sum(), Decimal(plan.summary.credit).scaleb(-2)
print(f"€{credited} for the pieces and €{credit} for what is kept: €{credited + credit} together.")

# %% [markdown]
# ## What each class owes

# %%
owed = nesting.frames.costs_by_group(plan).set_index("group")[["board", "frame", "other", "total"]]
parts = owed[["board", "frame", "other"]].astype(float)
axes = parts.plot.bar(stacked=True, figsize=(7, 3), color=["#0072b2", "#e0e0e0", "white"], edgecolor="black", rot=0)
axes.set(xlabel="", ylabel="€", ylim=(0, 1.3 * parts.sum(axis="columns").max()))
axes.legend(ncols=3, loc="upper center")
plt.show()
print(owed.to_string())

# %% [markdown]
# ## When the cutter has paid for itself
#
# Each mat saves what a shop asks for it, less its boards. The cutter is paid where the line crosses zero.

# %%
cutter = Decimal(plan.job.bench.cutter_cost) / 100
balance = costs["saved"].astype(float).cumsum() - float(cutter)
figure, axes = plt.subplots(figsize=(7, 3.2))
axes.step(range(1, len(balance) + 1), balance, where="post", color="#0072b2")
axes.axhline(0, color="black", linewidth=1)
axes.set(xlabel="mats cut, in the order of the table", ylabel="saved less the cutter, €")
axes.grid(alpha=0.3)
plt.show()

# %%
crossed = balance[balance >= 0]
print(f"All mats save €{costs['saved'].sum()}; the cutter cost €{cutter:.2f}.")
print(f"It is paid with mat {crossed.index[0] + 1} of {len(balance)}." if len(crossed) else "It is not paid for yet.")

# %% [markdown]
# Time is not in it, nor blades, nor the mats that are spoiled while one learns. Whoever wants them counted writes them
# under `other cost`.
