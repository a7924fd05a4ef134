"""Does the bias depend on the place, the height or the size? Least squares, each with its own test.

A place changes within a photo, so it is held against what is left within photos. A height and a light are a whole
photo's, so they are held against what photos differ by: 27 bars on one photo are one try of its height, not 27.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.trueness.agreement import levels_of
from grader.trueness.model import Compared, Quantity

EffectOf = Literal["place", "height", "size"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one circumstance changes of one quantity.

    Attributes
    ----------
    value, u
        Of a place: the largest difference between two places, in the quantity's unit. Of the height: raised less not
        raised. Of the size: change of the difference by 1 of what is known (0.01 is 1 %). With standard uncertainty.
    probability
        How likely at least as much would come about by chance where nothing depends on it (F test or t test).
    """

    quantity: Quantity
    of: EffectOf
    value: float
    u: float
    probability: float


def effects_of(compared: Sequence[Compared]) -> tuple[Effect, ...]:
    """All effects that the comparisons of one quantity can show; one that was not varied enough is left out."""
    return tuple(effect for effect in (_place(compared), _height(compared), _size(compared)) if effect is not None)


def _differences(compared: Sequence[Compared]) -> FloatArray:
    return np.array([one.difference for one in compared])


def _dummies(names: Sequence[str]) -> FloatArray:
    levels = levels_of(names)
    return np.asarray(levels[:, None] == np.arange(levels.max() + 1)[None], float)


def _place(compared: Sequence[Compared]) -> Effect | None:
    """Places, with pieces and photos taken out first."""
    differences = _differences(compared)
    nuisance = np.hstack([_dummies([one.piece for one in compared]), _dummies([one.photo for one in compared])])
    places = _dummies([str(one.place) for one in compared])
    without, with_places = _solve(nuisance, differences), _solve(np.hstack([nuisance, places]), differences)
    between, within = with_places.rank - without.rank, len(compared) - with_places.rank
    if between < 1 or within < 1 or with_places.squares <= 0:
        return None
    mean_square = with_places.squares / within
    ratio = (without.squares - with_places.squares) / between / mean_square
    by_place = with_places.solution[nuisance.shape[1] :]
    high, low = int(np.argmax(by_place)), int(np.argmin(by_place))
    contrast = np.zeros(len(with_places.solution))
    contrast[nuisance.shape[1] + high], contrast[nuisance.shape[1] + low] = 1, -1
    return Effect(
        quantity=compared[0].quantity,
        of="place",
        value=float(by_place[high] - by_place[low]),
        u=float(np.sqrt(mean_square * contrast @ with_places.covariance @ contrast)),
        probability=float(stats.f.sf(ratio, between, within)),
    )


def _height(compared: Sequence[Compared]) -> Effect | None:
    """Heights, over the photos' own means (pieces taken out), with lights taken out."""
    photos = levels_of([one.photo for one in compared])
    design = np.hstack([_dummies([one.photo for one in compared]), _dummies([one.piece for one in compared])])
    by_photo = _solve(design, _differences(compared)).solution[: photos.max() + 1]
    first = [compared[int(np.argmax(photos == photo))] for photo in range(int(photos.max()) + 1)]
    raised = np.array([float(one.raised_mm > 0) for one in first])
    lights = _dummies([one.light for one in first])
    without, with_height = _solve(lights, by_photo), _solve(np.column_stack([raised, lights]), by_photo)
    freedom = len(first) - with_height.rank
    if with_height.rank == without.rank or freedom < 1:
        return None
    value = float(with_height.solution[0])
    u = float(np.sqrt(with_height.squares / freedom * with_height.covariance[0, 0]))
    return Effect(
        quantity=compared[0].quantity, of="height", value=value, u=u, probability=_by_chance(value, u, freedom)
    )


def _size(compared: Sequence[Compared]) -> Effect | None:
    """Differences on what is known, over the pieces' own means: each piece is one try."""
    pieces = levels_of([one.piece for one in compared])
    count = int(pieces.max()) + 1
    readings = np.bincount(pieces, minlength=count)
    mean = np.bincount(pieces, _differences(compared)) / readings
    known = np.bincount(pieces, [one.known.value for one in compared]) / readings
    freedom = count - 2
    if freedom < 1 or np.ptp(known) == 0:
        return None
    line = _solve(np.column_stack([known, np.ones(count)]), mean)
    value = float(line.solution[0])
    u = float(np.sqrt(line.squares / freedom * line.covariance[0, 0]))
    return Effect(quantity=compared[0].quantity, of="size", value=value, u=u, probability=_by_chance(value, u, freedom))


def _by_chance(value: float, u: float, freedom: int) -> float:
    return float(2 * stats.t.sf(abs(value) / u, freedom)) if u > 0 else float(value == 0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Solved:
    solution: FloatArray
    squares: float
    rank: int
    covariance: FloatArray


def _solve(design: FloatArray, readings: FloatArray) -> _Solved:
    """Least squares of the least norm; `covariance` is of unit variance."""
    inverse = np.linalg.pinv(design)
    solution = inverse @ readings
    left_over = readings - design @ solution
    return _Solved(
        solution=solution,
        squares=float(left_over @ left_over),
        rank=int(np.linalg.matrix_rank(design)),
        covariance=inverse @ inverse.T,
    )
