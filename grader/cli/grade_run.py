"""One file graded as the house grades, whatever is wrong with it."""

from collections.abc import Sequence
from pathlib import Path

from grader.card_values import KnownValues
from grader.grading import GradedPhoto, Progress
from grader.records.guarded import grade_guarded, of_unreadable, refusal
from grader.standard.model import Standard
from grader.trueness import Study


def grade_file(
    path: Path,
    *,
    standard: Standard,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    progress: Progress | None = None,
) -> GradedPhoto:
    """Grade one file; whatever goes wrong comes back as a refusal, so that the rest of a run goes on."""
    try:
        data = path.read_bytes()
    except (OSError, MemoryError) as error:
        return refusal(path.name, b"", of_unreadable(error))
    return grade_guarded(data, name=path.name, standard=standard, known=known, studies=studies, progress=progress)
