"""The commands about the fryer: how far a load cools the oil, and where a trial with another cut may begin."""

from typing import Annotated

import typer

_EPILOG = "Exit codes: 0 done; 2 wrong use, or a fryer that can't be."

fryer = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="Load and heat: how far the oil falls, how large a basket may be, a first time for another cut.",
    epilog=_EPILOG,
)


@fryer.command(epilog=_EPILOG)
def load(
    kg: Annotated[float, typer.Argument(metavar="KG", help="Strips in the basket, kg.")],
    oil: Annotated[float, typer.Option(help="Oil in the fryer, kg (a litre weighs 0.92 kg cold).")],
    power: Annotated[float, typer.Option(help="What reaches the oil, kW: for gas about half of what is on the plate.")],
    celsius: Annotated[float, typer.Option(help="Temperature of the oil, C.")] = 177.0,
    food_celsius: Annotated[float, typer.Option(help="Temperature of the strips, C.")] = 4.0,
    water: Annotated[float, typer.Option(help="Share of water in the strips: near 0.8 raw.")] = 0.75,
    lost: Annotated[float, typer.Option(help="Water boiled off, as a share of the strips.")] = 0.25,
    draws: Annotated[float, typer.Option(help="Seconds until the strips have drawn 63 % of their heat.")] = 60.0,
    fall: Annotated[float, typer.Option(help="How far the oil may fall in your house, C.")] = 15.0,
) -> None:
    """How far a load cools the oil, when it is back, and the largest load that keeps to the house's limit.

    Example: **python -m grader fryer load 1.5 --oil 18 --power 14**
    """
    from grader.cli.fryer_telling import load_lines
    from grader.cli.plain_words import plain_words
    from grader.line.load import Fryer, Load

    with plain_words():
        basket = Load(kg=kg, celsius=food_celsius, water=water, lost=lost, draws_s=draws)
        lines = load_lines(Fryer(oil_kg=oil, power_kw=power, oil_c=celsius), basket, fall_at_most_c=fall)
    typer.echo("\n".join(lines))


@fryer.command(epilog=_EPILOG)
def cut(
    seconds: Annotated[float, typer.Argument(metavar="SECONDS", help="Time that the one cut takes.")],
    cut_mm: Annotated[float, typer.Option("--cut", help="That cut, mm.")],
    new_mm: Annotated[float, typer.Option("--new", help="The other cut, mm.")],
) -> None:
    """Where a trial with another cut may begin: a starting point with its doubt, never a recipe.

    Example: **python -m grader fryer cut 150 --cut 9.5 --new 12.7**
    """
    from grader.cli.fryer_telling import cut_lines
    from grader.cli.plain_words import plain_words
    from grader.line.cut_time import time_for_cut

    with plain_words():
        lines = cut_lines(time_for_cut(seconds, cut_mm=cut_mm, new_cut_mm=new_mm), new_mm=new_mm)
    typer.echo("\n".join(lines))
