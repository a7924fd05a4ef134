"""The command that checks the colour correction on photographs of a 24-patch chart."""

from pathlib import Path
from typing import Annotated

import typer

EditionOption = Annotated[
    str | None,
    typer.Option(
        help="Published values of the chart: after-november-2014 (else this), before-november-2014, 2005 or 1976."
    ),
]
ReferenceOption = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE",
        exists=True,
        dir_okay=False,
        help="The chart's own values: CSV with the columns number, L, a, b, or CGATS.",
    ),
]
WhiteOption = Annotated[
    str | None,
    typer.Option(metavar="D50|D65", help="The white of the chart's own values, where their file doesn't say."),
]


def chart_check(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Photographs of a 24-patch chart.", exists=True, file_okay=False)
    ],
    edition: EditionOption = None,
    reference: ReferenceOption = None,
    white: WhiteOption = None,
    linear: Annotated[
        bool, typer.Option("--linear", help="The photographs hold linear values: raw pictures developed plainly.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Check the colour correction on photographs of a 24-patch chart: fit the odd patches, predict the even ones.

    Charts are found by themselves, whichever way they lie. Where one isn't, say where it is: NAME.corners.json beside
    the photo, {"corners_px": [[x, y], ...]}, the outer corners of the four outer patches in turn around. NAME.csv with
    the columns number, r, g, b stands in for a photo of which only patch means are known. Where neither an edition nor
    a file of values is named, FOLDER/reference.csv (or .txt, .cgats) holds them, if it is there.

    Example: **python -m grader chart-check photographs/ --edition before-november-2014**
    """
    from rich.console import Console

    from grader.chart import check_photos
    from grader.cli.chart_folder import chart_photos, look_through
    from grader.cli.chart_telling import check_record, tell_check
    from grader.cli.chart_values import chosen_values
    from grader.cli.plain_words import plain_words
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        found = look_through(folder)
        values = chosen_values(edition, reference or (None if edition else found.reference), white=white)
        check = check_photos(chart_photos(found, linear=linear), values)
    if as_json:
        typer.echo(json_text(check_record(check)), nl=False)
    else:
        tell_check(Console(), check)
