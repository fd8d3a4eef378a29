r"""Tables of a job and a plan as pandas frames, for notebooks and other programs.

Every table says in its description which columns it has, in their order, and what they hold:

==========  ======================================================================================================
string      text, dtype ``string``; missing is ``pd.NA``
length      exact: text as on the job's ruler, ``10 1/2``, dtype ``string``; with ``ticks=True`` whole ticks of
            1/640 mm, dtype ``Int64``; missing is ``pd.NA``
money       `Decimal` with two decimals, dtype ``object``, so that sums stay exact; missing is None
Decimal     `Decimal`, dtype ``object``
Int64       whole numbers, dtype ``Int64``; missing is ``pd.NA``
bool        dtype ``bool``
==========  ======================================================================================================

`DataFrame.attrs` holds the ``unit`` of lengths (``in``, ``mm``, ``cm`` or ``ticks``) and the ``currency`` of money.

Examples
--------
A fern is framed, and a moss whose mat is cut from what falls out of the fern's window:

>>> from pathlib import Path
>>> from tempfile import TemporaryDirectory
>>> from nesting.plan import make_plan
>>> from nesting.reading.job import read_job
>>> wall = {
...     "pieces": "piece,group,inside width,inside height,picture width,picture height,boards,frame cost,quote\n"
...     "fern,hall,19 1/8,23 1/8,13 1/2,17 1/2,sage,7.50,31.00\nmoss,stairs,7 1/8,11 1/8,5,7,sage,3.00,",
...     "offers": "shop,board,sheet width,sheet height,price,discount\nnook,sage,20,32,7.40,50",
... }
>>> with TemporaryDirectory() as folder:
...     for name, text in wall.items():
...         _ = (Path(folder) / f"{name}.csv").write_text(text)
...     job = read_job(folder)
>>> plan = make_plan(job, rounds=50)
>>> mats(plan).set_index("mat")[["blank_width", "blank_height", "left", "top", "window_width"]].values.tolist()
[['19', '23', '3', '3', '13'], ['7', '11', '1 1/4', '2 1/4', '4 1/2']]
>>> mats(plan, ticks=True)["window_width"].tolist()
[211328, 73152]
>>> sheets(plan)[["sheet", "source", "origin", "mats"]].values.tolist()
[['S1', 'bought', 'nook', 1], ['S2', 'fallout', 'M1', 1]]
>>> purchase(plan)["amount"].sum()
Decimal('3.70')
>>> costs_by_group(plan)[["group", "pieces", "board", "total"]].values.tolist()
[['hall', 1, Decimal('3.15'), Decimal('10.65')], ['stairs', 1, Decimal('0.55'), Decimal('3.55')]]
"""

from nesting.frames.of_job import offers, pieces, sizes
from nesting.frames.of_plan import costs, costs_by_group, leftovers, mats, purchase, sheets
from nesting.frames.of_sale import comparison

__all__ = [
    "comparison",
    "costs",
    "costs_by_group",
    "leftovers",
    "mats",
    "offers",
    "pieces",
    "purchase",
    "sheets",
    "sizes",
]
