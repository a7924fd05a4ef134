"""The commands and their help; each does one thing and imports what it needs only when it is called."""

from pathlib import Path
from typing import Annotated, Literal

import typer

from grader.cli import records_setting as options
from grader.cli.card_drift_command import card_drift
from grader.cli.card_values_commands import card_values
from grader.cli.chart_commands import chart_check
from grader.cli.consistency_commands import consistency
from grader.cli.crews import ClusterOption, WorkersOption
from grader.cli.evidence_commands import evidence
from grader.cli.from_plates import standard_from_plates
from grader.cli.fryer_commands import fryer
from grader.cli.intake_commands import intake
from grader.cli.line_commands import line
from grader.cli.outlines_command import outline, refuse_unused
from grader.cli.records_commands import records
from grader.cli.sampling_commands import sampling
from grader.cli.serve_command import serve
from grader.cli.standard_commands import standard_kept
from grader.cli.trial_commands import trial
from grader.cli.trueness_commands import trueness

EXIT_CODES = """Exit codes: 0 done, and all photos were processed, whatever was found; 2 wrong use, a faulty
document, or the machine lacks something; 5 results could not be written, or a plate not kept. With --exit-verdict
also: 1 a batch failed; 3 a photo was refused; 4 undecided."""

CAUTION = """Colour is not doneness: it says nothing of the temperature inside, of acrylamide or of safety. Follow your
local food code and your own food safety plan."""

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Grades a photographed plate of fries beside a printed colour card, with the doubt stated. " + CAUTION,
    epilog=EXIT_CODES,
)

JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")]


@app.command(epilog=EXIT_CODES)
def grade(
    context: typer.Context,
    photos: Annotated[list[Path], typer.Argument(metavar="PHOTO_OR_FOLDER...", help="Photos, or folders of photos.")],
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the results; made where it isn't there.")],
    standard: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="House standard: a TOML file, or one that `list` or `standard list` names. Else the 9.5 mm one.",
        ),
    ] = None,
    stage: Annotated[
        Literal["blanched", "finished", "held"],
        typer.Option(help="What the plates show: fries blanched, finished, or held since."),
    ] = "finished",
    as_json: JsonOption = False,
    exit_verdict: Annotated[
        bool, typer.Option("--exit-verdict", help="Let the exit code say what was found, the gravest first.")
    ] = False,
    question: Annotated[
        Literal["release", "claim"],
        typer.Option(
            help="release: is it shown that the batch conforms? claim: is it proven that the lot is at fault, by its "
            "own plates alone (2 at least)?"
        ),
    ] = "release",
    history: Annotated[
        list[Path] | None,
        typer.Option(
            metavar="DIR",
            help="Results of earlier runs by the same standard: from 20 plates on they tell how far plates of a batch "
            "differ. Give it once for each folder.",
        ),
    ] = None,
    kitchen: options.KitchenOption = "",
    zone: options.ZoneOption = "",
    station: options.StationOption = "",
    fryer: options.FryerOption = "",
    shift: options.ShiftOption = "",
    supplier: options.SupplierOption = "",
    lot: options.LotOption = "",
    by: options.ByOption = "",
    url: options.RecordsOption = None,
    photo_store: options.PhotosOption = None,
    workers: WorkersOption = None,
    cluster: ClusterOption = None,
    parquet: Annotated[
        bool,
        typer.Option(
            "--parquet",
            help="Write plates/ and fries/ as Parquet instead of fries.csv and files for each photo: for archives.",
        ),
    ] = False,
    no_card: Annotated[
        bool, typer.Option("--no-card", help="No card is in the photos: outlines in pixels, no number, no verdict.")
    ] = False,
) -> None:
    """Grade photos: readings, labels and a picture for each, and a verdict for each batch.

    Photos named one by one are one batch. A folder's own photos are one batch, and each folder inside it that holds
    photos is another. Masks, labels, graded pictures and what is no photo are left out. Results keep the photo's name;
    of two photos with the same name the later gets -2 behind it.

    With --kitchen all of it is kept in the records too, with what else is said of where the plates come from.

    Cut short, run it again with the same --out and it goes on: what is finished there is known by the photo's hash, the
    standard and the method. One bad photo never stops the rest.

    Example: **python -m grader grade plates/ --out graded/**
    """
    from rich.console import Console

    from grader.cli.gathered import tell_gathered
    from grader.cli.photos import gather
    from grader.cli.plain_words import plain_words

    if no_card:
        refuse_unused(context)
        outline(photos, out=out, as_json=as_json, exit_verdict=exit_verdict)
    errors = Console(stderr=True)
    with plain_words(as_json=as_json):
        batches, left_out = gather(photos, out=out)
        tell_gathered(errors, batches, left_out)

    # From here on it takes a while: what grades is imported.
    from grader.cli.crews import crew_asked
    from grader.cli.exits import Exit, gravest
    from grader.cli.progress import run_with_progress
    from grader.cli.records_run import Keepers
    from grader.cli.telling import RunTelling
    from grader.cli.verdict_exit import verdict_exit
    from grader.decision.terms import Question
    from grader.records.history import terms_asked
    from grader.records.house import kept_studies, known_today
    from grader.records.naming import SUMMARY
    from grader.records.standards import chosen_standard
    from grader.running.one_photo import Grading
    from grader.standard import at_stage

    with plain_words(as_json=as_json):
        chosen = at_stage(chosen_standard(standard), stage)
        terms = terms_asked(Question(question), history or (), standard=chosen)
        keepers = Keepers.told(
            options.setting_told(
                kitchen,
                supplier,
                lot,
                zone=zone,
                station=station,
                fryer=fryer,
                shift=shift,
                by=by,
                records=url,
                photo_store=photo_store,
            ),
            standard=chosen,
            url=url,
            photos=photo_store,
        )
        grading = Grading(
            standard=chosen,
            known=known_today(),
            studies=kept_studies(),
            terms=terms,
            files=not parquet,
            keep=keepers is not None,
        )
        crew = crew_asked(workers, cluster, photos=sum(len(batch.photos) for batch in batches))
        keeper_of = None if keepers is None else keepers.of
        found = Exit.DONE
        with RunTelling(Console(), standard=chosen) as telling:
            for entry in run_with_progress(
                batches, grading=grading, out=out, console=errors, crew=crew, keeper_of=keeper_of
            ):
                telling.add(entry)
                found = gravest(found, verdict_exit(entry))
                if keepers is not None and (unchained := keepers.chain()):
                    errors.print(unchained, markup=False)
            if keepers is not None:
                keepers.tell(errors)
                keepers.house.close()
            if as_json:
                typer.echo((out / SUMMARY).read_text(encoding="utf-8"), nl=False)
            else:
                telling.tell(out)
    if keepers is not None and not keepers.all_kept:
        raise typer.Exit(Exit.NOT_WRITTEN)
    raise typer.Exit(found if exit_verdict else Exit.DONE)


