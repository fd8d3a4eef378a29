"""Which tests run side by side, in a process for each core."""

import os

import pytest

from tests.goldens import WRITE


def workers(config: pytest.Config, cores: int) -> int:
    """Return how many processes run the tests; none means this one alone.

    Only the whole of the quick tests is shared out. A part of them is mostly done before the processes have started,
    measurements want the machine to themselves, and processes that write answers would lose one another's.
    """
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and config.option.markexpr == "not slow"
    return cores if whole and cores > 1 and WRITE not in os.environ else 0
