"""The commands about the fry line: what was done with a batch, and what may have caused what is seen of it."""

from pathlib import Path
from typing import Annotated

import typer

from grader.cli import records_setting as options

_EPILOG = "Exit codes: 0 done; 2 wrong use, or what was told can't be; 5 something could not be read or written."

line = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="The fry line: the sheet of what was done with a batch, and likely causes of what is seen of it.",
    epilog=_EPILOG,
)

ToldOption = Annotated[
    list[str] | None,
    typer.Option("--told", metavar="FIELD=VALUE", help="What was recorded, once for each; `line fields` names them."),
]


@line.command(epilog=_EPILOG)
def fields() -> None:
    """Name every field of the line sheet and every note: what it means, its unit, what is usual and who says so.

    Example: **python -m grader line fields**
    """
    from grader.cli.line_telling import field_lines

    typer.echo("\n".join(field_lines()))


@line.command(epilog=_EPILOG)
def sheet(
    told: ToldOption = None,
    number: Annotated[
        int | None,
        typer.Option(
            "--id", max=options.ID_AT_MOST, metavar="ID", help="The batch, as `records show batch` numbers it."
        ),
    ] = None,
    kitchen: options.KitchenOption = "",
    zone: options.ZoneOption = "",
    fryer: options.FryerOption = "",
    shift: options.ShiftOption = "",
    supplier: options.SupplierOption = "",
    lot: options.LotOption = "",
    batch: Annotated[
        str | None, typer.Option("--batch", metavar="NAME", help='What the batch is called; else "plates".')
    ] = None,
    same: Annotated[bool, typer.Option("--same", help="Begin with what the fryer's last sheet says.")] = False,
    found: Annotated[
        str, typer.Option(metavar="CAUSE", help="Which cause it was in the end, by its key in calibration/causes.toml.")
    ] = "",
    by: options.ByOption = "",
    url: options.RecordsOption = None,
) -> None:
    """Keep what was done with a batch, from wash to hold; without --told, show what is kept.

    What is told later adds to what was told before. What is unusual is asked about, and kept.

    Example: **python -m grader line sheet --kitchen Quayside --fryer left --same --told finish_c=174 --by AB**
    """
    from dataclasses import replace

    from grader.cli.line_run import batch_named, check_named, read_told, tell_sheet
    from grader.cli.line_telling import sheet_lines
    from grader.cli.plain_words import plain_words
    from grader.records.database import open_house, open_kept

    with plain_words():
        said = read_told(told or ())
        who = by if number is None else ""  # whoever tells of a batch that is there needn't say where it was fried
        setting = options.setting_told(kitchen, supplier, lot, zone=zone, fryer=fryer, shift=shift, by=who)
        check_named(number, setting, batch)
        if setting is not None and batch is not None:
            setting = replace(setting, batch=batch)
        tells = bool(told or same or found)
        house = open_house(url) if tells and number is None else open_kept(url)
        here = batch_named(house, number, setting, adds=tells)
        lines = sheet_lines(*tell_sheet(house, here, said, same=same, found=found, by=by))
    typer.echo("\n".join(lines))


@line.command("print", epilog=_EPILOG)
def print_sheet(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A PDF.")],
    number: Annotated[
        int | None,
        typer.Option(
            "--id", max=options.ID_AT_MOST, metavar="ID", help="A batch whose sheet is filled in as far as it is kept."
        ),
    ] = None,
    language: options.LanguageOption = "en",
    url: options.RecordsOption = None,
) -> None:
    """Print a line sheet to fill in by hand, with what is usual of each figure and who says so, and with cautions.

    Example: **python -m grader line print sheet.pdf --language es**
    """
    from grader.cli.plain_words import plain_words
    from grader.drawing.line_papers import line_sheet_paper
    from grader.drawing.paper import paper_pdf
    from grader.language import speaking
    from grader.records.database import open_kept
    from grader.records.database.line_sheets import batch_on_line, sheet_of, usual_sheet
    from grader.records.whole_files import write_whole

    with plain_words(), speaking(language):
        if number is None:
            paper = line_sheet_paper()
        else:
            house = open_kept(url)
            here = batch_on_line(house, number)
            usual = usual_sheet(house, here.kitchen, fryer=here.fryer, but=number)
            paper = line_sheet_paper(sheet_of(house, number).sheet, usual)
        write_whole(file, paper_pdf(paper))
    typer.echo(f"{file}: print it at any size.")


@line.command(epilog=_EPILOG)
def causes(
    seen: Annotated[
        list[str] | None,
        typer.Option("--seen", metavar="WORD", help="What is wrong, once for each; `line fields` names the words."),
    ] = None,
    told: ToldOption = None,
    results: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Results of `grade`, instead of --seen or beside it.")
    ] = None,
    batch: Annotated[str, typer.Option(metavar="NAME", help="Which batch of the results.")] = "",
    number: Annotated[
        int | None,
        typer.Option(
            "--id", max=options.ID_AT_MOST, metavar="ID", help="A batch of the records: its verdict and its line sheet."
        ),
    ] = None,
    url: options.RecordsOption = None,
) -> None:
    """Rank likely causes of what is wrong with a batch, with reasons for and against, and the next cheap check.

    Example: **python -m grader line causes --seen dark --told finish_c=198 --told oil_age_days=2**
    """
    from grader.cli.line_run import check_source, rank_kept, rank_told, read_told
    from grader.cli.line_telling import cause_lines
    from grader.cli.plain_words import plain_words
    from grader.records.database import open_kept

    with plain_words():
        check_source(number, results, batch)
        said = read_told(told or ())
        if number is None:
            ranking = rank_told(seen or (), said, results=results, batch=batch)
        else:
            ranking = rank_kept(open_kept(url), number, seen or (), said)
        lines = cause_lines(ranking)
    typer.echo("\n".join(lines))


@line.command(epilog=_EPILOG)
def lengths(
    raw: Annotated[Path, typer.Argument(metavar="RAW", help="Results of `grade` of raw strips at the cutter.")],
    finished: Annotated[Path, typer.Argument(metavar="FINISHED", help="Those of the same tubers' finished fries.")],
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="House standard, for its limits. Else the 9.5 mm one.")
    ] = None,
    whole: Annotated[
        Path | None,
        typer.Option(
            "--tubers",
            metavar="FILE",
            help="CSV table with the columns tuber, length_mm: tells which were cut across, or halved.",
        ),
    ] = None,
    draw: Annotated[int, typer.Option(help="Another number draws other tubers for the intervals.")] = 1,
) -> None:
    """Tell where length is lost: as cut, by shrinking, by breaking; and how long raw strips must be for each limit.

    Photograph all raw strips of a tuber, apart from each other, and all its finished fries; name both photos alike.

    Example: **python -m grader line lengths graded-raw graded-finished**
    """
    import numpy as np

    from grader.cli.line_telling import length_lines
    from grader.cli.plain_words import plain_words
    from grader.line.length_loss import find_length_loss
    from grader.records.standards import chosen_standard
    from grader.records.strip_lengths import read_tuber_lengths, tubers_of

    with plain_words():
        chosen = chosen_standard(standard)
        lengths_mm = None if whole is None else read_tuber_lengths(whole)
        tubers = tubers_of(raw, finished, standard=chosen, tuber_mm=lengths_mm)
        limit_mm = chosen.defects.short_below_mm
        found = find_length_loss(tubers, limit_mm=limit_mm, rng=np.random.default_rng(draw))
    typer.echo("\n".join(length_lines(found, chosen)))
