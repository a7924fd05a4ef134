"""The commands for the values of printed cards: a table to fill in, readings brought in, what is known."""

from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from grader.cli.from_chart import from_chart

_EPILOG = "Exit codes: 0 done; 2 wrong use or faulty readings; 5 values not written."

card_values = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="The colours that printed cards were measured to have: one measurement serves a whole print run.",
    epilog=_EPILOG,
)

SheetOption = Annotated[str, typer.Option(metavar="SHEET", help="Which card or mat it is; `list` names them.")]
Day = Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], metavar="DAY", help="The day of the measurement.")]


class WhiteName(StrEnum):
    """The white that readings are relative to."""

    D50 = "D50"
    D65 = "D65"


@card_values.command(epilog=_EPILOG)
def template(
    sheet: Annotated[str, typer.Argument(metavar="SHEET", help="Which card or mat it is; `list` names them.")],
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="A .csv; without it SHEET.readings.csv.")] = None,
) -> None:
    """Write a table to type the readings of a card into: a row for each patch, for the bare paper, for a mat's field.

    Example: **python -m grader card-values template card-148**
    """
    from grader.card_values import template_csv
    from grader.cli.plain_words import plain_words
    from grader.cli.sheets import chosen_layout
    from grader.records.whole_files import write_whole

    with plain_words():
        layout = chosen_layout(sheet)
        file = out or Path(f"{layout.key}.readings.csv")
        # The byte order mark tells spreadsheets that it is UTF-8.
        write_whole(file, template_csv(layout).encode("utf-8-sig"))
    typer.echo(f"{file}: fill it in, then bring it in with card-values import.")


@card_values.command("import", epilog=_EPILOG)
def import_(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="Readings, CGATS text or CSV; one file for each card read.")
    ],
    run: Annotated[str, typer.Option(metavar="NAME", help="The print run: the first five signs of the serial.")],
    sheet: SheetOption,
    by: Annotated[str, typer.Option(metavar="INITIALS", help="Who measured.")],
    measured: Day,
    white: Annotated[
        WhiteName | None, typer.Option(help="White of the readings, where the file doesn't say; spectra need none.")
    ] = None,
    instrument: Annotated[
        str, typer.Option(metavar="WORDS", help="The instrument and how it measured, as 45/0, M1, white backing.")
    ] = "",
    instrument_u: Annotated[
        float, typer.Option(min=0.05, max=5, help="Its standard uncertainty, CIELAB units per channel.")
    ] = 0.5,
    months: Annotated[int, typer.Option(min=1, max=24, help="How long the values count.")] = 6,
) -> None:
    """Bring in what an instrument read of a print run's cards; what was known before is kept beside it.

    Read two or three cards of the run where you can: how far they differ then goes into the stated doubt.

    Example: **python -m grader card-values import card.txt --run K7Q2X --sheet card-148 --by AB --measured 2026-11-20**
    """
    from grader.card.imprint import months_later
    from grader.card_values import Measurement, import_readings, keep_values, values_folder, values_lines
    from grader.cli.past_day import past_day
    from grader.cli.plain_words import plain_words
    from grader.cli.sheets import chosen_layout
    from grader.records.house import readings_bytes, today

    with plain_words():
        layout, measured_on = chosen_layout(sheet), past_day(measured)
        measurement = Measurement(
            run=run.strip().upper(),
            white=None if white is None else white.value,
            measured_on=measured_on,
            expires_on=months_later(measured_on, months),
            measured_by=by,
            instrument=instrument,
            instrument_u=instrument_u,
        )
        read = [(file.name, readings_bytes(file)) for file in files]
        values = import_readings(read, layout, measurement=measurement)
        kept = keep_values(values_folder(), values)
    typer.echo("\n".join(values_lines(values, layout, on=today())))
    typer.echo(f"Kept as {kept}")


@card_values.command(epilog=_EPILOG)
def show(
    run: Annotated[str | None, typer.Option(metavar="NAME", help="One print run alone.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Show what is known of the house's print runs, the newest measurement of each.

    Example: **python -m grader card-values show**
    """
    from grader.card import load_layouts
    from grader.card_values import newest_of_each, values_folder, values_lines
    from grader.cli.card_values_telling import values_record
    from grader.cli.plain_words import plain_words
    from grader.records.house import known_today
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        known = known_today()
        wanted = None if run is None else run.strip().upper()
        newest = [one for one in newest_of_each(known) if wanted in (None, one.run)]
        layouts = {layout.key: layout for layout in load_layouts()}
    if as_json:
        typer.echo(json_text({"values": [values_record(one, on=known.on) for one in newest]}), nl=False)
        return
    for one in newest:
        typer.echo("\n".join(values_lines(one, layouts[one.layout], on=known.on)))
    if not newest:
        measured = "Nothing" if wanted is None else f"Nothing of {wanted}"
        typer.echo(f"{measured} has been measured yet. See: python -m grader card-values template --help")
    typer.echo(f"Values are kept in {values_folder()}")


card_values.command(epilog=_EPILOG)(from_chart)
