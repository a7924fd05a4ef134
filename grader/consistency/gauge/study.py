"""What a study of the method says: how much of a range it takes up, how many grades of plate it tells apart.

Percentages and the number of grades (distinct categories, 1.41 times the plates' standard deviation over the method's,
cut off) as the measurement systems manual of the motor trade defines them (4th edition, 2010; its limits of 10 and 30 %
and of five grades were read in a summary, metrology-journal.org ijmqe170028 table 1).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.consistency.gauge.anova import Anova, StudyUnfinishedError, crossed_anova, nested_anova
from grader.consistency.gauge.model import Condition, Layout, Reading
from grader.consistency.gauge.plan import StudyPlan
from grader.consistency.quantities import QUANTITIES, Quantity, QuantityKey

GOOD_PERCENT, POOR_PERCENT, LEAST_GRADES = 10.0, 30.0, 5
_SIGMAS = 6
_LEAST_PLATES = 2
_GRADES = 1.41
_SAME = 1e-9
"""Of a reading: what is smaller is rounding."""


class Fitness(StrEnum):
    """How far a method will do, by the share of the range (else of the whole spread) that its doubt takes up."""

    GOOD = "good"
    MAY_DO = "may do"
    POOR = "not good enough"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How readings of one plate move from photo to photo, with 95 % limits: fries that dry, light that changes."""

    per_photo: float
    low: float
    high: float

    @property
    def shown(self) -> bool:
        """Whether it is more than chance."""
        return not self.low <= 0 <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyResult:
    """One quantity of one study.

    Attributes
    ----------
    tolerance
        Width of the range that readings are held against; None where there is none.
    percent_tolerance
        Six standard deviations of the method as a percentage of that.
    percent_study
        The method's standard deviation as a percentage of that of everything together.
    grades
        So many grades of plate it tells apart, among plates as unlike as these; at least 1.
    drift
        None where turns aren't known, or nothing is left to tell it by.
    plates, left_out
        How many were used, and those that lack a reading.
    """

    quantity: Quantity
    layout: Layout
    anova: Anova
    tolerance: float | None
    percent_tolerance: float | None
    percent_study: float
    grades: int
    fitness: Fitness
    drift: Drift | None
    plates: int
    left_out: tuple[str, ...]


def study_result(
    readings: Sequence[Reading],
    *,
    quantity: QuantityKey,
    layout: Layout = "crossed",
    tolerance: float | None = None,
    left_out: tuple[str, ...] = (),
) -> StudyResult:
    """Analyse the readings of one quantity.

    Raises
    ------
    StudyUnfinishedError
        Readings are missing, see `whole_plates`; or those of a plate are all the same.
    """
    anova = crossed_anova(readings) if layout == "crossed" else nested_anova(readings)
    method = anova.method.sd
    if method <= _SAME * max(abs(one.value) for one in readings):
        raise StudyUnfinishedError(
            "All readings of a plate are the same: nothing tells how they scatter.",
            hint="Photograph each plate anew each time; a photo that is handed in twice is one reading.",
        )
    percent_study = 100 * method / anova.total**0.5
    percent_tolerance = None if tolerance is None else 100 * _SIGMAS * method / tolerance
    judged = percent_study if percent_tolerance is None else percent_tolerance
    return StudyResult(
        quantity=QUANTITIES[quantity],
        layout=layout,
        anova=anova,
        tolerance=tolerance,
        percent_tolerance=percent_tolerance,
        percent_study=percent_study,
        grades=max(1, int(_GRADES * anova.plates.sd / method)),
        fitness=_fitness(judged),
        drift=_drift(readings),
        plates=len({one.plate for one in readings}),
        left_out=left_out,
    )


def planned_result(
    plan: StudyPlan,
    values: Mapping[int, Mapping[QuantityKey, float]],
    *,
    quantity: QuantityKey,
    tolerance: float | None = None,
) -> StudyResult:
    """Analyse one quantity of a planned study from what its photos came to, by their numbers.

    Plates that lack a photo are left out; so are, in a nested study, those that one condition has more of than another.

    Raises
    ------
    StudyUnfinishedError
        Too few plates are whole.
    """
    readings = [
        Reading(plate=photo.plate, condition=photo.condition, value=values[photo.number][quantity], turn=photo.turn)
        for photo in plan.photos
        if quantity in values.get(photo.number, {})
    ]
    every = list(dict.fromkeys(photo.plate for photo in plan.photos))
    photos_of_plate = len(plan.photos) // len(every)
    kept, _ = whole_plates(readings, photos_of_plate=photos_of_plate)
    if plan.layout == "nested":
        kept = _as_many_each(kept)
    used = {one.plate for one in kept}
    if len(used) < _LEAST_PLATES:
        raise StudyUnfinishedError(
            f"{len(used)} of {len(every)} plates have all of their {photos_of_plate} photos, two at least are needed.",
            hint="Go on in the drawn order.",
        )
    return study_result(
        kept,
        quantity=quantity,
        layout=plan.layout,
        tolerance=tolerance,
        left_out=tuple(sorted(plate for plate in every if plate not in used)),
    )


def _as_many_each(readings: Sequence[Reading]) -> list[Reading]:
    """As many plates under each condition as the one with the fewest has: the first of each."""
    plates: dict[Condition, list[str]] = {}
    for one in readings:
        plates.setdefault(one.condition, []).append(one.plate)
    of = {condition: list(dict.fromkeys(names)) for condition, names in plates.items()}
    fewest = min((len(names) for names in of.values()), default=0)
    return [one for one in readings if one.plate in of[one.condition][:fewest]]


def whole_plates(readings: Sequence[Reading], *, photos_of_plate: int) -> tuple[list[Reading], tuple[str, ...]]:
    """The readings of plates that have them all, and the names of those that lack any."""
    counts = {plate: sum(one.plate == plate for one in readings) for plate in dict.fromkeys(r.plate for r in readings)}
    lacking = tuple(sorted(plate for plate, count in counts.items() if count < photos_of_plate))
    return [one for one in readings if one.plate not in lacking], lacking


def _fitness(percent: float) -> Fitness:
    if percent < GOOD_PERCENT:
        return Fitness.GOOD
    return Fitness.MAY_DO if percent <= POOR_PERCENT else Fitness.POOR


def _drift(readings: Sequence[Reading]) -> Drift | None:
    """Least squares on the turn, plates and conditions taken out."""
    if any(one.turn is None for one in readings):
        return None
    turn = np.array([float(one.turn or 0) for one in readings])
    value = np.array([one.value for one in readings])
    nuisance = np.hstack([_columns([one.plate for one in readings]), _columns([one.condition for one in readings])])
    basis = _basis(nuisance)
    turn, value = turn - basis @ (basis.T @ turn), value - basis @ (basis.T @ value)
    freedom = len(readings) - basis.shape[1] - 1
    moved = float(turn @ turn)
    if freedom < 1 or moved < 1e-9:
        return None
    slope = float(turn @ value) / moved
    u = float(np.sqrt(((value - slope * turn) ** 2).sum() / freedom / moved))
    half = float(stats.t.ppf(0.975, freedom)) * u
    return Drift(per_photo=slope, low=slope - half, high=slope + half)


def _columns(names: Sequence[object]) -> FloatArray:
    distinct = list(dict.fromkeys(names))
    return np.array([[float(name == other) for other in distinct] for name in names])


def _basis(columns: FloatArray) -> FloatArray:
    left, sizes, _ = np.linalg.svd(columns, full_matrices=False)
    return np.asarray(left[:, sizes > sizes[0] * 1e-9])
