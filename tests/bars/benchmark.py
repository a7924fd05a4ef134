"""How long one 12 Mpx photo takes and how much memory: `python -m tests.bars.benchmark [PHOTO] [--times N]`.

Without a photo a sample picture is enlarged to 4032 x 3024. Decoding, grading and judging count; starting Python and
importing don't. The colour step is CPU time, of runs of its own.
Memory is the highest resident size of the whole process, imports and all. Not a test: a machine that is busy with
other things is slower.
"""

import argparse
import io
import resource
import statistics
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from unittest.mock import patch

from PIL import Image
from rich.progress import Progress

from grader import grading
from grader.fries import measuring
from grader.grading import GradedPhoto, grade_photo
from grader.places import sample_folder
from grader.standard import load_shipped

PHONE_SIZE = (4032, 3024)
STANDARD = "strips-9.5mm-skin-on"
COLOUR_STEP = (
    (grading, "read_patches"),
    (grading, "fit_sheet_colour"),
    (grading, "sheet_findings"),
    (grading, "fry_findings"),
    (measuring, "sample_flesh"),
    (measuring, "plate_shine"),
    (measuring, "flesh_lab"),
    (measuring, "mean_flesh_lab"),
)
"""Functions that together make colours of pixels, where they are called from; none calls another."""


def enlarged_sample() -> bytes:
    """A sample picture at the size of a 12 Mpx phone, its EXIF kept."""
    with Image.open(sample_folder() / "b1" / "b1-plate2.jpg") as picture:
        packed = io.BytesIO()
        large = picture.resize(PHONE_SIZE, Image.Resampling.LANCZOS)
        large.save(packed, "JPEG", quality=92, subsampling=0, exif=picture.getexif())
    return packed.getvalue()


def peak_memory_bytes() -> int:
    """The highest resident size of this process so far (Linux counts in KiB, macOS in bytes)."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024


def timed(data: bytes, name: str) -> tuple[float, GradedPhoto]:
    """Seconds that one photo takes, its progress shown, and what came of it."""
    standard = load_shipped()[STANDARD]
    with Progress() as bars:
        task = bars.add_task(name, total=1.0)
        started = time.perf_counter()
        graded = grade_photo(
            data,
            name=name,
            standard=standard,
            progress=lambda done, words: bars.update(task, completed=done, description=words),
        )
        return time.perf_counter() - started, graded


def colour_seconds(data: bytes, name: str) -> float:
    """CPU seconds of one run that colours take."""
    spent = []

    def clocked(function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*arguments: Any, **named: Any) -> Any:
            started = time.process_time()
            result = function(*arguments, **named)
            spent.append(time.process_time() - started)
            return result

        return run

    with ExitStack() as patched:
        for room, function in COLOUR_STEP:
            patched.enter_context(patch.object(room, function, clocked(getattr(room, function))))
        grade_photo(data, name=name, standard=load_shipped()[STANDARD])
    return sum(spent)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bars.benchmark", description=__doc__)
    parser.add_argument("photo", type=Path, nargs="?")
    parser.add_argument("--times", type=int, default=5)
    chosen = parser.parse_args()
    data = chosen.photo.read_bytes() if chosen.photo else enlarged_sample()
    name = chosen.photo.name if chosen.photo else "enlarged sample"
    runs = [timed(data, name) for _ in range(chosen.times)]
    last = runs[-1][1]
    found = "refused" if last.plate is None else f"{len(last.plate.fries)} fries"
    seconds = [run[0] for run in runs]
    print(f"{name}, {len(data) / 1e6:.1f} MB, {found}")
    print(
        f"time: median {statistics.median(seconds):.2f} s, {min(seconds):.2f} to {max(seconds):.2f} s, {len(runs)} runs"
    )
    colour = [colour_seconds(data, name) for _ in range(chosen.times)]
    print(f"the colour step of it: median {statistics.median(colour):.2f} s")
    print(f"memory: {peak_memory_bytes() / 1e9:.2f} GB at most")


if __name__ == "__main__":
    main()
