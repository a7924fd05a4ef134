"""The group of commands about consistency; each of its parts has a file of its own."""

import typer

from grader.cli import consistency_charts
from grader.cli.consistency_compare import EPILOG, capability, compare, two_kitchens
from grader.cli.consistency_method import EPILOG as METHOD_EPILOG
from grader.cli.consistency_method import control, gauge

consistency = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="From shift to shift: what changed, what differs, and how far the method itself can be trusted.",
)

consistency.add_typer(gauge, name="gauge")
consistency.command(epilog=METHOD_EPILOG)(control)
consistency.command(epilog=EPILOG)(compare)
consistency.command(epilog=EPILOG)(capability)
consistency.command("two-kitchens", epilog=EPILOG)(two_kitchens)
for watching in (consistency_charts.chart, consistency_charts.rules, consistency_charts.baseline):
    consistency.command(epilog=consistency_charts.EPILOG)(watching)
