"""The command line: thin, every command one call into the rooms below."""

import sys

from grader.requirements_check import missing


def main() -> None:
    """Run the command line, or say in one line what the machine lacks."""
    lacking = missing()
    if lacking is not None:
        sys.stderr.write(f"{lacking}\n")
        raise SystemExit(2)
    # Only now: what lacks a library must be told before anything that needs it is loaded.
    from grader.cli.commands import app

    app()
