"""The commands about a lot as it comes in: how dense its tubers are, how heavy, and what may be made of them."""

from pathlib import Path
from typing import Annotated

import typer

from grader.cli.records_setting import LanguageOption

_EPILOG = (
    "Exit codes: 0 done; 2 wrong use, or figures that can't be those of potatoes; 5 the table could not be written."
)

StandardOption = Annotated[
    Path | None, typer.Option(metavar="FILE", help="House standard, for scale and limits. Else the 9.5 mm one.")
]

intake = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="A lot of potatoes as it comes in: specific gravity, salt baths, tuber sizes, yield, and the lot test fry.",
    epilog=_EPILOG,
)


@intake.command(epilog=_EPILOG)
def weigh(
    air_g: Annotated[float, typer.Argument(metavar="AIR", help="Grams of the tubers in air.")],
    water_g: Annotated[float, typer.Argument(metavar="WATER", help="Grams they show hung under water.")],
    scale_u: Annotated[float, typer.Option(min=0, help="Standard uncertainty of either weighing, g.")] = 1.0,
) -> None:
    """Specific gravity, dry matter and expected yield of tubers weighed in air and under water.

    Example: **python -m grader intake weigh 3600 262**
    """
    from grader.cli import intake_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.line.solids import specific_gravity

    with plain_words():
        lines = tell.gravity_lines(specific_gravity(air_g, water_g, u_g=scale_u))
    typer.echo("\n".join(lines))


@intake.command(epilog=_EPILOG)
def bath(
    gravity: Annotated[list[float], typer.Argument(metavar="GRAVITY...", help="Specific gravities wanted.")],
    litres: Annotated[float, typer.Option(min=0.1, help="Litres of water in each bath.")] = 10.0,
    celsius: Annotated[float, typer.Option(help="How warm the baths are, C.")] = 20.0,
) -> None:
    """How much salt, by weight, makes a bath in which tubers of a gravity hover.

    Example: **python -m grader intake bath 1.070 1.080 1.090 --litres 10**
    """
    from grader.cli import intake_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.line.brine import salt_g_per_kg_water

    with plain_words():
        salts = [(one, salt_g_per_kg_water(one, temperature_c=celsius)) for one in gravity]
    typer.echo("\n".join(tell.bath_lines(salts, litres=litres, celsius=celsius)))


@intake.command("float", epilog=_EPILOG)
def float_test(
    counts: Annotated[
        list[int],
        typer.Argument(
            metavar="TUBERS...",
            help="How many floated in the first bath, in the next, and so on; last, how many sank in all.",
        ),
    ],
    baths: Annotated[
        list[float], typer.Option("--bath", metavar="GRAVITY", help="Each bath's gravity, the lightest first.")
    ],
    bath_u: Annotated[
        float, typer.Option(min=0, help="Standard uncertainty of their gravities: 0.001 for salt weighed in.")
    ] = 0.001,
) -> None:
    """A lot's mean specific gravity and its spread, from what floats and sinks in salt baths.

    Example: **python -m grader intake float 3 9 6 2 --bath 1.070 --bath 1.080 --bath 1.090**
    """
    from grader.cli import intake_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.line.floating import fit_float_test

    with plain_words():
        lines = tell.float_lines(fit_float_test(baths, counts, bath_u=bath_u))
    typer.echo("\n".join(lines))


@intake.command(epilog=_EPILOG)
def carton(
    count: Annotated[int, typer.Argument(metavar="COUNT", help="Tubers in a carton of 50 lb (22.68 kg), as marked.")],
    masses: Annotated[list[float] | None, typer.Argument(metavar="GRAMS...", help="Tubers weighed, g each.")] = None,
) -> None:
    """What a tuber of a count carton weighs on average, and whether those weighed are as heavy.

    Example: **python -m grader intake carton 80 262 301 240 255 288 270 249 310**
    """
    from grader.cli import intake_telling as tell
    from grader.cli.plain_words import plain_words
    from grader.line.cartons import hold_against_count, mean_tuber_g

    with plain_words():
        stated = mean_tuber_g(count)
        weighed = hold_against_count(masses, count) if masses else None
    typer.echo("\n".join(tell.carton_lines(count, stated, weighed)))


