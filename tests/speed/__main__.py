"""What grading one photo takes: `python -m tests.speed [PHOTO] [--times N] [--growth]`.

Without a photo a sample picture is brought to the 12 Mpx of a phone, and grading is held against the same job put
together plainly from scikit-image and against bare decoding, all in this run. Everything is warm: starting Python and
importing don't count. `--growth` adds how time grows with megapixels and with the number of fries.
Not a test: on a machine that is busy with other things the clock runs longer, which processor seconds feel less.
"""

import argparse
import statistics
from collections.abc import Iterator
from pathlib import Path

from tests.speed.against import Against, Right, Taken, graded, held_against
from tests.speed.photos import photo_of
from tests.speed.steps import COLOUR_STEP, Spent, watched

_MEGAPIXELS = (2, 6, 12, 24, 48)
_FRIES = (10, 25, 50, 100, 200)
_BAR_WIDTH = 50


def steps_table(data: bytes, *, times: int) -> Iterator[str]:
    """Lines: of each step the median of processor seconds, and the highest memory in any run."""
    runs: list[list[Spent]] = []
    colour: list[float] = []
    graded(data)
    for _ in range(times):
        with watched() as spent:
            graded(data)
        runs.append(spent)
        with watched(COLOUR_STEP) as spent:
            graded(data)
        colour.append(sum(one.cpu_s for one in spent))
    yield f"{'step':<28}{'processor s':>12}{'memory MB':>12}"
    for number, first in enumerate(runs[0]):
        seconds = statistics.median(run[number].cpu_s for run in runs)
        peak = max(run[number].peak_bytes for run in runs)
        yield f"{first.step:<28}{seconds:>12.3f}{peak / 1e6:>12.0f}"
    yield f"{'(all that makes colours)':<28}{statistics.median(colour):>12.3f}"


def against_table(found: Against) -> Iterator[str]:
    """Lines: the three ways beside each other."""
    yield f"{'':<28}{'clock s':>9}{'processor s':>12}{'x decoding':>12}{'memory MB':>11}"
    for name, taken in (("graded", found.graded), ("plainly", found.plain), ("only decoded", found.decoding)):
        yield _taken(name, taken, found.decoding)
    yield f"grading takes {found.ratio:.2f} times as long as the plain way (median of pairs)"
    for name, right in (("graded", found.graded_right), ("plainly", found.plain_right)):
        yield _right(name, right)


def growth_table(*, times: int) -> Iterator[str]:
    """Lines: processor seconds by megapixels, then by the number of fries, each with a bar to see how it grows."""
    yield from _grown("Mpx", {size: photo_of(size).data for size in _MEGAPIXELS}, times)
    yield ""
    yield from _grown("fries", {fries: photo_of(fries=fries).data for fries in _FRIES}, times)


def _grown(what: str, photos: dict[int, bytes], times: int) -> Iterator[str]:
    seconds = {}
    for size, data in photos.items():
        runs = []
        for _ in range(times):
            with watched() as spent:
                graded(data)
            runs.append(sum(one.cpu_s for one in spent))
        seconds[size] = statistics.median(runs)
    for size, taken in seconds.items():
        bar = "#" * round(_BAR_WIDTH * taken / max(seconds.values()))
        yield f"{size:>4} {what:<6}{taken:>7.2f} s  {bar}"


def _taken(name: str, taken: Taken, decoding: Taken) -> str:
    times = taken.cpu_s / decoding.cpu_s
    return f"{name:<28}{taken.clock_s:>9.2f}{taken.cpu_s:>12.2f}{times:>12.1f}{taken.peak_bytes / 1e6:>11.0f}"


def _right(name: str, right: Right) -> str:
    return (
        f"{name:<28}{right.found:.0%} of the fries found, lengths off by {right.length_mm:.2f} mm, "
        f"lightness by {right.lightness:.1f} L*"
    )


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.speed", description=__doc__)
    parser.add_argument("photo", type=Path, nargs="?")
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--growth", action="store_true")
    chosen = parser.parse_args()
    sample = photo_of()
    print(*steps_table(chosen.photo.read_bytes() if chosen.photo else sample.data, times=chosen.times), sep="\n")
    if not chosen.photo:
        print("", *against_table(held_against(sample, times=chosen.times)), sep="\n")
    if chosen.growth:
        print("", *growth_table(times=chosen.times), sep="\n")


if __name__ == "__main__":
    main()
