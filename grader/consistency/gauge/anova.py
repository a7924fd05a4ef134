"""Readings of plates under conditions, taken apart by the analysis of variance: table, components, their limits.

Two-way crossed random effects as D. C. Montgomery, G. C. Runger, Qual. Eng. 6 (1993) 115-135, and MSA-type handbooks
have it; the tests hold it against three published studies. What conditions differ by is parted further by person, phone
and light where all their combinations were used. A balanced study only: every cell read as often.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.consistency.gauge.mean_squares import Component, MeanSquare, combined
from grader.consistency.gauge.model import Condition, Factor, Reading, varied
from grader.errors import GraderError

POOLED_ABOVE = 0.25
"""An interaction that chance alone would make as large this often is taken for chance (common practice)."""


class StudyUnfinishedError(GraderError, ValueError):
    """Not every plate was read as often under every condition, or there are too few of something."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the table; `f` and `probability` are None where nothing is tested."""

    name: str
    squares: float
    freedom: int
    f: float | None = None
    probability: float | None = None

    @property
    def mean_square(self) -> MeanSquare:
        """The mean square."""
        return MeanSquare(value=self.squares / self.freedom, freedom=self.freedom)


@dataclass(frozen=True, slots=True, kw_only=True)
class Anova:
    """What a study comes to.

    Attributes
    ----------
    table
        Plates, conditions (and within them each factor), interaction, repeats, in that order, before any pooling.
    pooled
        The interaction was taken for chance and counted among the repeats.
    repeatability
        The same plate, the same condition again.
    conditions
        What conditions differ by: all that people, phones and lights add; 0 where there was one condition only.
    by_factor
        What of that each factor makes; empty where one factor only was varied, or where factors went together.
    interaction
        Some plates under some conditions; None where it was pooled or can't be told.
    reproducibility, method, plates, total
        Conditions and interaction; that and repeats; between plates; everything.
    """

    table: tuple[Line, ...]
    pooled: bool
    repeatability: Component
    conditions: Component
    by_factor: dict[Factor, Component]
    interaction: Component | None
    reproducibility: Component
    method: Component
    plates: Component
    total: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cells:
    """(plates, conditions, repeats) readings."""

    readings: FloatArray
    conditions: tuple[Condition, ...]


def crossed_anova(readings: Sequence[Reading]) -> Anova:
    """Analyse a crossed study.

    Raises
    ------
    StudyUnfinishedError
        Readings are missing, or fewer than two plates, or nothing is read twice.
    """
    cells = _cells(readings)
    lines = _table(cells)
    _, conditions, repeats = cells.readings.shape
    by_name = {line.name: line for line in lines}
    both, again = by_name.get("plate x condition"), by_name.get("repeats")
    # Without a second reading of anything, what is left of plates and conditions is all that tells of chance.
    pooled = both is not None and (again is None or (both.probability is not None and both.probability > POOLED_ABOVE))
    if both is None:
        noise = _needed(again)
    elif pooled:
        noise = _together(both, again)
    else:
        noise = _needed(again)
    beside = noise if both is None or pooled else both.mean_square
    plate, n = by_name["plate"].mean_square, conditions * repeats
    part = combined([(1 / n, plate), (-1 / n, beside)])
    rest: _Terms = [] if beside is noise else [(1 / repeats, beside), (-1 / repeats, noise)]
    interaction = combined(rest) if rest else None
    by_factor, left = _causes(cells, by_name, beside) if conditions > 1 else ({}, [])
    of_conditions = [term for terms in (*by_factor.values(), left) for term in terms]
    # Each cause that fell below 0 is put there before they are added up.
    variance = sum(combined(terms).variance for terms in (*by_factor.values(), left))
    parts = (variance, 0.0 if interaction is None else interaction.variance, noise.value)
    return Anova(
        table=lines,
        pooled=pooled,
        repeatability=combined([(1.0, noise)]),
        conditions=_at(_sum(of_conditions), variance),
        by_factor={factor: combined(terms) for factor, terms in by_factor.items()},
        interaction=interaction,
        reproducibility=_at(_sum([*of_conditions, *rest]), parts[0] + parts[1]),
        method=_at(_sum([*of_conditions, *rest, (1.0, noise)]), sum(parts)),
        plates=part,
        total=sum(parts) + part.variance,
    )


_Terms = list[tuple[float, MeanSquare]]


