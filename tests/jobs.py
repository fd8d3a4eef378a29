"""The smallest tables of a job, and the faults of one."""

import pytest

from nesting.errors import JobError
from nesting.reading.job import read_job

PIECES = "piece,inside width,inside height,boards"
OFFERS = "shop,board,sheet width,sheet height,price"
ONE_PIECE = f"{PIECES}\nfern,11,17,sage\n"
ONE_OFFER = f"{OFFERS}\nnook,sage,31,41,7.40\n"


def faults(path):
    with pytest.raises(JobError) as caught:
        read_job(path)
    return str(caught.value).split("\n")
