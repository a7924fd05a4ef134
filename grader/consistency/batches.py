"""Plates gathered into their batches, in time order: one value a plate, because the plate is what was drawn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.consistency.model import PlateSummary
from grader.errors import GraderError

Measure = Literal["place", "spread", "length"]
"""A plate's mean place on the scale, the standard deviation of its fries' places, its mean length."""

_VALUE: dict[Measure, Callable[[PlateSummary], float | None]] = {
    "place": lambda plate: plate.place_mean,
    "spread": lambda plate: plate.place_sd,
    "length": lambda plate: plate.length_mean_mm,
}


class NotOneChartError(GraderError, ValueError):
    """Plates that can't stand on one chart: of several scales, or of several stages."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Batch:
    """The plates of a batch that have a value: `values` (k,), in time order. `at` is when the first was taken."""

    name: str
    at: datetime
    plates: tuple[PlateSummary, ...]
    values: FloatArray

    @property
    def n(self) -> int:
        """How many plates."""
        return len(self.plates)

    @property
    def mean(self) -> float:
        """Of its plates; each counts the same, however many fries lie on it."""
        return float(self.values.mean())

    @property
    def sd(self) -> float | None:
        """Between its plates; None of a single one."""
        return float(self.values.std(ddof=1)) if self.n > 1 else None


def batches_of(plates: Sequence[PlateSummary], measure: Measure) -> tuple[Batch, ...]:
    """All batches of which a plate has the measure, in time order.

    Raises
    ------
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    check_one_chart(plates)
    members: dict[str, list[tuple[PlateSummary, float]]] = {}
    for plate in sorted(plates, key=lambda plate: plate.taken_at):
        if (value := _VALUE[measure](plate)) is not None:
            members.setdefault(plate.batch, []).append((plate, value))
    return tuple(
        Batch(
            name=name,
            at=of_batch[0][0].taken_at,
            plates=tuple(plate for plate, _ in of_batch),
            values=frozen(np.array([value for _, value in of_batch])),
        )
        for name, of_batch in members.items()
    )


def check_one_chart(plates: Sequence[PlateSummary]) -> None:
    """Refuse plates that can't stand on one chart.

    Raises
    ------
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    standards = {plate.standard_sha256: f"{plate.standard_name}, version {plate.standard_version}" for plate in plates}
    if len(standards) > 1:
        raise NotOneChartError(
            f"Plates of {len(standards)} standards can't stand on one chart: {'; '.join(sorted(standards.values()))}.",
            hint="Choose plates of one standard, or regrade the others by it.",
        )
    stages = sorted({plate.stage for plate in plates})
    if len(stages) > 1:
        raise NotOneChartError(
            f"Plates of several stages can't stand on one chart: {', '.join(stages)}.",
            hint="Choose plates of one stage.",
        )
