"""Pictures and frames given apart: which picture goes into which frame.

- `tables`: the tables of pictures and frames, made of the columns of pieces
- `asked`: what was asked
- `read`: a path as what was asked
- `fit`: one picture in one frame, in points
- `match`: the assignment, in whole numbers
- `pair`: the proposal and the runners-up
- `written`: the proposal as the table pieces
"""

from nesting.pairing.asked import Asked, Frame
from nesting.pairing.fit import Fit, Points, Prices, Refused, Weights, fit_picture
from nesting.pairing.pair import Match, Pairing, RunnerUp, Unframed, pair
from nesting.pairing.read import read_pairing
from nesting.pairing.tables import FRAMES, PICTURES
from nesting.pairing.written import job_tables, pieces_table

__all__ = [
    "FRAMES",
    "PICTURES",
    "Asked",
    "Fit",
    "Frame",
    "Match",
    "Pairing",
    "Points",
    "Prices",
    "Refused",
    "RunnerUp",
    "Unframed",
    "Weights",
    "fit_picture",
    "job_tables",
    "pair",
    "pieces_table",
    "read_pairing",
]
