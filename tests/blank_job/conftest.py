"""A spreadsheet program for the tests that need one; without it they are left out, and the last lines say so."""

import os
import shutil
import subprocess

import pytest

from tests.left_out import leave_out


def soffice() -> str | None:
    """Return the path of LibreOffice, or of the one that WINDOWFALL_OFFICE names."""
    return os.environ.get("WINDOWFALL_OFFICE") or shutil.which("soffice") or shutil.which("libreoffice")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    leave_out(
        config,
        items,
        "resaved",
        soffice,
        "of the workbook in a spreadsheet program did NOT run: LibreOffice was not found. Install it (Debian, Ubuntu: "
        "apt-get install libreoffice-calc) or name its program in WINDOWFALL_OFFICE.",
    )


@pytest.fixture(scope="session")
def profile(tmp_path_factory):
    """Keep the settings of LibreOffice apart from the user's; setting them up once takes seconds."""
    return tmp_path_factory.mktemp("office").as_uri()


@pytest.fixture
def resaved(tmp_path, profile):
    """Let LibreOffice open a file and save it as a workbook of the same name in another folder."""

    def save(path, *options):
        office = soffice()
        assert office is not None
        out = tmp_path / "resaved"
        settings = [f"-env:UserInstallation={profile}", "--headless", *options]
        subprocess.run(
            [office, *settings, "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", out, path],
            check=True,
            capture_output=True,
            timeout=180,
        )
        return out / f"{path.stem}.xlsx"

    return save
