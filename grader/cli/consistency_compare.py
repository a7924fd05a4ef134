"""The commands that compare plates of several runs: shifts or kitchens, a kitchen with its range, two kitchens."""

from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

import typer

EPILOG = "Exit codes: 0 done; 2 wrong use, results that can't be read, or too few plates to tell anything."

Runs = Annotated[
    list[Path] | None,
    typer.Argument(metavar="DIR...", help="Folders into which `grade` wrote its results; none: the records."),
]
RecordsOption = Annotated[
    str | None, typer.Option("--records", metavar="URL", help="Records other than this machine's own.")
]
KitchenOption = Annotated[str, typer.Option(metavar="NAME", help="Of the records: which kitchen. Else all.")]
FromOption = Annotated[
    datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], metavar="DAY", help="Of the records: the first day.")
]
UntilOption = Annotated[
    datetime | None, typer.Option("--until", formats=["%Y-%m-%d"], metavar="DAY", help="Of the records: the last day.")
]
QuantityOption = Annotated[
    Literal["place", "L", "a", "b", "length"],
    typer.Option(help="What is compared: place on the colour scale, L*, a*, b*, or length."),
]
WorthOption = Annotated[
    float, typer.Option(min=1e-6, help="The smallest difference that you would act on, in the quantity's unit.")
]
StandardOption = Annotated[
    Path | None, typer.Option(metavar="FILE", help="House standard that the runs were judged by. Else the 9.5 mm one.")
]
StageOption = Annotated[
    Literal["blanched", "finished", "held"], typer.Option(help="The stage of the fries in those runs.")
]
AboutOption = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE",
        help="CSV table: batch (and run, a folder's name), with any of kitchen, station, fryer, shift, lot, supplier.",
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")]


def compare(
    worth: WorthOption,
    runs: Runs = None,
    by: Annotated[
        Literal["run", "kitchen", "station", "fryer", "shift", "lot", "supplier"],
        typer.Option(
            help="What is compared with each other: folders of results, or what --about or the records say of batches."
        ),
    ] = "run",
    quantity: QuantityOption = "place",
    about: AboutOption = None,
    within_lots: Annotated[
        bool, typer.Option("--within-lots", help="Take out what lots differ by (--about must name them).")
    ] = False,
    shared_u: Annotated[
        float,
        typer.Option(
            min=0, help="Standard uncertainty that all plates of one group share: a phone or light of its own."
        ),
    ] = 0.0,
    records: RecordsOption = None,
    kitchen: KitchenOption = "",
    first_day: FromOption = None,
    last_day: UntilOption = None,
    standard: StandardOption = None,
    stage: StageOption = "finished",
    as_json: JsonOption = False,
) -> None:
    """Compare shifts, kitchens or fryers: do they differ, are they alike enough, or how many plates would tell.

    Give a folder of results for each, or one folder and a table that says which shift each batch is of; without any,
    plates come from the records, which know.

    Example: **python -m grader consistency compare graded --by shift --about batches.csv --worth 0.3**
    """
    from grader.cli.compare_run import Source, plates_of
    from grader.cli.plain_words import plain_words
    from grader.consistency.compare_words import comparison_lines
    from grader.consistency.comparing import compare_groups
    from grader.consistency.quantities import QUANTITIES
    from grader.records.comparisons import check_groups, grouped, lots_words, result_record
    from grader.records.readings import json_text
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words(as_json=as_json):
        source = Source(
            runs=runs or (),
            about=about,
            records=records,
            kitchen=kitchen,
            first_day=first_day,
            last_day=last_day,
        )
        plates = plates_of(source, standard=at_stage(chosen_standard(standard), stage))
        check_groups(plates, by=by)
        drawn = grouped(plates, by=by, quantity=quantity, within_lots=within_lots)
        found = compare_groups(drawn, worth_acting_on=worth, within_lots=within_lots, shared_u=shared_u)
    if as_json:
        typer.echo(json_text({"quantity": quantity, "by": by, **result_record(found)}), nl=False)
    else:
        lots = None if within_lots or by == "lot" else lots_words(drawn)
        said = [*comparison_lines(found, QUANTITIES[quantity], by=by), *([f"  {lots}"] if lots else [])]
        typer.echo("\n".join(said))


