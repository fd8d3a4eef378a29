"""`windowfall demo`: the main job on the demonstration wall, or a copy of it to change."""

import shutil
from pathlib import Path
from typing import Any

import click

from cli.commands.plan import Settings, answer, plan_options

__all__ = ["demo"]


@click.command()
@click.option(
    "--copy",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write the demonstration job into this folder, to change and to plan, and do no more.",
)
@plan_options
def demo(copy: Path | None, **settings: Any) -> None:
    """Plan the demonstration wall: plant drawings and survey maps up a museum's stairs."""
    from dataclasses import replace

    from nesting.data import data_path
    from nesting.reading.job import read_job

    source = data_path("demo")
    if copy is not None:
        _copy(source, copy)
        click.echo(f"The demonstration job is in {copy}. Change it, then: windowfall plan {copy}")
        return
    answer(replace(read_job(str(source)), path="demo"), Settings(**settings))
    click.echo(
        "\nTo do all this on a page in the browser, with a wall of your own: windowfall desk", err=settings["as_json"]
    )


def _copy(source: Path, folder: Path) -> None:
    """Write the tables of the demonstration; nothing that is there already is overwritten."""
    from cli.reports.files.folder import all_or_none

    tables = sorted(source.glob("*.csv"))
    there = [table.name for table in tables if (folder / table.name).exists()]
    if there:
        raise click.BadParameter(f"{folder} holds {', '.join(there)} already: name another folder", param_hint="--copy")
    folder.mkdir(parents=True, exist_ok=True)
    with all_or_none() as beside:
        for table in tables:
            shutil.copyfile(table, beside(folder / table.name))
