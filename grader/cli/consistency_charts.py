"""The commands that watch shifts: charts over time, their rules, baselines frozen for them."""

from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

import typer

EPILOG = "Exit codes: 0 done; 2 wrong use, a faulty document, or too few batches; 5 not written."

Runs = Annotated[
    list[Path] | None,
    typer.Argument(metavar="DIR...", help="Folders into which `grade` wrote its results; none: the records."),
]
KitchenOption = Annotated[str, typer.Option(metavar="NAME", help="Which kitchen.")]
FryerOption = Annotated[str, typer.Option(metavar="NAME", help="Which fryer.")]
MeasureOption = Annotated[
    Literal["place", "spread", "length"],
    typer.Option(help="Mean place on the colour scale, how far fries of a plate differ in it, or mean length."),
]
StandardOption = Annotated[
    Path | None, typer.Option(metavar="FILE", help="House standard that judged the plates. Else the 9.5 mm one.")
]
StageOption = Annotated[
    Literal["blanched", "finished", "held"], typer.Option(help="The stage of the fries on those plates.")
]
RecordsOption = Annotated[
    str | None, typer.Option("--records", metavar="URL", help="Records other than this machine's own.")
]
ZoneOption = Annotated[
    str, typer.Option(metavar="ZONE", help="The kitchen's time zone, \"Europe/Lisbon\". Else this machine's.")
]
FromOption = Annotated[
    datetime | None,
    typer.Option("--from", formats=["%Y-%m-%d"], metavar="DAY", help="First day of the baseline; with --until."),
]
UntilOption = Annotated[
    datetime | None, typer.Option("--until", formats=["%Y-%m-%d"], metavar="DAY", help="Its last day.")
]


def chart(
    runs: Runs = None,
    measure: MeasureOption = "place",
    kitchen: KitchenOption = "",
    fryer: FryerOption = "",
    first_day: FromOption = None,
    last_day: UntilOption = None,
    share: Annotated[
        list[str] | None,
        typer.Option(metavar="LIMIT", help="Also chart a share: dark_end, short, length_76.2, ...; once for each."),
    ] = None,
    rule: Annotated[
        list[str] | None,
        typer.Option(metavar="RULE", help="Rules that are on, once for each: see `consistency rules`. Else three."),
    ] = None,
    about: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV table of batches: batch, taken_at, kitchen, fryer, shift, lot, ..."),
    ] = None,
    events: Annotated[
        Path | None, typer.Option(metavar="FILE", help="CSV table of events: at, kind, kitchen, fryer, lot, words.")
    ] = None,
    out: Annotated[Path | None, typer.Option(metavar="FILE.svg", help="Also draw the chart into this file.")] = None,
    standard: StandardOption = None,
    stage: StageOption = "finished",
    records: RecordsOption = None,
    zone: ZoneOption = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Chart one fryer over time: what is usual, what stands out, what events did, when a level changed.

    Example: **python -m grader consistency chart graded --about batches.csv --events events.csv --out chart.svg**
    """
    from grader.cli import shift_run
    from grader.cli.plain_words import plain_words
    from grader.records.readings import json_text
    from grader.records.shift_record import shift_record

    with plain_words(as_json=as_json):
        where = shift_run.Where(
            runs=tuple(runs or ()), about=about, events=events, records=records, kitchen=kitchen, fryer=fryer, zone=zone
        )
        wish = shift_run.Wish(
            measure=measure,
            days=shift_run.days(first_day, last_day),
            rules=shift_run.rules(rule),
            shares=tuple(share or ()),
        )
        found = shift_run.watched(where, wish, standard=shift_run.standard_at(standard, stage))
        drawn = [] if out is None else shift_run.draw(out, found)
    if as_json:
        typer.echo(json_text(shift_record(found.told, found.source)), nl=False)
    else:
        typer.echo("\n".join([*shift_run.lines(found), *(f"Drawn into {path}." for path in drawn)]))


def rules() -> None:
    """Name the rules by which a batch stands out, what each means, and which are on unless you choose others.

    Example: **python -m grader consistency rules**
    """
    from grader.cli.shift_run import rule_lines

    typer.echo("\n".join(rule_lines()))


def baseline(
    first_day: Annotated[
        datetime, typer.Option("--from", formats=["%Y-%m-%d"], metavar="DAY", help="First day of the baseline.")
    ],
    last_day: Annotated[datetime, typer.Option("--until", formats=["%Y-%m-%d"], metavar="DAY", help="Its last day.")],
    by: Annotated[str, typer.Option(metavar="INITIALS", help="Who chose it.")],
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why this period is what is usual.")],
    measure: MeasureOption = "place",
    kitchen: KitchenOption = "",
    fryer: FryerOption = "",
    standard: StandardOption = None,
    stage: StageOption = "finished",
    records: RecordsOption = None,
    zone: ZoneOption = "",
) -> None:
    """Choose a chart's baseline and freeze it in the records: later plates never change it.

    Example: **python -m grader consistency baseline --from 2026-09-01 --until 2026-09-14 --by AB --why usual**
    """
    from grader.cli import shift_run
    from grader.cli.plain_words import plain_words

    with plain_words():
        where = shift_run.Where(records=records, kitchen=kitchen, fryer=fryer, zone=zone)
        wish = shift_run.Wish(measure=measure, days=shift_run.days(first_day, last_day))
        line = shift_run.freeze_baseline(
            where, wish, standard=shift_run.standard_at(standard, stage), signature=(by, why)
        )
    typer.echo(line)
