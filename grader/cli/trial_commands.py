"""The commands about a trial of time and temperature: which plates to fry, and what they tell."""

from pathlib import Path
from typing import Annotated

import typer

_EPILOG = "Exit codes: 0 done; 2 wrong use, or plates that can't tell; 5 the table could not be written."

trial = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="markdown",
    help="Find your own time and temperature by a few plates: which to fry, what they tell, which to fry next.",
    epilog=_EPILOG,
)


@trial.command(epilog=_EPILOG)
def plan(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The table to fill in, a new CSV file.")],
    guess: Annotated[float, typer.Option(help="Seconds that your house fries now.")],
    celsius: Annotated[float, typer.Option(help="Temperature of the oil, C.")],
    apart: Annotated[float, typer.Option(help="How far apart the temperatures are, C.")] = 10.0,
    draw: Annotated[int, typer.Option(help="Another number draws another order.")] = 1,
) -> None:
    """Write the table of twelve plates to fry, in drawn order.

    Example: **python -m grader trial plan trial.csv --guess 150 --celsius 175 --apart 8**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.trial_telling import plan_lines
    from grader.line.trial_plan import plan_trial
    from grader.line.trial_table import plan_text
    from grader.new_files import write_new

    with plain_words():
        settings = plan_trial(guess_s=guess, celsius=celsius, apart_c=apart, seed=draw)
        write_new(table, plan_text(settings))
    typer.echo("\n".join(plan_lines(table, settings)))


@trial.command(epilog=_EPILOG)
def read(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in table.")],
    celsius: Annotated[float, typer.Option(help="Temperature that the time is wanted for, C.")],
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="House standard, for its target. Else the 9.5 mm one.")
    ] = None,
    time_u: Annotated[float, typer.Option(min=0.1, help="Standard uncertainty of a time, s.")] = 3.0,
    celsius_u: Annotated[float, typer.Option(min=0.1, help="That of a temperature, C.")] = 2.0,
    place_u: Annotated[float, typer.Option(min=0.01, help="How plates fried alike differ, steps.")] = 0.15,
    wanted: Annotated[float, typer.Option(min=0.01, max=0.5, help="Narrow enough: this share of the time.")] = 0.08,
) -> None:
    """The window of times that hits the target, how sure it is, and which plate to fry next.

    Example: **python -m grader trial read trial.csv --celsius 175**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.trial_telling import found_lines
    from grader.line.trial import Noise
    from grader.line.trial_choice import choose_curve
    from grader.line.trial_table import read_plates
    from grader.records.standards import chosen_standard

    with plain_words():
        scale = chosen_standard(standard).scale
        plates = read_plates(table)
        noise = Noise(time_s=time_u, celsius=celsius_u, place=place_u)
        choice = choose_curve(plates, noise, steps=len(scale.steps))
        lines = found_lines(choice, scale, celsius=celsius, wanted=wanted)
    typer.echo("\n".join(lines))


@trial.command("plan-levels", epilog=_EPILOG)
def plan_levels(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The table to fill in, a new CSV file.")],
    level: Annotated[list[float], typer.Option(help="What is tried, once for each: hours of soak, weeks of storage.")],
    each: Annotated[int, typer.Option(help="Plates of each.")] = 4,
    draw: Annotated[int, typer.Option(help="Another number draws another order.")] = 1,
) -> None:
    """Plan a trial of one other thing, soak or storage say, all else alike: which plates to fry in which order.

    Example: **python -m grader trial plan-levels soak.csv --level 0.5 --level 3 --level 12**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.trial_telling import levels_plan_lines
    from grader.line.levels import plan_levels as draw_levels
    from grader.line.levels import plan_text
    from grader.new_files import write_new

    with plain_words():
        planned = draw_levels(level, each=each, seed=draw)
        write_new(table, plan_text(planned))
    typer.echo("\n".join(levels_plan_lines(table, planned)))


@trial.command("read-levels", epilog=_EPILOG)
def read_levels(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in table.")],
    standard: Annotated[
        Path | None, typer.Option(metavar="FILE", help="House standard, for its target. Else the 9.5 mm one.")
    ] = None,
) -> None:
    """Which levels differ in colour, by how much, and which are surely within the target.

    Example: **python -m grader trial read-levels soak.csv**
    """
    from grader.cli.plain_words import plain_words
    from grader.cli.trial_telling import levels_lines
    from grader.line.levels import compare_levels
    from grader.line.levels import read_levels as read_table
    from grader.records.standards import chosen_standard

    with plain_words():
        lines = levels_lines(compare_levels(read_table(table)), chosen_standard(standard).scale)
    typer.echo("\n".join(lines))
