"""What a call was understood to mean, said before all that is slow begins."""

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.markup import escape

from grader.running.photo_batch import PhotoBatch


def tell_gathered(console: Console, batches: Sequence[PhotoBatch], left_out: Sequence[Path]) -> None:
    """How many photos in how many batches; and files that were named and are no photos."""
    photos = sum(len(batch.photos) for batch in batches)
    counts = _count(photos, "photo", "photos"), _count(len(batches), "batch", "batches")
    console.print(" in ".join(counts), markup=False, highlight=False)
    if left_out:
        names = ", ".join(path.name for path in left_out)
        console.print(f"Left out, being no photos: {escape(names)}", soft_wrap=True)


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
