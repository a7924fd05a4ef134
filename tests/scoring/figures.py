"""The figures of a group of plates, pooled over their fries; nan where nothing was there to compare."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.scoring.plates import PlateScore

COVER_Z = 1.96
"""A right uncertainty covers the truth this far out in 95 of 100 cases."""
LENGTH_STEPS_MM = (50.8, 76.2)
"""2 and 3 inches, the lengths that the trade counts at (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What the plates of one group come to. Shares are 0 to 1.

    Attributes
    ----------
    pq
        Sum of the matched overlaps over (matches + half the misses + half the false fries).
    length_given, colour_given
        Share of the fries that must have one, missed ones included, that came back with a number.
    length_cover, colour_cover
        How often the truth lies within 1.96 stated standard uncertainties; 0.95 is right.
    share_bias_50, share_bias_76
        Share of fries of at least 50.8 and 76.2 mm, readings minus truth.
    plate_shift
        Median over the plates of the length of the mean signed CIELAB error: what all fries of a plate share.
    """

    plates: int
    fries: int
    pq: float
    found: float
    false_share: float
    length_given: float
    length_mae_mm: float
    length_bias_mm: float
    length_p95_mm: float
    length_cover: float
    share_bias_50: float
    share_bias_76: float
    width_mae_mm: float
    width_bias_mm: float
    colour_given: float
    colour_de_median: float
    colour_de_p95: float
    colour_bias_l: float
    colour_bias_a: float
    colour_bias_b: float
    plate_shift: float
    colour_cover: float
    dark_end_recall: float
    dark_end_precision: float
    dark_reach_mae_mm: float


def _array(values: Iterable[float]) -> NDArray[np.float64]:
    return np.array(list(values), np.float64)


def _mean(values: NDArray[np.float64]) -> float:
    return float(values.mean()) if values.size else float("nan")


def _percentile(values: NDArray[np.float64], percent: float) -> float:
    return float(np.percentile(values, percent)) if values.size else float("nan")


def _share(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")


def _cover(z: NDArray[np.float64]) -> float:
    return _mean((np.abs(z) <= COVER_Z).astype(np.float64))


def _plate_shift(plates: Sequence[PlateScore]) -> float:
    shifts = [np.linalg.norm(np.mean(plate.colour_errors, axis=0)) for plate in plates if plate.colour_errors]
    return _percentile(_array(float(shift) for shift in shifts), 50)


def figures(plates: Sequence[PlateScore]) -> Figures:
    """The figures of some plates that should have been measured."""
    ious = _array(v for p in plates for v in p.ious)
    missed, false = sum(p.missed for p in plates), sum(p.false for p in plates)
    lengths = np.array([pair for p in plates for pair in p.lengths_mm], np.float64).reshape(-1, 2)
    length_errors = lengths[:, 0] - lengths[:, 1]
    width_errors = _array(v for p in plates for v in p.width_errors_mm)
    de = _array(v for p in plates for v in p.colour_de)
    colour_errors = np.array([e for p in plates for e in p.colour_errors], np.float64).reshape(-1, 3)
    dark = [pair for p in plates for pair in p.dark_ends]
    dark_found = sum(is_dark and said for is_dark, said in dark)
    share_biases = [_mean((lengths >= step).astype(float) @ np.array([1.0, -1.0])) for step in LENGTH_STEPS_MM]
    return Figures(
        plates=len(plates),
        fries=len(ious) + missed,
        pq=_share(float(ious.sum()), len(ious) + missed / 2 + false / 2),
        found=_share(len(ious), len(ious) + missed),
        false_share=_share(false, false + len(ious)),
        length_given=_share(len(lengths), sum(p.lengths_wanted for p in plates)),
        length_mae_mm=_mean(np.abs(length_errors)),
        length_bias_mm=_mean(length_errors),
        length_p95_mm=_percentile(np.abs(length_errors), 95),
        length_cover=_cover(_array(z for p in plates for z in p.length_z)),
        share_bias_50=share_biases[0],
        share_bias_76=share_biases[1],
        width_mae_mm=_mean(np.abs(width_errors)),
        width_bias_mm=_mean(width_errors),
        colour_given=_share(len(de), sum(p.colours_wanted for p in plates)),
        colour_de_median=_percentile(de, 50),
        colour_de_p95=_percentile(de, 95),
        colour_bias_l=_mean(colour_errors[:, 0]),
        colour_bias_a=_mean(colour_errors[:, 1]),
        colour_bias_b=_mean(colour_errors[:, 2]),
        plate_shift=_plate_shift(plates),
        colour_cover=_cover(_array(z for p in plates for z in p.colour_z)),
        dark_end_recall=_share(dark_found, sum(is_dark for is_dark, _ in dark)),
        dark_end_precision=_share(dark_found, sum(said for _, said in dark)),
        dark_reach_mae_mm=_mean(np.abs(_array(v for p in plates for v in p.dark_reach_errors_mm))),
    )


def by_group(scores: Sequence[PlateScore]) -> dict[str, Figures]:
    """The figures of each group that has plates, then those of several groups together."""
    good = [score for score in scores if not score.must_refuse]
    groups = {name: [s for s in good if s.group == name] for name in ("spread", "touching", "crossing", "mat", "heap")}
    groups["beside a card"] = [s for s in good if s.group != "mat"]
    groups["inks"] = [s for s in good if s.inks]
    groups["all but heaps"] = [s for s in good if s.group != "heap"]
    return {name: figures(plates) for name, plates in groups.items() if plates}
