"""What a call was understood to mean, said before all that is slow begins."""

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from grader.cli.marked_up import escape
from grader.counted import counted
from grader.running.photo_batch import PhotoBatch


def tell_gathered(console: Console, batches: Sequence[PhotoBatch], left_out: Sequence[Path]) -> None:
    """How many photos in how many batches, and what is left out."""
    photos = sum(len(batch.photos) for batch in batches)
    counts = counted(photos, "photo"), counted(len(batches), "batch")
    console.print(" in ".join(counts), markup=False, highlight=False)
    links = [path.name for path in left_out if path.is_dir()]
    others = [path.name for path in left_out if not path.is_dir()]
    for why, names in (("no photos", others), ("links to other folders", links)):
        if names:
            console.print(f"Left out, being {why}: {escape(', '.join(names))}", soft_wrap=True)
