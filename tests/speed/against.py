"""One photo graded, graded plainly and only decoded, in turns: what it takes, and which is nearer to the truth."""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import starmap

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.card.plane import px_per_mm
from grader.grading import GradedPhoto, grade_photo
from grader.standard import load_shipped
from tests.scoring.matching import MATCH_IOU, shared_pixels
from tests.speed.photos import TimedPhoto, sample_truth
from tests.speed.plain_way import decoded, graded_plainly
from tests.speed.steps import forget_peak, peak_bytes

_STANDARD = "strips-9.5mm-skin-on"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What one way takes: seconds on the clock and of the processor (medians), and its peak of memory."""

    clock_s: float
    cpu_s: float
    peak_bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Right:
    """How right it is: share of the fries found, mean error of the length of those, mm, and of L*."""

    found: float
    length_mm: float
    lightness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """The three ways; `ratio` is how many times as long grading takes as the plain way, run by run, the median."""

    graded: Taken
    plain: Taken
    decoding: Taken
    ratio: float
    graded_right: Right
    plain_right: Right


def graded(data: bytes) -> GradedPhoto:
    """A photo graded as the command grades it."""
    return grade_photo(data, name="timed.jpg", standard=load_shipped()[_STANDARD])


def held_against(photo: TimedPhoto, *, times: int) -> Against:
    """Each way so many times, in turns, so that whatever else the machine does falls on all alike."""
    done = graded(photo.data)
    if done.sheet is None or done.plate is None:
        raise ValueError(f"the photo to be timed was refused: {done.reasons}")
    scale = px_per_mm(done.sheet)
    plain = graded_plainly(photo.data, px_per_mm=scale)
    ways: tuple[Callable[[], object], ...] = (
        lambda: graded(photo.data),
        lambda: graded_plainly(photo.data, px_per_mm=scale),
        lambda: decoded(photo.data),
    )
    runs = [[_timed(way) for way in ways] for _ in range(times)]
    taken = [_median([run[way] for run in runs]) for way in range(len(ways))]
    return Against(
        graded=taken[0],
        plain=taken[1],
        decoding=taken[2],
        ratio=statistics.median(run[0].clock_s / run[1].clock_s for run in runs),
        graded_right=_right(
            photo.mask,
            np.asarray(done.plate.labels, np.int64),
            {
                fry.number: (fry.length_mm.value if fry.length_mm else None, fry.colour.lab if fry.colour else None)
                for fry in done.plate.fries
            },
        ),
        plain_right=_right(photo.mask, plain.labels, {fry.number: (fry.length_mm, fry.lab) for fry in plain.fries}),
    )


def _timed(way: Callable[[], object]) -> Taken:
    forget_peak()
    clock, cpu = time.perf_counter(), time.process_time()
    way()
    return Taken(clock_s=time.perf_counter() - clock, cpu_s=time.process_time() - cpu, peak_bytes=peak_bytes())


def _median(runs: list[Taken]) -> Taken:
    return Taken(
        clock_s=statistics.median(run.clock_s for run in runs),
        cpu_s=statistics.median(run.cpu_s for run in runs),
        peak_bytes=max(run.peak_bytes for run in runs),
    )


def _right(mask: IntArray, labels: IntArray, read: dict[int, tuple[float | None, FloatArray | None]]) -> Right:
    """Of the sample's fries that must be found, whatever size the photo was brought to."""
    required = [fry for fry in sample_truth().fries if fry.required]
    shared = shared_pixels(mask, labels)
    union = shared.sum(axis=1)[:, None] + shared.sum(axis=0)[None, :] - shared
    overlap = shared / np.maximum(union, 1)
    overlap[:, 0] = 0
    best = {fry.number: int(np.argmax(overlap[fry.number])) for fry in required}
    pairs = [(fry, read[best[fry.number]]) for fry in required if overlap[fry.number, best[fry.number]] > MATCH_IOU]
    lengths = [abs(length - fry.length_mm) for fry, (length, _) in pairs if length is not None and fry.length_counts]
    lightness = starmap(
        lambda fry, seen: abs(seen[1][0] - fry.lab[0]),
        [(fry, seen) for fry, seen in pairs if fry.colour_counts and seen[1] is not None],
    )
    return Right(
        found=len(pairs) / len(required),
        length_mm=float(np.mean(lengths)),
        lightness=float(np.mean(list(lightness))),
    )
