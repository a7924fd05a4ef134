"""The commands about a lot as it comes in: how dense its tubers are, how heavy, and what may be made of them."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = (
    "Exit codes: 0 done; 2 wrong use, or figures that can't be those of potatoes; 5 the table could not be written."
)

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
) -> None:
    """Plan a lot test fry: strips of a new lot in turn with strips of a lot kept back, in the same oil.

    Example: **python -m grader intake plan-fry lot.csv --cartons 4 --baskets 5**
    """
    from grader.cli.intake_telling import plan_fry_lines
    from grader.cli.lot_fry_run import write_lot_plan
    from grader.cli.plain_words import plain_words
    from grader.line.lot_fry import plan_lot_fry

    with plain_words():
        planned = plan_lot_fry(tubers=tubers, cartons=cartons, baskets=baskets, strips=strips, seed=draw)
        write_lot_plan(table, planned)
    typer.echo("\n".join(plan_fry_lines(table, len(planned))))


@intake.command("read-fry", epilog=_EPILOG)
def read_fry(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in table.")],
    worth: Annotated[float, typer.Option(min=0.01, help="The smallest difference worth acting on, steps.")] = 0.5,
) -> None:
    """Whether the new lot fries darker or paler than the one kept back, and how many of its tubers have sugar ends.

    Example: **python -m grader intake read-fry lot.csv --worth 0.5**
    """
    from grader.cli.intake_telling import lot_fry_lines
    from grader.cli.lot_fry_run import read_strips
    from grader.cli.plain_words import plain_words
    from grader.line.lot_fry import compare_lots

    with plain_words():
        lines = lot_fry_lines(compare_lots(read_strips(table)), worth=worth)
    typer.echo("\n".join(lines))
