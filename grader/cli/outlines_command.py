"""What `grade --no-card` does: photos without a card are outlined, and nothing is measured or judged."""

from pathlib import Path
from typing import NoReturn

import typer

_USED = frozenset({"photos", "out", "as_json", "exit_verdict", "no_card"})


def refuse_unused(context: typer.Context) -> None:
    """Refuse what else a command was told: it means nothing for photos without a card."""
    told = [one.opts[0] for one in context.command.params if one.name not in _USED and _is_told(context, one.name)]
    if told:
        names = " and ".join(told)
        raise typer.BadParameter(f"Without a card nothing is measured, judged or kept: leave {names} or --no-card out.")


def _is_told(context: typer.Context, name: str) -> bool:
    source = context.get_parameter_source(name)
    return source is not None and source.name == "COMMANDLINE"


def outline(photos: list[Path], *, out: Path, as_json: bool, exit_verdict: bool) -> NoReturn:
    """Outline the fries of photos into `out`, tell what was found, and end the program with its exit code."""
    from rich.console import Console

    from grader.cli.exits import Exit
    from grader.cli.gathered import tell_gathered
    from grader.cli.photos import gather
    from grader.cli.plain_words import plain_words
    from grader.records.naming import SUMMARY

    errors = Console(stderr=True)
    with plain_words(as_json=as_json):
        batches, left_out = gather(photos, out=out)
        tell_gathered(errors, batches, left_out)

    # From here on it takes a while: what outlines is imported.
    from grader.cli.outlines_run import run_outlines, tell_outlines

    with plain_words(as_json=as_json):
        entries = run_outlines(batches, out=out, console=errors)
    if as_json:
        typer.echo((out / SUMMARY).read_text(encoding="utf-8"), nl=False)
    else:
        tell_outlines(Console(), entries, out=out)
    any_refused = any(entry.refused for entry in entries)
    raise typer.Exit(Exit.REFUSED if exit_verdict and any_refused else Exit.DONE)
