"""The commands and their help; each does one thing and imports what it needs only when it is called."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

    from grader.cli.photos import PhotoBatch
    from grader.records.summary import BatchEntry
    from grader.standard.model import Standard

EXIT_CODES = """Exit codes: 0 all photos were processed, whatever was found; 2 wrong use, or a faulty document;
5 results could not be written. With --exit-verdict also: 1 a batch failed; 3 a photo was refused; 4 undecided."""

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="rich",
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Grades a photographed plate of fries beside a printed colour card, with the doubt stated.",
    epilog=EXIT_CODES,
)

StandardOption = Annotated[
    Path | None,
    typer.Option("--standard", metavar="FILE", help="House standard, a TOML file; without it the shipped 9.5 mm one."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the summary as JSON and nothing else.")]


@app.callback()
def about() -> None:
    """Keep the command's name in the call even while there is only one."""


@contextmanager
def _in_plain_words(*, as_json: bool = False) -> Iterator[None]:
    """Turn this project's errors, and a disk that refuses, into words and an exit code."""
    from grader.cli.exits import Exit
    from grader.errors import GraderError

    try:
        yield
    except GraderError as error:
        _stop(error.message, error.hint, code=Exit.FAULTY_INPUT, as_json=as_json)
    except OSError as error:
        _stop(f"{error}.", "Check the folder, its rights and the space left.", code=Exit.NOT_WRITTEN, as_json=as_json)


def _stop(message: str, hint: str, *, code: int, as_json: bool) -> NoReturn:
    if as_json:
        typer.echo(json.dumps({"error": {"message": message, "hint": hint}}, ensure_ascii=False))
    typer.echo(f"{message} {hint}", err=True)
    raise typer.Exit(code)


@app.command(epilog=EXIT_CODES)
def grade(
    photos: Annotated[list[Path], typer.Argument(metavar="PHOTO_OR_FOLDER...", help="Photos, or folders of photos.")],
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the results; made where it isn't there.")
    ],
    standard: StandardOption = None,
    as_json: JsonOption = False,
    exit_verdict: Annotated[bool, typer.Option(help="Let the exit code say what was found.")] = False,
) -> None:
    """Grade photos: readings, labels and a picture for each, and a verdict for each batch.

    Photos named one by one are one batch. A folder's own photos are one batch, and each folder inside it that holds
    photos is another. Masks, labels, graded pictures and files that are no photos are left out.

    Example: [bold]python -m grader grade plates/ --out graded/[/bold]
    """
    from rich.console import Console

    from grader.cli.choosing import chosen_standard
    from grader.cli.exits import Exit, verdict_exit
    from grader.cli.photos import gather
    from grader.cli.telling import tell_left_out, tell_run

    with _in_plain_words(as_json=as_json):
        batches, left_out = gather(photos, out=out)
        errors = Console(stderr=True)
        tell_left_out(errors, left_out)
        entries = _graded(batches, chosen_standard(standard), out=out, console=errors)
    if as_json:
        typer.echo((out / "summary.json").read_text(encoding="utf-8"), nl=False)
    else:
        tell_run(Console(), entries, out=out)
    raise typer.Exit(verdict_exit(entries) if exit_verdict else Exit.DONE)


def _graded(
    batches: "tuple[PhotoBatch, ...]", standard: "Standard", *, out: Path, console: "Console"
) -> "tuple[BatchEntry, ...]":
    """Grade with a progress bar on stderr (nothing of it where stderr is no terminal)."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    from grader.cli.grade_run import run

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bars:
        whole = bars.add_task("photos", total=sum(len(batch.photos) for batch in batches))
        started = 0

        def on_photo(path: Path) -> "Callable[[float, str], None]":
            nonlocal started
            before, started = started, started + 1

            def tell(share: float, doing: str) -> None:
                bars.update(whole, completed=before + share, description=f"{path.name}: {doing}")

            return tell

        return run(batches, standard=standard, out=out, on_photo=on_photo)
