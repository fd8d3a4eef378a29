"""Ctrl-C while a solver of another language runs: it is heard once the solver returns, and no later one is deaf to it.

CP-SAT takes the signal for itself and afterwards leaves the system's own answer to it in place, which ends the program
at once and loses the plan. SCIP takes it too. Both can be told to leave it alone.
"""

from enum import StrEnum

__all__ = ["LeaveAlone"]


class LeaveAlone(StrEnum):
    """The parameter, in each solver's own words, that leaves Ctrl-C to the program."""

    CP_SAT = "catch_sigint_signal: false"
    SCIP = "misc/catchctrlc = FALSE"
