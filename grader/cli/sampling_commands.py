"""The commands about sampling: a plan for a lot, the next unit, how many plates a wanted risk needs."""

from pathlib import Path
from typing import Annotated, Literal

import typer

from grader.sampling.model import Inspection

_EPILOG = "Exit codes: 0 done; 2 wrong use, or nothing that such figures allow; 5 the picture could not be written."

sampling = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="How much to sample and what that risks: plans for lots, plates one by one, plates for a wanted risk.",
    epilog=_EPILOG,
)

UnitOption = Annotated[str, typer.Option(metavar="WORD", help="What is drawn and counted as one: plate, bag, carton.")]
CurveOption = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Write the operating characteristic there, as SVG.")
]
ProducerOption = Annotated[float, typer.Option(help="Risk of rejecting a good lot, 0 to 0.5.")]
ConsumerOption = Annotated[float, typer.Option(help="Risk of accepting a bad lot, 0 to 0.5.")]
QuestionOption = Annotated[
    Literal["release", "claim"], typer.Option(help="claim: judged by the lot's own plates alone.")
]
FriesOption = Annotated[int, typer.Option(min=1, max=500, help="Fries on a plate.")]
WantedOption = Annotated[float, typer.Option(min=0.01, max=0.999, help="How often it is to come out so, 0 to 1.")]


@sampling.command(epilog=_EPILOG)
def lot(
    size: Annotated[int, typer.Argument(metavar="SIZE", min=1, help="Units in the lot.")],
    unit: UnitOption,
    aql: Annotated[float, typer.Option(help="Acceptable quality level, nonconforming units in a hundred.")] = 2.5,
    level: Annotated[str | None, typer.Option(help="Inspection level: S-1 to S-4, I, II, III; else II.")] = None,
    inspection: Annotated[
        Inspection | None, typer.Option(help="How severely. Without it what --past comes to, else normal.")
    ] = None,
    past: Annotated[
        str, typer.Option(metavar="LETTERS", help="Earlier lots in order: a accepted, b between, r rejected.")
    ] = "",
    reduced: Annotated[bool, typer.Option("--reduced", help="Reduced inspection is agreed where it is offered.")] = (
        False
    ),
    by: Annotated[str, typer.Option(metavar="STANDARD", help="`list` names them.")] = "mil-std-105e",
    bad: Annotated[
        float | None,
        typer.Option(
            min=0, max=1, help="Share of nonconforming units that ought not to pass, 0 to 1; else 4 times the AQL."
        ),
    ] = None,
    found: Annotated[int | None, typer.Option(help="Nonconforming units in the sample, once it is drawn.")] = None,
    curve: CurveOption = None,
) -> None:
    """Find the published plan for a lot, say what it risks, and judge what was found.

    Example: **python -m grader sampling lot 1000 --unit bag --aql 2.5 --found 3**
    """
    from grader.cli import sampling_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.cli.sampling_run import LotAsked, lot_curve, plan_lot, unit_counted

    with plain_words():
        word = unit_counted(unit)
        asked = LotAsked(size=size, aql=aql, level=level, inspection=inspection, past=past, reduced=reduced, by=by)
        planned = plan_lot(asked)
        lines = tell.lot_lines(planned, unit=word, bad=bad, found=found)
        if curve is not None:
            curve.write_text(lot_curve(planned, unit=word), encoding="utf-8")
    typer.echo("\n".join(lines))


@sampling.command("next", epilog=_EPILOG)
def next_unit(
    unit: UnitOption,
    good: Annotated[float, typer.Option(help="Share of nonconforming units in a lot that ought to pass, 0 to 1.")],
    bad: Annotated[float, typer.Option(help="Share in a lot that ought not to.")],
    drawn: Annotated[int, typer.Option(min=0, help="Units drawn so far.")] = 0,
    found: Annotated[int, typer.Option(min=0, help="Nonconforming ones among them.")] = 0,
    producer: ProducerOption = 0.05,
    consumer: ConsumerOption = 0.10,
    curve: CurveOption = None,
) -> None:
    """Draw units one by one: accept, reject, or take another? Stops early where it is clear (Wald).

    Example: **python -m grader sampling next --unit plate --good 0.05 --bad 0.4 --drawn 3 --found 1**
    """
    from grader.cli import sampling_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.cli.sampling_run import checked_counts, sequential_curve, unit_counted
    from grader.sampling.sequential import sequential

    with plain_words():
        word = unit_counted(unit)
        test = sequential(good=good, bad=bad, producer=producer, consumer=consumer)
        lines = tell.next_lines(test, *checked_counts(drawn, found), unit=word)
        if curve is not None:
            curve.write_text(sequential_curve(test, unit=word), encoding="utf-8")
    typer.echo("\n".join(lines))


