"""The command that gives a printed card its values from photographs of it beside a 24-patch chart."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from grader.cli.chart_commands import EditionOption, ReferenceOption, WhiteOption


def from_chart(
    photos: Annotated[
        list[Path],
        typer.Argument(
            metavar="PHOTO...",
            exists=True,
            dir_okay=False,
            help="The card beside the chart, under at least two lights.",
        ),
    ],
    by: Annotated[str, typer.Option(metavar="INITIALS", help="Who took them.")],
    measured: Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], metavar="DAY", help="The day they were taken.")],
    run: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="The card's print run; else the serial on the card says it."),
    ] = None,
    edition: EditionOption = None,
    reference: ReferenceOption = None,
    white: WhiteOption = None,
    months: Annotated[int, typer.Option(min=1, max=24, help="How long the values count.")] = 6,
) -> None:
    """Give a print run its values from photographs of a card beside a 24-patch chart, where no instrument is at hand.

    Lay card and chart flat beside each other, without reflections. Take one photo in daylight by a window and one under
    a warm lamp: one light alone can't show how far the camera is from the eye. Values got so are less sure than an
    instrument's, and say how much.

    Example: **python -m grader card-values from-chart day.jpg lamp.jpg --by AB --measured 2026-11-20**
    """
    from grader.card import load_layouts
    from grader.card.imprint import months_later
    from grader.card_values import keep_values, values_folder, values_lines
    from grader.chart.home import calibrate_by_chart
    from grader.cli.chart_telling import calibration_lines
    from grader.cli.chart_values import chosen_values
    from grader.cli.past_day import past_day
    from grader.cli.plain_words import plain_words
    from grader.records.house import today

    with plain_words():
        measured_on = past_day(measured)
        found = calibrate_by_chart(
            [(photo.name, photo.read_bytes()) for photo in photos],
            chosen_values(edition, reference, white=white),
            run=None if run is None else run.strip().upper(),
            measured_on=measured_on,
            expires_on=months_later(measured_on, months),
            by=by,
        )
        kept = keep_values(values_folder(), found.values)
    layout = next(one for one in load_layouts() if one.key == found.values.layout)
    typer.echo("\n".join([*values_lines(found.values, layout, on=today()), *calibration_lines(found)]))
    typer.echo(f"Kept as {kept}")
