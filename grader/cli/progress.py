"""A run with its progress on the terminal."""

from datetime import datetime
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bars

from grader.cli.grade_run import KeeperOf, run
from grader.cli.photos import PhotoBatch
from grader.decision import USUAL, Terms
from grader.grading import Progress
from grader.records.house import kept_studies, known_today
from grader.records.kept_standards import note_judged, standards_folder
from grader.records.summary import BatchEntry
from grader.standard.model import Standard


def run_with_progress(
    batches: tuple[PhotoBatch, ...],
    *,
    standard: Standard,
    out: Path,
    console: Console,
    terms: Terms = USUAL,
    keeper_of: KeeperOf | None = None,
) -> tuple[BatchEntry, ...]:
    """Grade by the house's own card values, and record what a kept standard judged; the rest is as for `run`.

    A bar over all photos is drawn where the console is a terminal.
    """
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Bars(*columns, console=console, transient=True, disable=not console.is_terminal) as bars:
        whole = bars.add_task("", total=sum(len(batch.photos) for batch in batches))
        turn = 0

        def on_photo(path: Path) -> Progress:
            nonlocal turn
            before, turn = turn, turn + 1

            def tell(share: float, doing: str) -> None:
                bars.update(whole, completed=before + share, description=f"{path.name}: {doing}")

            return tell

        known, studies = known_today(), kept_studies()
        entries = run(
            batches,
            standard=standard,
            out=out,
            known=known,
            studies=studies,
            terms=terms,
            on_photo=on_photo,
            keeper_of=keeper_of,
        )
    plates = sum(not graded.refused for entry in entries for graded in entry.graded)
    if plates:
        note_judged(standards_folder(), standard, plates=plates, at=datetime.now().astimezone())
    return entries
