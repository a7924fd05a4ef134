"""Where the time and the memory of one photo go, step by step, from outside: the grader knows nothing of it."""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from grader import grading
from grader.colour import sheet as sheet_colour
from grader.colour.correction import PixelCorrection
from grader.fries import finding, measuring

_STEPS = (
    ("decode", grading, "read_photo"),
    ("find the card", grading, "find_sheets"),
    ("read its patches", grading, "read_patches"),
    ("fit the colours", grading, "fit_sheet_colour"),
    ("reduce to 0.3 mm a pixel", finding, "look"),
    ("what is yellow", finding, "yellow_fries"),
    ("the network", finding, "see"),
    ("fries from the rest", finding, "find_foreground"),
    ("fries from each other", finding, "_told_apart"),
    ("edges in full size", finding, "full_labels"),
    ("outlines", finding, "trace_whole_outlines"),
    ("measure", finding, "measure_fries"),
    ("things that are no fries", finding, "without_things"),
    ("light around the fries", grading, "bare_spots"),
    ("judge", grading, "judge_plate"),
)
"""By name, functions where they are called from; none of them calls another."""
COLOUR_STEP = (
    ("colour", grading, "read_patches"),
    ("colour", grading, "sheet_findings"),
    ("colour", grading, "fry_findings"),
    ("colour", sheet_colour, "fit_correction"),
    ("colour", PixelCorrection, "xyz"),
    ("colour", measuring, "sample_corrected_flesh"),
    ("colour", measuring, "plate_shine"),
    ("colour", measuring, "flesh_lab"),
    ("colour", measuring, "mean_flesh_labs"),
)
"""Functions that together make colours of pixels."""
_PEAK, _FORGET = Path("/proc/self/status"), Path("/proc/self/clear_refs")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Of one step of one run: processor seconds, and the highest resident memory while it ran (0 where unknown)."""

    step: str
    cpu_s: float
    peak_bytes: int


def peak_bytes() -> int:
    """The highest resident size since `forget_peak`; 0 where the system doesn't tell (it is Linux's own)."""
    lines = _PEAK.read_text().splitlines() if _PEAK.exists() else []
    return next((int(line.split()[1]) * 1024 for line in lines if line.startswith("VmHWM")), 0)


def forget_peak() -> None:
    """From now on the highest resident size is counted anew."""
    if _FORGET.exists():
        _FORGET.write_text("5")


@contextmanager
def watched(steps: tuple[tuple[str, Any, str], ...] = _STEPS) -> Iterator[list[Spent]]:
    """A list that fills with what each step takes while photos are graded."""
    spent: list[Spent] = []

    def clocked(step: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*arguments: Any, **named: Any) -> Any:
            forget_peak()
            started = time.process_time()
            result = function(*arguments, **named)
            spent.append(Spent(step=step, cpu_s=time.process_time() - started, peak_bytes=peak_bytes()))
            return result

        return run

    with ExitStack() as patched:
        for step, room, function in steps:
            patched.enter_context(patch.object(room, function, clocked(step, getattr(room, function))))
        yield spent
