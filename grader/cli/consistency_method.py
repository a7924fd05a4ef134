"""The commands that watch the method itself: a study of its repeatability and reproducibility, planned and read."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from grader.consistency.quantities import QuantityKey

_EPILOG = "Exit codes: 0 done; 2 wrong use, a faulty document, or a study that would say nothing; 5 not written."

EPILOG = "Exit codes: 0 done; 2 wrong use, a photo without a card that can be read, a faulty record; 5 not written."

gauge = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="How far the method agrees with itself: the same plates, several people, phones, lights.",
    epilog=_EPILOG,
)

StudyFolder = Annotated[Path, typer.Argument(metavar="DIR", help="The folder of the study.")]


@gauge.command(epilog=_EPILOG)
def plan(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the study; made where it isn't there.")],
    person: Annotated[list[str], typer.Option(metavar="INITIALS", help="Who photographs; give it once for each.")],
    phone: Annotated[
        list[str] | None, typer.Option(metavar="WORDS", help="A phone, where several are used; once for each.")
    ] = None,
    light: Annotated[
        list[str] | None, typer.Option(metavar="WORDS", help="A light, where there are several; once for each.")
    ] = None,
    plates: Annotated[int, typer.Option(help="Plates: as unlike as your shifts make them.")] = 10,
    repeats: Annotated[int, typer.Option(help="Photos of each plate by the same person, phone and light.")] = 2,
    keeps: Annotated[
        Literal["fries", "pieces"],
        typer.Option(help="fries change in minutes: each plate in one go. pieces: painted bars or printed strips."),
    ] = "fries",
    own_plates: Annotated[
        bool,
        typer.Option("--own-plates", help="Each person, phone and light gets plates of its own, all of one batch."),
    ] = False,
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="House standard: its scale and target. Else the 9.5 mm one.")
    ] = None,
    stage: Annotated[
        Literal["blanched", "finished", "held"], typer.Option(help="Fries at which stage lie on the plates.")
    ] = "finished",
    start: Annotated[int, typer.Option(help="Number to draw from: the same number draws the same order.")] = 1,
) -> None:
    """Draw the order in which plates are photographed, by whom, with what and in which light.

    Example: **python -m grader consistency gauge plan --out study --person AB --person CD --phone old --phone new**
    """
    import numpy as np

    from grader.cli.gauge_run import PHOTOS, write_schedule
    from grader.cli.plain_words import plain_words
    from grader.consistency.gauge.plan import StudySize, plan_study
    from grader.consistency.gauge.words import plan_lines
    from grader.records.gauge_studies import begin_study
    from grader.records.house import today
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words():
        size = StudySize(
            people=person,
            phones=phone or [""],
            lights=light or [""],
            plates=plates,
            repeats=repeats,
            layout="nested" if own_plates else "crossed",
            keeps=keeps,
        )
        planned = plan_study(size, rng=np.random.default_rng(start))
        begin_study(out, planned, standard=at_stage(chosen_standard(standard), stage), on=today())
        schedule = write_schedule(out, planned)
    typer.echo("\n".join(plan_lines(planned)))
    typer.echo(f"The drawn order is in {schedule}. Save the photos in {out / PHOTOS}, each by its number: 001.jpg.")
    typer.echo(f"Then, as often as you like: python -m grader consistency gauge read {out}")


@gauge.command(epilog=_EPILOG)
def read(
    study: StudyFolder,
    quantity: Annotated[
        list[str] | None,
        typer.Option(metavar="WORD", help="place, L, a, b or length; once for each. Else place, L, a, b."),
    ] = None,
    tolerance: Annotated[
        float | None,
        typer.Option(
            min=1e-6, help="Width of the range to hold it against, in its unit. Else the target's, for place."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print it as JSON.")] = False,
) -> None:
    """Read the photos that are there and new, say what is missing, and what the study comes to so far.

    Example: **python -m grader consistency gauge read study --quantity place**
    """
    from grader.cli.gauge_run import read_new
    from grader.cli.plain_words import plain_words
    from grader.records.gauge_results import Asked, results, study_lines, study_record
    from grader.records.gauge_studies import read_study
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        asked = Asked(quantities=_quantities(quantity), tolerance=tolerance)
        _check_one(asked.quantities, tolerance)
        run = read_new(read_study(study), lambda words: typer.echo(words, err=True))
        told = results(run.study, asked)
        for words in run.said:
            typer.echo(words, err=True)
        if as_json:
            typer.echo(json_text(study_record(run.study, told)), nl=False)
        else:
            typer.echo("\n".join(study_lines(run.study, told)))


def _quantities(given: list[str] | None) -> list[QuantityKey]:
    from grader.consistency.quantities import QUANTITIES
    from grader.errors import GraderError

    if not given:
        return ["place", "L", "a", "b"]
    found: list[QuantityKey] = [key for key in QUANTITIES if key in given]
    unknown = [word for word in given if word not in QUANTITIES]
    if unknown:
        raise GraderError(f"There is no quantity called {unknown[0]}.", hint=f"Choose of: {', '.join(QUANTITIES)}.")
    return found


def _check_one(quantities: Sequence[QuantityKey], tolerance: float | None) -> None:
    from grader.errors import GraderError

    if tolerance is not None and len(quantities) > 1:
        raise GraderError("A tolerance belongs to one quantity.", hint="Name that one with --quantity.")


def control(
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="The card alone, as it is photographed each shift.")],
    phone: Annotated[str, typer.Option(metavar="WORDS", help="Which phone; always the same words for the same.")] = "",
    light: Annotated[str, typer.Option(metavar="WORDS", help="In which light.")] = "",
    first: Annotated[
        int, typer.Option(min=5, max=100, help="How many photos set the limits, where a row begins with this one.")
    ] = 10,
    anew: Annotated[
        str, typer.Option(metavar="WHY", help="Begin the row anew with this photo, and why: a new lamp, say.")
    ] = "",
    chart: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the row there, as SVG, once it has limits.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print it as JSON.")] = False,
) -> None:
    """Hold a photo of the card alone against the first ones: whether phone, print and light are as they were.

    Example: **python -m grader consistency control card.jpg --phone "kitchen phone" --light pass**
    """
    from datetime import datetime

    from grader.cli.plain_words import plain_words
    from grader.drawing.control_chart import control_chart_svg
    from grader.drawing.control_photos import control_photos_chart
    from grader.records.control_photos import RowOf, control_record, run_lines, take_control
    from grader.records.house import known_today
    from grader.records.readings import json_text

    with plain_words(as_json=as_json):
        run = take_control(
            photo.read_bytes(),
            name=photo.name,
            row=RowOf(phone=phone, light=light, first=first, anew=anew),
            known=known_today(),
            now=datetime.now().astimezone(),
        )
        drawn = (
            None if chart is None else control_photos_chart(run.watch, title=f"Control photographs, {run.line.card}")
        )
        if chart is not None and drawn is not None:
            chart.write_text(control_chart_svg(drawn), encoding="utf-8")
    typer.echo(json_text(control_record(run)) if as_json else "\n".join(run_lines(run)), nl=not as_json)
