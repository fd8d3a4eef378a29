"""Command lines that are wrong though the job is sound."""

from collections.abc import Iterator

from tests.corpus.case import Case, sound

__all__ = ["command_cases"]

_LINES = (
    ("plan", "JOB", "--seconds", "nan"),
    ("plan", "JOB", "--seconds", "inf"),
    ("plan", "JOB", "--seconds", "-1"),
    ("compare", "JOB", "--seconds", "nan"),
    ("till", "JOB", "--seconds", "inf"),
    ("done", "JOB", "--seconds", "nan"),
    ("plan", "JOB", "--seconds", "1e308"),
    ("plan", "JOB", "--seed", "1.5"),
    ("plan", "JOB", "--discount", "101"),
    ("plan", "JOB", "--discount", "nan"),
    ("plan", "JOB", "--discount", "nobody=5"),
    ("plan", "JOB", "--paper", "a3"),
    ("plan", "JOB", "--out", "JOB/pieces.csv"),
    ("plan", "JOB", "JOB"),
    ("plan",),
    ("check",),
    ("chek", "JOB"),
    ("check", "JOB", "--deep"),
    ("shelf", "add", "sage", "x", "7", "--shelf", "JOB/shelf.csv"),
    ("shelf", "add", "sage", "0", "7", "--shelf", "JOB/shelf.csv"),
    ("shelf", "add", "any", "5", "7", "--shelf", "JOB/shelf.csv"),
    ("shelf", "add", "\x1b[2J", "5", "7", "--shelf", "JOB/shelf.csv"),
    ("shelf", "add", "x" * 201, "5", "7", "--shelf", "JOB/shelf.csv"),
    ("shelf", "take", "R9", "--shelf", "JOB/shelf.csv"),
    ("shelf", "undo", "--shelf", "JOB/shelf.csv"),
    ("shelf", "--shelf", "JOB/pieces.csv"),
    ("done", "JOB"),
    ("done", "JOB/pieces.csv"),
)


def command_cases() -> Iterator[Case]:
    """Yield a case for each line."""
    for line in _LINES:
        yield Case("windowfall " + ascii(" ".join(line))[1:60], sound(), arguments=line)
