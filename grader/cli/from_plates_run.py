"""The photos of plates that the house has named, graded one by one with a bar over all of them."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
from rich.progress import Progress as Bars

from grader.card_values import KnownValues
from grader.cli.grade_run import grade_file
from grader.cli.step_folders import StepFolders
from grader.grading import GradedPhoto, Progress
from grader.records.step_plates import StepPlates, gather_plates
from grader.standard.model import Standard
from grader.trueness import Study

OnPhoto = Callable[[Path], Progress]
"""Called as a photo's turn comes; gives what to tell of its progress."""


def run_with_bar(
    folders: StepFolders, *, standard: Standard, known: KnownValues, studies: Sequence[Study], console: Console
) -> StepPlates:
    """`grade_plates` with a bar over all photos; nothing is drawn where the console is no terminal."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Bars(*columns, console=console, transient=True, disable=not console.is_terminal) as bars:
        whole = bars.add_task("", total=len(folders.photos))
        turns = {path: turn for turn, (_, path) in enumerate(folders.photos)}

        def on_photo(path: Path) -> Progress:
            def tell(share: float, doing: str) -> None:
                bars.update(whole, completed=turns[path] + share, description=f"{path.name}: {doing}")

            return tell

        return grade_plates(folders, standard=standard, known=known, studies=studies, on_photo=on_photo)


def grade_plates(
    folders: StepFolders,
    *,
    standard: Standard,
    known: KnownValues,
    studies: Sequence[Study],
    on_photo: OnPhoto | None = None,
) -> StepPlates:
    """Grade every photo and keep its fries' colours; one that can't be judged is left out, and why is said."""

    def graded() -> Iterator[tuple[str, str, GradedPhoto]]:
        for step, path in folders.photos:
            progress = None if on_photo is None else on_photo(path)
            photo = grade_file(path, standard=standard, known=known, studies=studies, progress=progress)
            yield f"{step}/{path.name}", step, photo

    return gather_plates(graded(), standard=standard)