def _at(limits: Component, variance: float) -> Component:
    """The sum of components that were each put at 0 where they fell below, within limits made without that."""
    return Component(variance=variance, low=min(limits.low, variance), high=max(limits.high, variance))


def _sum(terms: Sequence[tuple[float, MeanSquare]]) -> Component:
    """Terms with each mean square once, its weights added."""
    weights: dict[int, float] = {}
    squares = {id(square): square for _, square in terms}
    for weight, square in terms:
        weights[id(square)] = weights.get(id(square), 0.0) + weight
    return combined([(weight, squares[key]) for key, weight in weights.items() if abs(weight) > 1e-12])


def _needed(line: Line | None) -> MeanSquare:
    if line is None:
        raise StudyUnfinishedError(
            "Nothing was read twice and there is one condition only: nothing tells how readings scatter.",
            hint="Photograph each plate at least twice under each condition.",
        )
    return line.mean_square


def _together(both: Line, again: Line | None) -> MeanSquare:
    if again is None:
        return both.mean_square
    freedom = both.freedom + again.freedom
    return MeanSquare(value=(both.squares + again.squares) / freedom, freedom=freedom)


def _cells(readings: Sequence[Reading]) -> _Cells:
    plates = list(dict.fromkeys(one.plate for one in readings))
    conditions = list(dict.fromkeys(one.condition for one in readings))
    cell: dict[tuple[str, Condition], list[float]] = {}
    for one in readings:
        cell.setdefault((one.plate, one.condition), []).append(one.value)
    counts = {len(cell.get((plate, condition), [])) for plate in plates for condition in conditions}
    if len(plates) < 2 or len(counts) != 1 or counts == {0}:
        raise StudyUnfinishedError(
            "Not every plate was read equally often under every condition, or there is one plate only.",
            hint="Take the photos that are missing; at least two plates, better ten.",
        )
    table = [[cell[plate, condition] for condition in conditions] for plate in plates]
    return _Cells(readings=np.array(table), conditions=tuple(conditions))


def _table(cells: _Cells) -> tuple[Line, ...]:
    y = cells.readings
    plates, conditions, repeats = y.shape
    grand = y.mean()
    of_plate, of_condition, of_cell = y.mean(axis=(1, 2)), y.mean(axis=(0, 2)), y.mean(axis=2)
    squares = {
        "plate": conditions * repeats * float(((of_plate - grand) ** 2).sum()),
        "condition": plates * repeats * float(((of_condition - grand) ** 2).sum()),
        "plate x condition": repeats * float(((of_cell - of_plate[:, None] - of_condition[None] + grand) ** 2).sum()),
        "repeats": float(((y - of_cell[..., None]) ** 2).sum()),
    }
    freedom = {
        "plate": plates - 1,
        "condition": conditions - 1,
        "plate x condition": (plates - 1) * (conditions - 1),
        "repeats": plates * conditions * (repeats - 1),
    }
    lines = {name: Line(name=name, squares=squares[name], freedom=freedom[name]) for name in squares if freedom[name]}
    both, again = lines.get("plate x condition"), lines.get("repeats")
    beside = both or again
    tested = [_tested(line, beside) if line.name in {"plate", "condition"} else line for line in lines.values()]
    if both is not None:
        tested = [_tested(line, again) if line is both else line for line in tested]
    return tuple(tested + [_tested(line, beside) for line in _factor_lines(cells)])


def _tested(line: Line, against: Line | None) -> Line:
    if against is None or against.squares <= 0:
        return line
    f = line.mean_square.value / against.mean_square.value
    chance = float(stats.f.sf(f, line.freedom, against.freedom))
    return Line(name=line.name, squares=line.squares, freedom=line.freedom, f=f, probability=chance)


def _factor_lines(cells: _Cells) -> list[Line]:
    """Within conditions: each factor that was varied, where two or more were and all combinations were used."""
    factors = varied(cells.conditions)
    if len(factors) < 2 or not told_apart(cells.conditions):
        return []
    plates, conditions, repeats = cells.readings.shape
    of_condition, grand = cells.readings.mean(axis=(0, 2)), cells.readings.mean()
    lines = []
    for factor in factors:
        levels = [one.level(factor) for one in cells.conditions]
        names = sorted(set(levels))
        means = [of_condition[[level == name for level in levels]].mean() for name in names]
        readings = plates * conditions * repeats / len(names)
        squares = readings * float(sum((mean - grand) ** 2 for mean in means))
        lines.append(Line(name=factor, squares=squares, freedom=len(names) - 1))
    return lines


