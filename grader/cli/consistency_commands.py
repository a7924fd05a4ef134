"""The group of commands about consistency; each of its parts has a file of its own."""

import typer

from grader.cli.consistency_method import gauge

consistency = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="From shift to shift: what changed, what differs, and how far the method itself can be trusted.",
)

consistency.add_typer(gauge, name="gauge")
