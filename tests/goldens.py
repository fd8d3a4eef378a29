"""Answers kept in files: what a report is to look like, to the letter."""

import os
from pathlib import Path

FOLDER = Path(__file__).parent / "golden"
WRITE = "WINDOWFALL_GOLDEN"


def matches(text: str, path: Path) -> bool:
    """Compare a text with the file that keeps it; with WINDOWFALL_GOLDEN=write the file is written first."""
    if os.environ.get(WRITE) == "write":
        path.write_text(text, encoding="utf-8", newline="\n")
    return path.read_text(encoding="utf-8") == text


def golden(name: str) -> Path:
    return FOLDER / name