def told_apart(conditions: Sequence[Condition]) -> bool:
    """Whether every combination of the varied factors' levels is there, so that one can be told from another."""
    factors = varied(tuple(conditions))
    seen = {tuple(one.level(factor) for factor in factors) for one in conditions}
    every = int(np.prod([len({one.level(factor) for one in conditions}) for factor in factors]))
    return len(seen) == every == len(conditions)


def _causes(cells: _Cells, lines: dict[str, Line], beside: MeanSquare) -> tuple[dict[Factor, _Terms], _Terms]:
    """What makes conditions differ: each factor where they can be told apart, and what is left besides.

    Two phones in the hands of two people are four conditions, but two draws of a phone: taken as four draws, they would
    make the method look better than it is. A factor is held against what is left of conditions without the factors
    (some phones in some hands) where that is more than chance.
    """
    weight = 1 / (cells.readings.shape[0] * cells.readings.shape[2])
    whole = lines["condition"]
    told: list[Factor] = [factor for factor in varied(cells.conditions) if factor in lines]
    if not told:
        return {}, [(weight, whole.mean_square), (-weight, beside)]
    freedom = whole.freedom - sum(lines[factor].freedom for factor in told)
    squares = whole.squares - sum(lines[factor].squares for factor in told)
    against, left = beside, list[tuple[float, MeanSquare]]()
    if freedom > 0 and squares / freedom > beside.value:
        rest = MeanSquare(value=squares / freedom, freedom=freedom)
        if float(stats.f.sf(rest.value / beside.value, freedom, beside.freedom)) <= POOLED_ABOVE:
            against, left = rest, [(weight, rest), (-weight, beside)]
    each = {factor: cells.readings.size / len({one.level(factor) for one in cells.conditions}) for factor in told}
    return {
        factor: [(1 / each[factor], lines[factor].mean_square), (-1 / each[factor], against)] for factor in told
    }, left


def nested_anova(readings: Sequence[Reading]) -> Anova:
    """Analyse a study in which each condition had plates of its own, all drawn from one batch.

    What some plates do under some conditions can't be told, and conditions can be told from plates only because the
    plates of all conditions are alike but for chance.

    Raises
    ------
    StudyUnfinishedError
        Not as many plates under each condition, not as many readings of each, or nothing was read twice.
    """
    conditions = list(dict.fromkeys(one.condition for one in readings))
    cell: dict[tuple[Condition, str], list[float]] = {}
    for one in readings:
        cell.setdefault((one.condition, one.plate), []).append(one.value)
    rows = [[values for (of, _), values in cell.items() if of == condition] for condition in conditions]
    shape = {(len(row), len(values)) for row in rows for values in row}
    if len(shape) != 1 or min(*next(iter(shape)), len(rows)) < 2:
        raise StudyUnfinishedError(
            "There must be two conditions at least, each with as many plates (two at least), each plate read as often "
            "(twice at least).",
            hint="Take the photos that are missing.",
        )
    y = np.array(rows)
    count, plates, repeats = y.shape
    of_plate, of_condition = y.mean(axis=2), y.mean(axis=(1, 2))
    lines = [
        Line(
            name="condition",
            squares=plates * repeats * float(((of_condition - y.mean()) ** 2).sum()),
            freedom=count - 1,
        ),
        Line(
            name="plate within condition",
            squares=repeats * float(((of_plate - of_condition[:, None]) ** 2).sum()),
            freedom=count * (plates - 1),
        ),
        Line(
            name="repeats",
            squares=float(((y - of_plate[..., None]) ** 2).sum()),
            freedom=count * plates * (repeats - 1),
        ),
    ]
    table = (_tested(lines[0], lines[1]), _tested(lines[1], lines[2]), lines[2])
    condition, plate, noise = (line.mean_square for line in table)
    weight = 1 / (plates * repeats)
    of_conditions = combined([(weight, condition), (-weight, plate)])
    of_plates = combined([(1 / repeats, plate), (-1 / repeats, noise)])
    method = combined([(weight, condition), (-weight, plate), (1.0, noise)])
    return Anova(
        table=table,
        pooled=False,
        repeatability=combined([(1.0, noise)]),
        conditions=of_conditions,
        by_factor={},
        interaction=None,
        reproducibility=of_conditions,
        method=_at(method, of_conditions.variance + noise.value),
        plates=of_plates,
        total=of_conditions.variance + noise.value + of_plates.variance,
    )
