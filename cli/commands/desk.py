"""`windowfall desk`: the whole job in a browser, on this machine alone."""

from pathlib import Path

import click

__all__ = ["desk"]


@click.command()
@click.argument("job", type=click.Path(exists=True, file_okay=False, path_type=Path), required=False, metavar="[JOB]")
@click.option("--no-browser", is_flag=True, help="Print the address in place of opening the browser.")
@click.option(
    "--port",
    type=click.IntRange(1024, 65535),
    metavar="N",
    help="Serve on another port of this machine than the usual one.",
)
@click.option(
    "--shortcut",
    is_flag=True,
    help="Put a file on the desktop that starts the desk by a double click, and do no more. Tried on Linux alone; "
    "a Mac shows a terminal window beside the page.",
)
def desk(job: Path | None, port: int | None, *, no_browser: bool, shortcut: bool) -> None:
    """Open the desk: type pieces, compare prices, plan, shop, cut and book on one page.

    JOB is a folder of CSV files; without one the desk opens on the walls it knows. Only this machine can see the page,
    but for a phone that you let in to Shop and Bench, and nothing is sent anywhere. A second start opens the desk that
    runs already. It ends with Close on the page, with Ctrl-C, or ten minutes after its last page was closed.
    """
    if shortcut:
        _put_shortcut()
        return
    from cli.desk.server import PORT, PortTakenError, serve

    try:
        serve(job, port=port or PORT, browser=not no_browser, say=click.echo)
    except PortTakenError as error:
        raise click.ClickException(str(error)) from error


def _put_shortcut() -> None:
    from cli.desk.shortcut import NoShortcutError, put_shortcut

    try:
        click.echo(f"Written to {put_shortcut()}: a double click on it opens the desk.")
    except NoShortcutError as error:
        raise click.ClickException(str(error)) from error
