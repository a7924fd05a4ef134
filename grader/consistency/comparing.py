"""Shifts, kitchens or fryers compared: how far apart they are, how surely, and whether it is worth acting on.

The plate is what was drawn, batches make plates alike, and fries of a plate tell only of their plate: all three are in
the doubt of a difference. All differences together hold at the stated confidence (Tukey-Kramer): with five shifts there
are ten, and by chance alone one of the ten would look like something every third time.

Sources: C. Y. Kramer, "Extension of multiple range tests to group means with unequal numbers of replications",
Biometrics 12 (1956) 307-310; A. J. Hayter, Ann. Statist. 12 (1984) 61-75, that for independent means its intervals
never hold less than they say (both from memory). `reml` names those of variances and degrees of freedom. Known and
estimated parts of a doubt are joined as G. Y. Zou, Stat. Methods Med. Res. 22 (2013) 630-642, joins two limits (from
memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import combinations
from warnings import catch_warnings, simplefilter

import numpy as np
from scipy import stats
from scipy.integrate import IntegrationWarning

from grader.arrays import FloatArray
from grader.consistency.reml import Blocks, MixedFit, TooLittleToTellError, fit_reml
from grader.errors import GraderError

CONFIDENCE = 0.95
OFTEN_ENOUGH = 0.8
"""How likely more plates must be to tell before so many are named (house choice, no source)."""
_BATCHES_AT_MOST = 200
"""More batches than this nobody takes: then it is said that no number in reach will tell."""


class NothingToCompareError(GraderError, ValueError):
    """There are no two groups, or what tells them apart is also what tells something else apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupedPlate:
    """A plate's mean of a quantity.

    Attributes
    ----------
    group
        The shift, kitchen or fryer that it is of.
    batch
        Plates of one batch are alike beyond what their group has in common; names need only differ within a group.
    value
        The mean over its fries.
    fries_u
        Standard uncertainty of that mean which comes of how its fries scatter (their standard deviation / sqrt(n)).
    lot
        Of potatoes; empty where it isn't known.
    """

    group: str
    batch: str
    value: float
    fries_u: float = 0.0
    lot: str = ""


class Found(StrEnum):
    """What a difference comes to."""

    DIFFER = "differ"
    ALIKE = "alike enough"
    CANT_TELL = "can't tell yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupMean:
    """One group: its mean with its own 95 % interval (not a joint one), and what it rests on."""

    name: str
    mean: float
    low: float
    high: float
    plates: int
    batches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """What it takes to tell four times in five: so many more batches of each of the two, so many plates of each."""

    batches: int
    plates: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One group less another.

    Attributes
    ----------
    value, u, freedom
        The difference, its standard uncertainty, and the degrees of freedom of what was estimated of that.
    low, high
        All differences of a comparison lie between theirs at once, with its confidence.
    beyond
        All of the interval is farther from nothing than what is worth acting on.
    more
        Where it can't be told yet; None where it can, or where no number of plates in reach would tell.
    """

    of: str
    less: str
    value: float
    u: float
    freedom: float
    low: float
    high: float
    found: Found
    beyond: bool
    more: More | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All groups and their differences.

    Attributes
    ----------
    sd_batches, sd_plates
        Standard deviation between batches of a group, and between plates of a batch (what fries add is not in it); 0
        where the estimate fell below it. None where no batch holds two plates: then batches hold both.
    worth_acting_on
        The smallest difference that the house would act on, in the quantity's unit.
    within_lots
        Differences between lots were taken out.
    shared_u
        What all plates of one group share in doubt and no plate of it shows, as a standard uncertainty.
    """

    groups: tuple[GroupMean, ...]
    differences: tuple[Difference, ...]
    sd_batches: float
    sd_plates: float | None
    worth_acting_on: float
    within_lots: bool
    shared_u: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grouped:
    names: list[str]
    group: FloatArray
    plates: Sequence[GroupedPlate]
    batches: list[int]
    """By group."""
    usual: int
    """Plates in a batch, mostly."""