def capability(
    runs: Runs = None,
    quantity: QuantityOption = "place",
    low: Annotated[
        float | None, typer.Option(help="Lower end of the range. Of the place: else the standard's target.")
    ] = None,
    high: Annotated[float | None, typer.Option(help="Upper end of the range.")] = None,
    method_sd: Annotated[
        float | None,
        typer.Option(min=0, help="Standard deviation of the method itself, from a study of it: told apart then."),
    ] = None,
    records: RecordsOption = None,
    kitchen: KitchenOption = "",
    first_day: FromOption = None,
    last_day: UntilOption = None,
    standard: StandardOption = None,
    stage: StageOption = "finished",
    as_json: JsonOption = False,
) -> None:
    """Capability against the house's range: Cp, Cpk, Pp, Ppk with intervals, and what the spread is made of.

    Example: **python -m grader consistency capability graded**
    """
    from grader.cli.compare_run import Source, plates_of
    from grader.cli.plain_words import plain_words
    from grader.consistency.capability import capability_of
    from grader.consistency.compare_words import capability_lines
    from grader.consistency.quantities import QUANTITIES
    from grader.records.comparisons import asked_range, result_record, spread
    from grader.records.readings import json_text
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words(as_json=as_json):
        chosen = at_stage(chosen_standard(standard), stage)
        low, high = asked_range(chosen, quantity, low, high)
        source = Source(runs=runs or (), records=records, kitchen=kitchen, first_day=first_day, last_day=last_day)
        found_plates = plates_of(source, standard=chosen)
        plates = spread(found_plates, quantity=quantity, standard=chosen, within=(low, high))
        found = capability_of(plates, low=low, high=high, method_sd=method_sd)
    if as_json:
        typer.echo(json_text({"quantity": quantity, **result_record(found)}), nl=False)
    else:
        typer.echo("\n".join(capability_lines(found, QUANTITIES[quantity])))


def two_kitchens(
    first: Annotated[Path, typer.Argument(metavar="DIR", help="Results of the first kitchen.")],
    second: Annotated[Path, typer.Argument(metavar="DIR", help="Results of the second.")],
    worth: WorthOption,
    quantity: QuantityOption = "place",
    pairs: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV table with the columns first and second: photos of one plate."),
    ] = None,
    standard: StandardOption = None,
    stage: StageOption = "finished",
    as_json: JsonOption = False,
) -> None:
    """Compare how two kitchens read the same plates: bias, limits of agreement, and whether stated doubts cover it.

    Photos of a plate go by one name in both kitchens, or --pairs says which belong together. Photograph a plate in both
    within minutes: fries cool and dry.

    Example: **python -m grader consistency two-kitchens graded-north graded-south --worth 0.3**
    """
    from grader.cli.plain_words import plain_words
    from grader.consistency.compare_words import kitchens_lines
    from grader.consistency.quantities import QUANTITIES
    from grader.consistency.two_kitchens import compare_kitchens
    from grader.records.comparisons import paired, read_pairs, result_record
    from grader.records.plate_readings import read_plates
    from grader.records.readings import json_text
    from grader.records.standards import chosen_standard
    from grader.standard import at_stage

    with plain_words(as_json=as_json):
        chosen = at_stage(chosen_standard(standard), stage)
        here, there = read_plates([first], standard=chosen), read_plates([second], standard=chosen)
        both = paired(here, there, quantity=quantity, pairs=None if pairs is None else read_pairs(pairs))
        found = compare_kitchens(both, worth_acting_on=worth)
    if as_json:
        typer.echo(json_text({"quantity": quantity, **result_record(found)}), nl=False)
    else:
        lines = kitchens_lines(found, QUANTITIES[quantity], first=first.name, second=second.name)
        typer.echo("\n".join(lines))