@intake.command("plan-fry", epilog=_EPILOG)
def plan_fry(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The table to fill in, a new CSV file.")],
    tubers: Annotated[int, typer.Option(help="Tubers of each lot, drawn at random.")] = 20,
    cartons: Annotated[int, typer.Option(help="Cartons of each lot that they come from.")] = 4,
    baskets: Annotated[int, typer.Option(help="Baskets, each with strips of both lots.")] = 5,
    strips: Annotated[int, typer.Option(help="Centre strips of each tuber.")] = 2,
    draw: Annotated[int, typer.Option(help="Another number draws another order.")] = 1,
    sheet: Annotated[
        Path | None, typer.Option("--print", metavar="FILE", help="A sheet to print and take to the fryer, as PDF.")
    ] = None,
    language: LanguageOption = "en",
) -> None:
    """Plan a lot test fry: strips of a new lot in turn with strips of a lot kept back, in the same oil.

    Example: **python -m grader intake plan-fry lot.csv --cartons 4 --baskets 5**
    """
    from grader.cli.intake_telling import plan_fry_lines
    from grader.cli.plain_words import plain_words
    from grader.drawing.line_papers import lot_fry_paper
    from grader.drawing.paper import paper_pdf
    from grader.language import speaking
    from grader.line.lot_fry import plan_lot_fry
    from grader.line.lot_fry_table import plan_text
    from grader.new_files import write_new
    from grader.records.whole_files import write_whole

    with plain_words():
        planned = plan_lot_fry(tubers=tubers, cartons=cartons, baskets=baskets, strips=strips, seed=draw)
        write_new(table, plan_text(planned))
        if sheet is not None:
            with speaking(language):
                write_whole(sheet, paper_pdf(lot_fry_paper(planned)))
    typer.echo("\n".join(plan_fry_lines(table, len(planned))))


@intake.command("read-fry", epilog=_EPILOG)
def read_fry(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in table.")],
    worth: Annotated[float, typer.Option(min=0.01, help="The smallest difference worth acting on, steps.")] = 0.5,
    standard: StandardOption = None,
    trial: Annotated[
        Path | None, typer.Option(metavar="TABLE", help="A trial's table (trial plan), for the lot's time today.")
    ] = None,
    seconds: Annotated[float | None, typer.Option(help="With --trial: what the house fries a good lot for, s.")] = None,
    celsius: Annotated[float | None, typer.Option(help="With --trial: at which temperature of the oil, C.")] = None,
) -> None:
    """Whether the new lot can make the house's fry: its colour beside the lot kept back, sugar ends, its time today.

    Example: **python -m grader intake read-fry lot.csv --trial trial.csv --seconds 150 --celsius 172**
    """
    from grader.cli.intake_telling import answer_lines, lot_fry_lines, number_lines
    from grader.cli.lot_fry_run import house_time
    from grader.cli.plain_words import plain_words
    from grader.line.lot_answer import answer_of
    from grader.line.lot_fry import compare_lots
    from grader.line.lot_fry_table import read_strips
    from grader.records.standards import chosen_standard

    with plain_words():
        strips, chosen = read_strips(table), chosen_standard(standard)
        told = compare_lots(strips)
        house = house_time(trial, seconds, celsius, steps=len(chosen.scale.steps))
        lines = answer_lines(answer_of(strips, told, chosen, house), house)
        lines += [*lot_fry_lines(told, worth=worth), *number_lines(strips)]
    typer.echo("\n".join(lines))


@intake.command("score-fry", epilog=_EPILOG)
def score_fry(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The table of plan-fry.")],
    photos: Annotated[list[Path], typer.Argument(metavar="PHOTO...", help="One photo of each basket, in order.")],
    out: Annotated[Path, typer.Option(metavar="FILE", help="The table with every strip's colour, a new CSV file.")],
    standard: StandardOption = None,
    chips: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Your own chips of the published numbering: a table number, L, a, b."),
    ] = None,
) -> None:
    """Score a lot test fry from photos: each strip's body and stem end, by the house scale and your own chips.

    Lay the strips of a basket apart, in the order of the table, stem ends towards the card's upper side.

    Example: **python -m grader intake score-fry lot.csv basket-*.jpg --out scored.csv**
    """
    from grader.cli.lot_fry_run import score_photos
    from grader.cli.plain_words import plain_words
    from grader.line.fry_numbers import read_chips
    from grader.line.lot_fry_table import read_planned, scored_text
    from grader.new_files import write_new
    from grader.records.standards import chosen_standard

    with plain_words():
        planned = read_planned(table)
        known = None if chips is None else read_chips(chips)
        strips = score_photos(planned, photos, standard=chosen_standard(standard), chips=known)
        write_new(out, scored_text(strips))
    typer.echo(f"{out}: {len(strips)} of {len(planned)} strips scored. Look it through; then: intake read-fry.")