@app.command(epilog=EXIT_CODES)
def card(
    sheet: Annotated[str, typer.Argument(metavar="SHEET", help="Which card or mat; `list` names them.")] = "card-148",
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="A .pdf or .png; without it SHEET.pdf.")] = None,
    paper: Annotated[
        str | None, typer.Option(metavar="PAPER", help="a4, letter, a3, tabloid or sra3. Else the first that fits.")
    ] = None,
    run: Annotated[
        str | None, typer.Option(metavar="NAME", help="Print run, to print more of one. Else a new name is drawn.")
    ] = None,
    first: Annotated[int, typer.Option(min=1, max=999, help="Number of the first sheet in its run.")] = 1,
    count: Annotated[
        int | None, typer.Option(min=1, max=999, help="How many sheets. Else a page full, and at least two.")
    ] = None,
    expires_months: Annotated[
        int, typer.Option(min=1, max=24, help="Months until the sheet is to be printed anew.")
    ] = 6,
) -> None:
    """Write cards or mats to print, each with its serial, and a page of advice: at 100 %, on matt white paper.

    Example: **python -m grader card card-148 --paper a4 --count 2 --out cards.pdf**
    """
    from grader.card.zones import RULE_MM
    from grader.cli.plain_words import plain_words
    from grader.cli.sheets import chosen_layout, planned_run, write_run

    with plain_words():
        layout = chosen_layout(sheet)
        file = out or Path(f"{layout.key}.pdf")
        planned = planned_run(layout, file, paper=paper, run=run, first=first, count=count, months=expires_months)
        write_run(planned, file)
    serials = [imprint.serial for imprint in planned.imprints]
    typer.echo(f"{layout.name}, {serials[0]}{f' to {serials[-1]}' if len(serials) > 1 else ''}: {file}")
    typer.echo(
        f"Print it at 100 % and check with a ruler: each printed rule must be {RULE_MM:g} mm long. "
        f"Printers change colours: all sheets of run {serials[0].run} compare with each other; have one measured."
    )


