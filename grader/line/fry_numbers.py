"""The published fry-colour numbering, 000 to 4 from light to dark, as a house's own chips define it.

The numbering is published, the colours of its chips are not: a house that owns the chips measures them, and the
method's own colours are put between them. Beside the house scale, never in its place.
Source of the numbers behind the names, of 3.0 as unacceptable, and of a stem end of 3.0 or darker as the industry's
sugar end: Valley Potato Grower, July/August 2020, p. 14, notes to table 3 (North Dakota State University's trials).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray
from grader.errors import GraderError
from grader.line.lot_fry import Lot, TestStrip
from grader.sampling.exact import share_interval
from grader.standard.model import ColourScale, Step
from grader.standard.place import place_on_scale
from grader.trueness.tables import Row, read_rows

NUMBERS = {"000": 0.1, "00": 0.3, "0": 0.5, "1": 1.0, "2": 2.0, "3": 3.0, "4": 4.0}
TOO_DARK_FROM = 3.0
COLUMNS = ("number", "L", "a", "b")
_OFF_CHIPS_DE = 12.0
"""Further from the chips (CIE 2000), a colour has no number (house default)."""
_HINT = "Give each chip's number (000, 00, 0, 1, 2, 3, 4) and its measured colour: CIELAB, D65, 2 degrees."


class ChipsError(GraderError, ValueError):
    """The chips don't make a scale."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chips:
    """A house's chips from light to dark: their path of colours, and the number of each."""

    path: ColourScale
    numbers: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotNumbers:
    """A lot by the numbering: means over tubers; tubers whose stem end is 3.0 or darker, with the exact interval."""

    body: float
    stem: float
    tubers: int
    dark_stems: int
    low: float
    high: float


def read_chips(path: Path) -> Chips:
    """A house's chips from a CSV table with the columns number, L, a, b.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    ChipsError
        Fewer than three chips, one twice, or darker numbers that aren't darker.
    OSError
        It can't be read.
    """
    return chips_of(dict(read_rows(path, COLUMNS, _chip, hint=_HINT)))


def chips_of(colours: dict[str, tuple[float, float, float]]) -> Chips:
    """Chips from their colours (CIELAB) by name.

    Raises
    ------
    ChipsError
        Fewer than three, or darker numbers that aren't darker.
    """
    names = [name for name in NUMBERS if name in colours]
    lightness = [colours[name][0] for name in names]
    if len(names) < 3 or any(after >= before for before, after in pairwise(lightness)):
        raise ChipsError("At least three chips, each darker (smaller L) than the one before, make a scale.", hint=_HINT)
    steps = tuple(Step(name=name, lab=colours[name]) for name in names)
    path = ColourScale(steps=steps, target_from=1, target_to=len(steps), off_scale_de=_OFF_CHIPS_DE)
    return Chips(path=path, numbers=tuple(NUMBERS[name] for name in names))


def number_of(chips: Chips, lab: ArrayLike) -> FloatArray:
    """(...) numbers of colours (..., 3), between those of the chips beside them; nan where they are like no chip.

    What is lighter than the lightest chip, or darker than the darkest, gets that chip's number.
    """
    colours = np.asarray(lab, float)
    told = place_on_scale(chips.path, colours, np.zeros_like(colours))
    numbers = np.interp(told.place, np.arange(1, len(chips.numbers) + 1), chips.numbers)
    return np.where(told.off_scale_de > _OFF_CHIPS_DE, np.nan, numbers)


def numbers_of_lot(strips: Sequence[TestStrip], lot: Lot) -> LotNumbers | None:
    """A lot's body and stem ends by the numbering, tuber by tuber; None where no strip of it has both numbers."""
    told: dict[object, list[tuple[float, float]]] = {}
    for one in strips:
        if one.lot is lot and one.number is not None and one.stem_number is not None:
            told.setdefault((one.carton, one.tuber), []).append((one.number, one.stem_number))
    if not told:
        return None
    tubers = np.array([np.mean(of_tuber, axis=0) for of_tuber in told.values()])
    dark = int((tubers[:, 1] >= TOO_DARK_FROM).sum())
    low, high = share_interval(dark, len(tubers))
    return LotNumbers(
        body=float(tubers[:, 0].mean()),
        stem=float(tubers[:, 1].mean()),
        tubers=len(tubers),
        dark_stems=dark,
        low=low,
        high=high,
    )


def _chip(row: Row) -> tuple[str, tuple[float, float, float]] | None:
    name = row.choice("number", tuple(NUMBERS))
    L, a, b = row.number("L", 0, 100), row.number("a", -128, 128), row.number("b", -128, 128)
    return None if name is None or L is None or a is None or b is None else (name, (L, a, b))
