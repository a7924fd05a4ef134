"""The command that compares a card in use with its twin from the dark, and keeps the record."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer


def card_drift(
    photo: Annotated[
        Path, typer.Argument(metavar="PHOTO", help="Both cards side by side, the one in use at the left.")
    ],
    kept: Annotated[
        str | None,
        typer.Option(metavar="SERIAL", help="Serial of the card from the dark, where it isn't the right one."),
    ] = None,
    on: Annotated[
        datetime | None,
        typer.Option(
            formats=["%Y-%m-%d"], metavar="DAY", help="Day of the photo. Else what the photo says, else today."
        ),
    ] = None,
    record: Annotated[bool, typer.Option(help="Add the comparison to the card's record.")] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Compare a card in use with its twin from the dark: how far it has faded, and when to print it anew.

    Both must be of one print run. Photograph them once when they are new, and every few weeks from then on.

    Example: **python -m grader card-drift both-cards.jpg**
    """
    from grader.cli.past_day import past_day
    from grader.cli.plain_words import plain_words
    from grader.records.card_drift import compare_photo, drift_lines, drift_record
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        run = compare_photo(
            photo.read_bytes(), name=photo.name, kept=kept, on=None if on is None else past_day(on), keep=record
        )
    if as_json:
        typer.echo(json_text(drift_record(run)), nl=False)
    else:
        typer.echo("\n".join(drift_lines(run)))
