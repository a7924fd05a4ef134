"""The commands of a trueness study: plan a kit, be told the next step, make the study, see what holds now."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = "Exit codes: 0 done; 2 wrong use, a faulty document, or the kit is not finished; 5 results not written."

trueness = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="How true lengths and colours are: known pieces, photographed under the house's own lights.",
    epilog=_EPILOG,
)

KitFolder = Annotated[Path, typer.Argument(metavar="DIR", help="The folder of the kit.")]


@trueness.command(epilog=_EPILOG)
def plan(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the kit; made where it isn't there.")],
    light: Annotated[list[str], typer.Option(metavar="WORDS", help="A light of the house; give it once for each.")],
    sheet: Annotated[str, typer.Option(metavar="SHEET", help="Which card or mat; `list` names them.")] = "card-148",
    bars: Annotated[int, typer.Option(help="Bars of known length and width, 20 at least.")] = 24,
    chips: Annotated[int, typer.Option(help="Matt chips of known colour, 12 at least.")] = 15,
    raised_mm: Annotated[float, typer.Option(min=0, max=60, help="The second height of the bars, mm.")] = 12.0,
    chip_photos: Annotated[int, typer.Option(help="Photos of the chips under each light, 2 at least.")] = 3,
    start: Annotated[int, typer.Option(help="Number to draw from: the same number draws the same plan.")] = 1,
) -> None:
    """Plan a kit: tables to fill in, a worksheet to print, and which piece lies where in which photo.

    On a mat the fries lie on the mat itself, so there is one height only.

    Example: **python -m grader trueness plan --out kit --light "window, lamps off" --light "kitchen tubes"**
    """
    import numpy as np

    from grader.cli.plain_words import plain_words
    from grader.cli.trueness_run import write_plan
    from grader.trueness import KitSize

    with plain_words():
        size = KitSize(bars=bars, chips=chips, raised_mm=raised_mm, chip_photos=chip_photos)
        kit = write_plan(out, size, sheet=sheet, lights=light, rng=np.random.default_rng(start))
    typer.echo(f"Planned {len(kit.photos)} photos of {len(kit.pieces)} pieces in {out}. Print worksheet.html.")
    typer.echo(f"Then, whenever you want to know what comes next: python -m grader trueness next {out}")


@trueness.command("next", epilog=_EPILOG)
def next_thing(kit: KitFolder) -> None:
    """Say what is to be done next, one step at a time.

    Example: **python -m grader trueness next kit**
    """
    from grader.cli.plain_words import plain_words
    from grader.trueness.guide import next_step
    from grader.trueness.kit_files import read_kit

    with plain_words():
        step = next_step(kit, read_kit(kit))
    typer.echo(step.words if step.last else f"{step.words}\n({step.left} to go of this kind.)")


@trueness.command(epilog=_EPILOG)
def study(
    kit: KitFolder,
    standard: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="House standard, for cut and plate height. Else the 9.5 mm one."),
    ] = None,
    keep: Annotated[bool, typer.Option(help="Keep the study, so that results may rest on it.")] = True,
) -> None:
    """Grade the photos of a kit, hold them against what is known, and keep the study.

    Example: **python -m grader trueness study kit**
    """
    from rich.console import Console

    from grader.cli.plain_words import plain_words
    from grader.cli.trueness_run import run_with_bar
    from grader.records.house import known_today
    from grader.records.standards import chosen_standard
    from grader.trueness import keep_study, studies_folder
    from grader.trueness.kit_files import read_kit
    from grader.trueness.words import study_lines

    with plain_words():
        done = run_with_bar(
            kit, read_kit(kit), standard=chosen_standard(standard), known=known_today(), console=Console(stderr=True)
        )
        kept = keep_study(studies_folder(), done.study) if keep else None
    for photo, words in done.said:
        typer.echo(f"{photo}: {words}")
    typer.echo("\n".join(study_lines(done.study)))
    typer.echo(f"Every difference is in {kit / 'differences.csv'}, what was found in {kit / 'graded'}.")
    typer.echo("Not kept: results don't rest on it." if kept is None else f"Kept as {kept}")


@trueness.command(epilog=_EPILOG)
def show() -> None:
    """Show the newest study of every print run that is kept on this machine.

    Example: **python -m grader trueness show**
    """
    from grader.cli.plain_words import plain_words
    from grader.records.house import kept_studies, today
    from grader.trueness import newest_for, studies_folder
    from grader.trueness.words import study_lines

    with plain_words():
        studies = kept_studies()
    if not studies:
        typer.echo(f"No study is kept in {studies_folder()}.")
    for run, sheet in sorted({(one.print_run, one.sheet) for one in studies}):
        newest = newest_for(studies, sheet=sheet, print_run=run, on=today())
        if newest is not None:
            typer.echo("\n".join(study_lines(newest)))
