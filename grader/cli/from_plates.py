"""The command that makes a house standard from photographs of plates that the house has named."""

from pathlib import Path
from typing import Annotated

import typer


def standard_from_plates(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", exists=True, file_okay=False, help="A folder inside it for each step.")
    ],
    step: Annotated[list[str], typer.Option(metavar="NAME", help="A step, once for each, palest first.")],
    right: Annotated[list[str], typer.Option(metavar="NAME", help="A step that is as the house wants it.")],
    out: Annotated[Path, typer.Option(metavar="FILE", help="The new standard; a file that is there stays as it is.")],
    standard: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Standard that gives cut, defects and limits. Else the 9.5 mm one."),
    ] = None,
    name: Annotated[str, typer.Option(metavar="WORDS", help="What the new standard is called.")] = "Made from plates",
    version: Annotated[str, typer.Option(metavar="WORDS", help="Its version.")] = "1",
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for other programs, and nothing else.")] = False,
) -> None:
    """Make a house standard from photos of plates that the house calls too pale, right, too dark, or by more names.

    Each step has a folder of its name inside DIR, with photos of at least 2 plates, better 3 or more: other plates in
    each photo, all beside the same card and in the same light as later ones. Prints how well the steps separate, and
    warns of two that can't be told apart.

    Example: **python -m grader standard-from-plates plates/ --step pale --step gold --step dark --right gold --out
    house.toml**
    """
    from rich.console import Console

    from grader.cli.from_plates_run import run_with_bar
    from grader.cli.from_plates_telling import tell_photos, tell_proposal
    from grader.cli.plain_words import plain_words
    from grader.cli.step_folders import check_new, look_through_steps
    from grader.records.house import kept_studies, known_today
    from grader.records.readings import json_text, standing_record
    from grader.records.scales import proposal_record
    from grader.records.standards import chosen_standard
    from grader.records.step_plates import standard_of_plates
    from grader.records.whole_files import write_whole
    from grader.scale_fit import propose_scale
    from grader.standard import write_standard

    console = Console(quiet=as_json)
    with plain_words(as_json=as_json):
        check_new(out)
        earlier, folders = chosen_standard(standard), look_through_steps(folder, steps=step, right=right)
        for words in folders.left_out:
            console.print(words, markup=False)
        run = run_with_bar(
            folders, standard=earlier, known=known_today(), studies=kept_studies(), console=Console(stderr=True)
        )
        tell_photos(console, run)
        proposal = propose_scale(run.plates, steps=step, right=right)
        tell_proposal(console, run, proposal)
        made = standard_of_plates(earlier, run, proposal, name=name, version=version)
        write_whole(out, write_standard(made).encode())
    if as_json:
        said = [{"photo": photo, "said": words} for photo, words in run.said]
        record = {"left_out": list(folders.left_out), "photos": said, **proposal_record(proposal, run.plates)}
        told = {**record, "standing": standing_record(run.standing), "written": str(out)}
        typer.echo(json_text(told), nl=False)
        return
    typer.echo(f"Written to {out}. Read it through, then grade with --standard {out}.")