def compare_groups(
    plates: Sequence[GroupedPlate],
    *,
    worth_acting_on: float,
    within_lots: bool = False,
    shared_u: float = 0.0,
) -> Comparison:
    """Compare all groups with each other.

    Parameters
    ----------
    plates
        Of at least two groups; at least one batch more than groups.
    worth_acting_on
        The smallest difference that the house would act on.
    within_lots
        Take out what lots differ by: shifts are then held against each other on the same potatoes.
    shared_u
        Standard uncertainty that all plates of one group have in common, where each group has a phone, a card or a
        light of its own: no number of plates lessens it.

    Raises
    ------
    NothingToCompareError
        There is one group only, or each group had lots of its own.
    TooLittleToTellError
        Too few batches.
    """
    data = _grouped(plates)
    design = _design(data, within_lots=within_lots)
    fit = fit_reml(_blocks(data, design))
    weights = _mean_weights(design, len(data.names))
    return Comparison(
        groups=tuple(_group(data, fit, weights[at], at, shared_u) for at in range(len(data.names))),
        differences=tuple(
            _difference(data, fit, weights, pair, worth_acting_on=worth_acting_on, shared_u=shared_u)
            for pair in combinations(range(len(data.names)), 2)
        ),
        sd_batches=_root(fit.variances[0]),
        sd_plates=_root(fit.variances[1]) if len(fit.variances) > 1 else None,
        worth_acting_on=worth_acting_on,
        within_lots=within_lots,
        shared_u=shared_u,
    )


def _root(variance: float) -> float:
    return float(np.sqrt(max(variance, 0.0)))


def _grouped(plates: Sequence[GroupedPlate]) -> _Grouped:
    names = list(dict.fromkeys(plate.group for plate in plates))
    if len(names) < 2:
        raise NothingToCompareError(
            "There is nothing to compare: all plates are of one group.",
            hint="Give plates of two shifts, kitchens or fryers at least.",
        )
    in_batch: dict[tuple[str, str], int] = {}
    for plate in plates:
        in_batch[plate.group, plate.batch] = in_batch.get((plate.group, plate.batch), 0) + 1
    if len(in_batch) <= len(names):
        raise TooLittleToTellError(
            f"{len(in_batch)} batches of {len(names)} groups don't tell how far batches of one group differ.",
            hint="Take plates on several days: two batches of each at the very least, better five.",
        )
    batches = [sum(group == name for group, _ in in_batch) for name in names]
    group = np.array([names.index(plate.group) for plate in plates], float)
    usual = max(1, round(len(plates) / len(in_batch)))
    return _Grouped(names=names, group=group, plates=plates, batches=batches, usual=usual)


def _design(data: _Grouped, *, within_lots: bool) -> FloatArray:
    """(plates, groups and all lots but one)."""
    of_group = np.asarray(data.group[:, None] == np.arange(len(data.names)), float)
    if not within_lots:
        return of_group
    lots = sorted({plate.lot for plate in data.plates})
    of_lot = np.array([[float(plate.lot == lot) for lot in lots[1:]] for plate in data.plates])
    design = np.hstack([of_group, of_lot.reshape(len(data.plates), -1)])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise NothingToCompareError(
            "Lots and groups can't be told apart: some groups had lots of their own only.",
            hint="Compare days on which both had the same lot, or compare without regard to lots.",
        )
    return design


def _mean_weights(design: FloatArray, groups: int) -> FloatArray:
    """(groups, p): each group's mean over all lots as they came up in all plates together."""
    weights = np.zeros((groups, design.shape[1]))
    weights[:, :groups] = np.eye(groups)
    weights[:, groups:] = design[:, groups:].mean(axis=0)
    return weights


def _blocks(data: _Grouped, design: FloatArray) -> list[Blocks]:
    """Batches, those with as many plates together; without any pair of plates in a batch there is one part only."""
    members: dict[tuple[str, str], list[int]] = {}
    for index, plate in enumerate(data.plates):
        members.setdefault((plate.group, plate.batch), []).append(index)
    value = np.array([plate.value for plate in data.plates])
    known = np.array([plate.fries_u**2 for plate in data.plates])
    sizes = sorted({len(indices) for indices in members.values()})
    blocks = []
    for size in sizes:
        at = np.array([indices for indices in members.values() if len(indices) == size])
        parts = [np.ones((size, size)), np.eye(size)] if sizes[-1] > 1 else [np.eye(1)]
        blocks.append(Blocks(readings=value[at], design=design[at], known=known[at], parts=np.stack(parts)))
    return blocks


