"""Grades every photo that has a truth, through the command line as anyone would call it, and scores what it wrote."""

import json
import re
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from grader.records.naming import SUMMARY, is_photo
from tests.scoring.plates import PlateScore, score_folder
from tests.scoring.readings import truths

Json = dict[str, Any]

_PLATE_OF_BATCH = re.compile(r"-plate\d+$")
_WORDS_OF_BATCH = re.compile(r"(?:.*-)?(b\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Graded:
    """All plates of a folder graded: the score of each, and the verdict on each batch (None where none was reached)."""

    scores: tuple[PlateScore, ...]
    verdicts: dict[str, Json | None]


def run_grader(arguments: list[str]) -> None:
    """One call of the command line, in this process so that coverage sees it.

    Raises
    ------
    RuntimeError
        It ended otherwise than well.
    """
    from grader.cli.commands import app  # heavy: only when something is graded

    code = app(arguments, standalone_mode=False)
    if code:
        message = f"`python -m grader {' '.join(arguments)}` ended with {code}"
        raise RuntimeError(message)


def photo_of(mask_file: Path) -> Path:
    """The photo that a truth belongs to: beside it, or beside the `truth` folder that it lies in."""
    stem = mask_file.name.removesuffix(".mask.png")
    for folder in (mask_file.parent, mask_file.parent.parent):
        found = [path for path in sorted(folder.glob(f"{stem}.*")) if is_photo(path.name)]
        if found:
            return found[0]
    message = f"no photo lies beside the truth {mask_file}"
    raise FileNotFoundError(message)


def batch_of(photo_name: str) -> str:
    """`b1` for `b1-plate2.jpg`: plates of one batch are judged together, every other photo for itself."""
    stem = Path(photo_name).stem
    name = _PLATE_OF_BATCH.sub("", stem)
    marked = _WORDS_OF_BATCH.fullmatch(name)
    return marked[1] if marked and name != stem else name


def grade_and_score(truth_folder: Path, results: Path, *, standard: Path | None = None) -> Graded:
    """Grade the photos of every truth under a folder into `results`, a new folder, batch by batch, and score them.

    By the standard that ships, unless another's file is named.
    """
    with TemporaryDirectory() as place:
        sorted_photos = Path(place) / "photos"
        for true in truths(truth_folder):
            photo = photo_of(true.mask_file)
            batch = sorted_photos / batch_of(photo.name)
            batch.mkdir(parents=True, exist_ok=True)
            (batch / photo.name).symlink_to(photo.resolve())
        by = [] if standard is None else ["--standard", str(standard)]
        run_grader(["grade", str(sorted_photos), "--out", str(results), *by])
    summary: Json = json.loads((results / SUMMARY).read_text(encoding="utf-8"))
    return Graded(
        scores=score_folder(truth_folder, results),
        verdicts={batch["name"]: batch["verdict"] for batch in summary["batches"]},
    )
