"""Which tests run side by side, in a process for each core."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.goldens import WRITE

ROOT = Path(__file__).parent.parent
COMPILE = "from nesting.packing.prepare import prepared; prepared(lambda: None)"


def workers(config: pytest.Config, cores: int) -> int:
    """Return how many processes run the tests; none means this one alone.

    Only the whole of the quick tests is shared out. A part of them is mostly done before the processes have started,
    measurements want the machine to themselves, and processes that write answers would lose one another's.
    """
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and config.option.markexpr == "not slow"
    return cores if whole and cores > 1 and WRITE not in os.environ else 0


def compile_kernels() -> None:
    """Compile the solver's kernels where that has not been done, so that the processes find them and none waits.

    Otherwise each would compile them, and tests that hold a plan to its time would meet that by chance.
    """
    subprocess.run([sys.executable, "-c", COMPILE], cwd=ROOT, check=True)