def _group(data: _Grouped, fit: MixedFit, weights: FloatArray, at: int, shared_u: float) -> GroupMean:
    told = fit.contrast(weights)
    half = _joined(float(stats.t.ppf(0.5 + CONFIDENCE / 2, told.freedom)), told.u, _Z, shared_u)
    return GroupMean(
        name=data.names[at],
        mean=told.value,
        low=told.value - half,
        high=told.value + half,
        plates=int((data.group == at).sum()),
        batches=data.batches[at],
    )


_Z = float(stats.norm.ppf(0.5 + CONFIDENCE / 2))


def _joined(factor: float, u: float, known_factor: float, known_u: float) -> float:
    return float(np.hypot(factor * u, known_factor * known_u))


@cache
def simultaneous_factor(groups: int, freedom: float) -> float:
    """How many standard uncertainties all differences of so many groups reach at once (Tukey)."""
    with catch_warnings():
        simplefilter("ignore", IntegrationWarning)  # of the last digits only
        return float(stats.studentized_range.ppf(CONFIDENCE, groups, freedom) / np.sqrt(2))


def _factor(groups: int, freedom: float) -> float:
    """The same for degrees of freedom rounded down a little, so that like ones are looked up once; never below one."""
    freedom = max(freedom, 1.0)
    grid = next((grid for below, grid in ((10, 0.1), (30, 0.5), (120, 5), (1000, 40)) if freedom < below), None)
    return simultaneous_factor(groups, float("inf") if grid is None else grid * np.floor(freedom / grid + 1e-6))


def _difference(
    data: _Grouped,
    fit: MixedFit,
    weights: FloatArray,
    pair: tuple[int, int],
    *,
    worth_acting_on: float,
    shared_u: float,
) -> Difference:
    later, earlier = pair[1], pair[0]
    told = fit.contrast(weights[later] - weights[earlier])
    groups, known_u = len(data.names), float(np.sqrt(2) * shared_u)
    half = _joined(_factor(groups, told.freedom), told.u, _factor(groups, float("inf")), known_u)
    found = _found(told.value, half, worth_acting_on)
    spread = _spread_of_batch(fit, data)

    def chance_with(batches: int) -> float:
        u = float(np.sqrt(1 / (1 / told.variance + batches / (2 * spread))))
        factor = _factor(groups, told.freedom + 2 * batches)
        then = _joined(factor, u, _factor(groups, float("inf")), known_u)
        return chance_of_telling(told.value, u, then, worth_acting_on)

    return Difference(
        of=data.names[later],
        less=data.names[earlier],
        value=told.value,
        u=float(np.hypot(told.u, known_u)),
        freedom=told.freedom,
        low=told.value - half,
        high=told.value + half,
        found=found,
        beyond=abs(told.value) - half > worth_acting_on,
        more=_more(chance_with, data.usual) if found is Found.CANT_TELL else None,
    )


def _found(value: float, half: float, worth_acting_on: float) -> Found:
    if abs(value) + half < worth_acting_on:
        return Found.ALIKE
    return Found.DIFFER if abs(value) > half else Found.CANT_TELL


def _spread_of_batch(fit: MixedFit, data: _Grouped) -> float:
    """Variance of the mean of one more batch of the usual size."""
    fries = float(np.mean([plate.fries_u**2 for plate in data.plates]))
    if len(fit.variances) == 1:
        return max(float(fit.variances[0]) + fries, 1e-12)
    between, plates = float(fit.variances[0]), float(fit.variances[1]) + fries
    return max(between + plates / data.usual, 1e-12)


def chance_of_telling(value: float, u: float, half: float, worth_acting_on: float) -> float:
    """How often an interval of this half width will tell, if the difference is what it looks like now."""
    inner = max(worth_acting_on - half, 0.0)
    if inner >= half:
        return 1.0
    edges = stats.norm.cdf((np.array([-half, -inner, inner, half]) - value) / u)
    return float(1 - (edges[3] - edges[2]) - (edges[1] - edges[0]))


def _more(chance_with: Callable[[int], float], usual: int) -> More | None:
    """The fewest batches that would tell four times in five."""
    if chance_with(_BATCHES_AT_MOST) < OFTEN_ENOUGH:
        return None
    low, high = 0, _BATCHES_AT_MOST
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if chance_with(middle) >= OFTEN_ENOUGH else (middle, high)
    return More(batches=high, plates=high * usual)
