"""A run with its progress on the terminal."""

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn
from rich.progress import Progress as Bars

from grader.cli.marked_up import escape
from grader.records.kept_standards import note_judged, standards_folder
from grader.records.summary import BatchEntry
from grader.running.batches import KeeperOf
from grader.running.crew import Crew
from grader.running.folder import run
from grader.running.handing import Tell
from grader.running.one_photo import Grading
from grader.running.photo_batch import PhotoBatch

_WINDOW_SECONDS = 300
"""The time left is reckoned by the pace of the last minutes: it changes where photos grow larger."""


def run_with_progress(
    batches: tuple[PhotoBatch, ...],
    *,
    grading: Grading,
    out: Path,
    console: Console,
    crew: Crew,
    keeper_of: KeeperOf | None = None,
) -> Iterator[BatchEntry]:
    """Grade all batches, and record what a kept standard judged; the rest is as for `run`."""
    plates = 0
    with photo_bar(console, batches) as tell, crew:
        for entry in run(batches, grading=grading, out=out, crew=crew, tell=tell, keeper_of=keeper_of):
            plates += sum(not graded.refused for graded in entry.graded)
            yield entry
    if plates:
        note_judged(standards_folder(), grading.standard, plates=plates, at=datetime.now().astimezone())


@contextmanager
def photo_bar(console: Console, batches: Sequence[PhotoBatch]) -> Iterator[Tell]:
    """A bar over all photos, with the time left, where the console is a terminal; else nothing is shown."""
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("left:"),
        TimeRemainingColumn(),
    )
    bars = Bars(
        *columns,
        console=console,
        transient=True,
        disable=not console.is_terminal,
        redirect_stdout=sys.stdout.isatty(),  # what goes to a file or another program stays on its way there
        speed_estimate_period=_WINDOW_SECONDS,
    )
    with bars:
        whole = bars.add_task("", total=sum(len(batch.photos) for batch in batches))
        ended = 0

        def tell(path: Path, share: float, doing: str) -> None:
            nonlocal ended
            ended += doing == ""
            shown = escape(f"{path.name}: {doing}" if doing else path.name)
            bars.update(whole, completed=ended + (share if doing else 0), description=shown)

        yield tell
