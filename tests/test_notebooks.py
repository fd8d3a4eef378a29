"""Every notebook runs from top to bottom, draws, and says what its words promise."""

from pathlib import Path

import jupytext
import pytest
from nbclient import NotebookClient

ROOT = Path(__file__).parent.parent
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.py"))


@pytest.fixture(scope="module", params=NOTEBOOKS, ids=lambda path: path.stem)
def notebook(request):
    read = jupytext.read(request.param)
    NotebookClient(read, timeout=300, kernel_name="python3", resources={"metadata": {"path": ROOT}}).execute()
    return read


def outputs(notebook):
    return [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]


def test_it_draws(notebook):
    assert sum("image/png" in output.get("data", {}) for output in outputs(notebook)) >= 2


def test_nothing_is_said_on_standard_error(notebook):
    assert [output for output in outputs(notebook) if output.get("name") == "stderr"] == []


def test_fallout_saves_once_there_are_small_frames_enough(notebook):
    said = "".join(output["text"] for output in outputs(notebook) if output.get("name") == "stdout")
    lines = [line for line in said.splitlines() if "small frames:" in line]
    saved = [float(line.rsplit("$", 1)[1].split()[0]) for line in lines]
    assert len(saved) == 5
    assert min(saved) >= 0.0
    assert saved[0] == 0.0
    assert saved[-1] > 0.0
