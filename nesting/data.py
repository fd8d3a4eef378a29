"""Where the files that come with the program are found, in a checkout and once installed."""

from pathlib import Path

__all__ = ["data_path"]

_HERE = Path(__file__).resolve().parent


def data_path(name: str) -> Path:
    """Return where the file or folder `name` of the program's own data lies.

    An installed copy carries the data inside the package; a checkout, and an installation that points at one, has it
    beside the package.

    Parameters
    ----------
    name : str
        A path inside the data, as ``demo``.

    Returns
    -------
    Path
        An existing file or folder.

    Raises
    ------
    FileNotFoundError
        If the data does not hold it.
    """
    for folder in (_HERE / "_data", _HERE.parent / "data"):
        if (folder / name).exists():
            return folder / name
    raise FileNotFoundError(f"Windowfall's own data has no {name!r}: the installation is not whole.")
