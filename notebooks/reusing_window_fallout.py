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
# # Reusing window fallout
#
# A town band hangs its rehearsal room: eight concert posters, and the ticket stubs and badges of the same
# evenings in small frames. A poster's window drops out a piece of board large enough for a small mat. How much does a
# wall save by cutting small mats from it, and when does it save nothing?
#
# Everything here is made up. Lengths are inches, money is dollars.

# %%
import tempfile
from pathlib import Path

import matplotlib.pyplot as plt

import nesting

POSTERS = [(16, 20, 12, 16), (18, 24, 13, 19), (20, 24, 15, 19), (16, 20, 11, 15)] * 2
SMALL = [(8, 10, 5, 7), (7, 9, 4, 6), (9, 11, 6, 8), (6, 8, 3, 5)]


def band_job(small, squaring="1/8"):
    """Return the wall with so many small frames, as a job read from a folder like any other."""
    rows = [f"poster {i + 1},{w},{h},{a},{b},bottle" for i, (w, h, a, b) in enumerate(POSTERS)]
    rows += [f"stub {i + 1},{','.join(map(str, SMALL[i % len(SMALL)]))},bottle" for i in range(small)]
    with tempfile.TemporaryDirectory() as folder:
        for name, text in {
            "pieces": "piece,inside width,inside height,picture width,picture height,boards\n" + "\n".join(rows),
            "offers": "shop,board,sheet width,sheet height,price\nQuay Papers,any,32,40,9.80",
            "bench": f"name,value\nsquaring,{squaring}\ntrim,1/8",
        }.items():
            (Path(folder) / f"{name}.csv").write_text(text + "\n", encoding="utf-8")
        return nesting.read_job(folder)


def planned(job, *, fallout):
    """Return the plan with or without fallout; the limit of rounds makes it the same on every machine."""
    return nesting.make_plan(job, nesting.Options(use_fallout=fallout), seconds=20, rounds=4000)


# %% [markdown]
# ## What it saves as small frames are added

# %%
counts = [0, 8, 16, 24, 32]
with_fallout = [planned(band_job(n), fallout=True) for n in counts]
without = [planned(band_job(n), fallout=False) for n in counts]

figure, axes = plt.subplots(figsize=(7, 4))
axes.plot(counts, [p.purchase.total / 100 for p in without], "s--", color="black", label="fallout laid aside")
axes.plot(counts, [p.purchase.total / 100 for p in with_fallout], "o-", color="#0072b2", label="fallout cut into mats")
axes.set(xlabel="small frames beside the eight posters", ylabel="paid for board, $", ylim=(0, 60))
axes.legend()
axes.grid(alpha=0.3)
plt.show()

# %%
for n, mine, other in zip(counts, with_fallout, without, strict=True):
    saved = other.purchase.total - mine.purchase.total
    print(
        f"{n:2} small frames: {mine.summary.fallouts_used:2} fallouts used, {mine.summary.sheets_bought} sheets "
        f"instead of {other.summary.sheets_bought}, ${saved / 100:.2f} saved"
    )

# %% [markdown]
# Fallout never costs: a plan without it is a plan with it too. It saves in whole sheets, so it may save nothing until
# the small mats would have begun another sheet. This is how the first of them lies on the bench:

# %%
sheets = nesting.frames.sheets(with_fallout[-1])
nesting.pictures.sheet(with_fallout[-1], sheets.loc[sheets["source"] == "fallout", "sheet"].iloc[0])

# %% [markdown]
# ## Where the board goes

# %%
plans = {"laid aside": without[-1], "cut into mats": with_fallout[-1]}
parts = ("in_mats", "kept", "scrap")
figure, axes = plt.subplots(figsize=(7, 2.6))
for row, plan in enumerate(plans.values()):
    waste, left = plan.summary.waste, 0.0
    for part, shade, hatch in zip(parts, ("#0072b2", "#e0e0e0", "white"), ("", "//", ".."), strict=True):
        share = 100 * getattr(waste, part) / waste.cut
        axes.barh(row, share, left=left, color=shade, hatch=hatch, edgecolor="black", label=None if row else part)
        left += share
axes.set(yticks=range(len(plans)), yticklabels=plans, xlabel="per cent of all board that is cut")
axes.legend([part.replace("_", " ") for part in parts], ncols=3, loc="lower center", bbox_to_anchor=(0.5, 1.0))
figure.tight_layout()
plt.show()

# %% [markdown]
# ## How much the squaring matters
#
# A fallout has the bevel of its window on all sides. A strip is cut off each side to lose it: too narrow a strip leaves
# some bevel, a wide one wastes board and may make the piece too small for the mat that was meant for it.

# %%
strips = ["1/16", "1/8", "1/4", "1/2", "1", "1 1/2"]
costs = [planned(band_job(32, strip), fallout=True) for strip in strips]
figure, axes = plt.subplots(figsize=(7, 3.2))
axes.bar(strips, [float(p.summary.waste.percent) for p in costs], color="#0072b2", edgecolor="black")
axes.set(xlabel="squaring, in", ylabel="scrap, per cent of what is cut")
plt.show()

# %%
for strip, plan in zip(strips, costs, strict=True):
    print(f"squaring {strip:>5} in: {plan.summary.sheets_bought} sheets, {plan.summary.fallouts_used} fallouts used")