@app.command(epilog=EXIT_CODES)
def check(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A house standard, a TOML file.")],
    as_json: JsonOption = False,
) -> None:
    """Read a house standard and report all of its faults at once, each with its line.

    Example: **python -m grader check calibration/standards/strips-9.5mm-skin-on.toml**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.telling import standard_lines
    from grader.printable import printable
    from grader.records.readings import json_text, standard_record
    from grader.records.standards import chosen_standard

    with plain_words(as_json=as_json):
        standard = chosen_standard(file)
    if as_json:
        typer.echo(json_text(standard_record(standard)), nl=False)
    else:
        typer.echo("\n".join(map(printable, standard_lines(standard))))


@app.command("list", epilog=EXIT_CODES)
def list_all(as_json: JsonOption = False) -> None:
    """List the cards and mats to print, the house standards, published designations and sampling plans that ship.

    Example: **python -m grader list**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.sheets import printable_layouts, sheet_words
    from grader.designations import load_published, published_words
    from grader.records.readings import json_text
    from grader.sampling.reading import LETTERED, load_lettered, load_listed
    from grader.standard import load_shipped

    with plain_words(as_json=as_json):
        sheets = {key: sheet_words(layout) for key, layout in printable_layouts().items()}
        standards = {key: f"{one.name}, version {one.version}" for key, one in load_shipped().items()}
        designations = {key: published_words(one) for key, one in load_published().items()}
        plans = {LETTERED: load_lettered().name, **{key: one.name for key, one in load_listed().items()}}
    if as_json:
        typer.echo(
            json_text(
                {"sheets": sheets, "standards": standards, "designations": designations, "sampling_plans": plans}
            ),
            nl=False,
        )
        return
    headings = (
        ("Cards and mats to print:", sheets),
        ("House standards (invented):", standards),
        ("Published designations, told beside a verdict and no part of it:", designations),
        ("Published sampling plans:", plans),
    )
    for heading, entries in headings:
        typer.echo(heading)
        for key, words in entries.items():
            typer.echo(f"  {key:26} {words}")


@app.command(epilog=EXIT_CODES)
def demo(
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder for the results; else a temporary one.")
    ] = None,
    page: Annotated[bool, typer.Option(help="Start the page afterwards.")] = True,
    port: Annotated[int, typer.Option(min=1024, max=65535, help="Where on this machine the page is.")] = 8501,
) -> None:
    """Grade the sample batches (rendered, of an invented house), print the verdicts and open the page.

    Example: **python -m grader demo --no-page**
    """
    import tempfile

    from rich.console import Console

    from grader.cli.crews import crew_asked
    from grader.cli.page import page_address, serve_page
    from grader.cli.photos import gather
    from grader.cli.plain_words import plain_words
    from grader.cli.progress import run_with_progress
    from grader.cli.telling import RunTelling
    from grader.places import sample_folder
    from grader.records.house import kept_studies, known_today
    from grader.records.standards import chosen_standard
    from grader.running.one_photo import Grading

    with plain_words():
        folder = out or Path(tempfile.mkdtemp(prefix="fry-grader-demo-"))
        batches, _ = gather([sample_folder()], out=folder)
        chosen = chosen_standard(None)
        grading = Grading(standard=chosen, known=known_today(), studies=kept_studies())
        crew = crew_asked(None, None, photos=sum(len(batch.photos) for batch in batches))
        with RunTelling(Console(), standard=chosen) as telling:
            for entry in run_with_progress(
                batches, grading=grading, out=folder, console=Console(stderr=True), crew=crew
            ):
                telling.add(entry)
            telling.tell(folder)
    if page:
        typer.echo(f"The page is at {page_address(port)}; end it with Ctrl+C.")
        raise typer.Exit(serve_page(port))


app.command("serve", epilog=EXIT_CODES)(serve)
app.command("chart-check", epilog=EXIT_CODES)(chart_check)
app.add_typer(card_values, name="card-values")
app.command("card-drift", epilog=EXIT_CODES)(card_drift)
app.command("standard-from-plates", epilog=EXIT_CODES)(standard_from_plates)
app.add_typer(trueness, name="trueness")
app.add_typer(sampling, name="sampling")
app.add_typer(consistency, name="consistency")
app.add_typer(intake, name="intake")
app.add_typer(fryer, name="fryer")
app.add_typer(trial, name="trial")
app.add_typer(line, name="line")
app.add_typer(standard_kept, name="standard")
app.add_typer(records, name="records")
app.add_typer(evidence, name="evidence")
