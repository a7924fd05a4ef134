"""One run over photos without a card: outline each, write its results, let go of its pixels, sum up."""

import logging
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from grader.cli.commands import CAUTION
from grader.cli.marked_up import escape
from grader.drawing import draw_outlines, picture_jpeg
from grader.fault_log import log_fault
from grader.grading import Progress
from grader.outlines import OutlinedPhoto, outline_photo, refused
from grader.records.guarded import of_fault, of_unreadable
from grader.records.naming import OUTLINED, ResultNames
from grader.records.outlines import OutlineEntry, write_outlines, write_outlines_summary
from grader.records.whole_files import write_whole
from grader.running.photo_batch import PhotoBatch

log = logging.getLogger(__name__)


def run_outlines(batches: Sequence[PhotoBatch], *, out: Path, console: Console) -> tuple[OutlineEntry, ...]:
    """Outline all photos into `out`, which is made where it isn't there; each is named as its turn comes.

    Raises
    ------
    OSError
        The results can't be written.
    """
    out.mkdir(parents=True, exist_ok=True)
    names = ResultNames()
    photos = [path for batch in batches for path in batch.photos]
    with console.status("") as status:

        def telling(path: Path) -> Progress:
            return lambda _share, doing: status.update(escape(f"{path.name}: {doing}"))

        entries = tuple(_run_photo(path, names, out=out, progress=telling(path)) for path in photos)
    write_outlines_summary(out, entries)
    return entries


def tell_outlines(console: Console, entries: Sequence[OutlineEntry], *, out: Path) -> None:
    """Each photo with the number of its outlines; then why there are no numbers, and where the results are."""
    for entry in entries:
        found = "was refused" if entry.refused else f"{entry.fries} outlines, in pixels"
        console.print(escape(f"{entry.name}: {found}"))
    for reason in dict.fromkeys(reason for entry in entries for reason in entry.reasons):
        console.print(f"  {escape(reason.message)} {escape(reason.hint)}")
    console.print(f"Results are in {escape(str(out))}", soft_wrap=True)
    console.print(" ".join(CAUTION.split()), style="dim")


def _run_photo(path: Path, names: ResultNames, *, out: Path, progress: Progress) -> OutlineEntry:
    photo = _outlined(path, progress)
    stem = names.give(path.name)
    write_outlines(out, stem, photo)
    picture = draw_outlines(photo)
    if picture is not None:
        write_whole(out / f"{stem}{OUTLINED}", picture_jpeg(picture))
    return OutlineEntry(
        stem=stem,
        source=str(path),
        name=photo.name,
        sha256=photo.sha256,
        refused=photo.refused,
        fries=0 if photo.outlined is None else len(photo.outlined.fries),
        reasons=photo.reasons,
    )


def _outlined(path: Path, progress: Progress) -> OutlinedPhoto:
    """Whatever goes wrong comes back as a refusal, so that the rest of a run goes on."""
    data = b""
    try:
        data = path.read_bytes()
        return outline_photo(data, name=path.name, progress=progress)
    except (OSError, MemoryError) as error:
        return refused(path.name, data, of_unreadable(error))
    except Exception as error:  # noqa: BLE001 - logged, and the rest goes on
        gone = refused(path.name, data, of_fault(error, doing="outlining"))
        log_fault(log, "outlining", error, photo=gone.sha256)
        return gone