@sampling.command("next-plate", epilog=_EPILOG)
def next_plate(
    places: Annotated[
        list[float] | None, typer.Argument(metavar="PLACE...", help="Mean places of the plates so far.")
    ] = None,
    *,
    good: Annotated[float, typer.Option(help="Mean place of a lot that ought to pass, steps.")],
    bad: Annotated[float, typer.Option(help="Mean place of a lot that ought not to; on either side.")],
    plate_sd: Annotated[
        float, typer.Option(min=0.01, help="How a plate's mean scatters about its lot's, steps.")
    ] = 0.17,
    shared: Annotated[float, typer.Option(min=0, help="What all photos share, steps.")] = 0.15,
    producer: ProducerOption = 0.05,
    consumer: ConsumerOption = 0.10,
) -> None:
    """Take plates one by one for their mean colour: accept, reject, or take another? Stops early (Wald).

    Example: **python -m grader sampling next-plate 4.3 4.5 --good 4.0 --bad 5.0**
    """
    import numpy as np

    from grader.cli import sampling_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.sampling.sequential_mean import sequential_mean

    with plain_words():
        test = sequential_mean(good=good, bad=bad, plate_sd=plate_sd, producer=producer, consumer=consumer)
        lines = tell.next_plate_lines(test, np.array(places or [], float), shared=shared)
    typer.echo("\n".join(lines))


@sampling.command(epilog=_EPILOG)
def colour(
    place: Annotated[float, typer.Argument(metavar="PLACE", help="True mean place of the lot asked about, steps.")],
    wanted: WantedOption = 0.9,
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="House standard, for its target. Else the 9.5 mm one.")
    ] = None,
    stage: Annotated[
        Literal["blanched", "finished", "held"], typer.Option(help="Which of its targets: that of fries at this stage.")
    ] = "finished",
    question: QuestionOption = "release",
    fries: FriesOption = 36,
    within: Annotated[float, typer.Option(min=0, help="How fries of a plate scatter, steps.")] = 0.4,
    between: Annotated[float | None, typer.Option(min=0, help="How plates of a lot do; else the house default.")] = (
        None
    ),
    shared: Annotated[
        float, typer.Option(min=0, help="What all photos share, steps: `measured_u` of a verdict of many plates.")
    ] = 0.15,
    curve: CurveOption = None,
) -> None:
    """How many plates until a lot of that colour passes, or fails, as often as wanted.

    Example: **python -m grader sampling colour 4.2 --shared 0.2 --curve colour.svg**
    """
    from grader.cli import sampling_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.cli.sampling_run import colour_asked, colour_curve
    from grader.decision.terms import Question
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words():
        scale = at_stage(chosen_standard(standard), stage).scale
        case = colour_asked(scale, Question(question), fries=fries, within=within, between=between, shared=shared)
        needed, lines = tell.colour_lines(case, place=place, wanted=wanted)
        if curve is not None:
            curve.write_text(colour_curve(case, needed, place=place), encoding="utf-8")
    typer.echo("\n".join(lines))


@sampling.command(epilog=_EPILOG)
def share(
    true_share: Annotated[float, typer.Argument(metavar="SHARE", min=0, max=1, help="True share in the lot, 0 to 1.")],
    limit: Annotated[float, typer.Option(min=0.001, max=0.999, help="The limit on it, 0 to 1.")],
    sense: Annotated[Literal["at least", "at most"], typer.Option(help="Which side of the limit is good.")] = "at most",
    wanted: WantedOption = 0.9,
    question: QuestionOption = "release",
    fries: FriesOption = 36,
    correlation: Annotated[
        float | None, typer.Option(min=0, max=0.9, help="Of two fries of a plate; else the house default.")
    ] = None,
    curve: CurveOption = None,
) -> None:
    """How many plates until a lot with that share passes, or fails, as often as wanted; fries of a plate are alike.

    Example: **python -m grader sampling share 0.05 --limit 0.1 --question claim**
    """
    from grader.cli import sampling_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.cli.sampling_run import share_asked, share_curve
    from grader.decision.terms import Question

    with plain_words():
        case = share_asked(sense, limit, Question(question), fries=fries, correlation=correlation)
        needed, lines = tell.share_lines(case, share=true_share, wanted=wanted)
        if curve is not None:
            curve.write_text(share_curve(case, needed, share=true_share), encoding="utf-8")
    typer.echo("\n".join(lines))
