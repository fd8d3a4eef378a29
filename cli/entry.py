"""What runs first: it heeds Ctrl-C while everything else is still being loaded."""

import sys

__all__ = ["main"]


def main() -> None:
    """Load the command line and run it; leave with its exit code."""
    try:
        from cli.main import main as run_and_leave  # noqa: PLC0415 - loading it takes a while

        run_and_leave()
    except KeyboardInterrupt:
        sys.stderr.write("Stopped before it was done.\n")
        sys.exit(1)


if __name__ == "__main__":
    main()
