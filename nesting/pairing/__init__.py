"""Pictures and frames given apart: which picture goes into which frame."""

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
