"""The lot test fry: strips of a new lot fried in turn with strips of a lot kept back, in the same oil.

Oil, timer and cook cancel where strips of both lots lie in every basket. The unit is the tuber: its strips are no
separate witnesses, and tubers of one carton may be alike.
Source of the draw: 7 CFR 51.3418 (2026): at least 20 potatoes at random, strips cut from stem to blossom end, centre
strips fried. That both lots share each basket is the house's own.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.special import stdtrit

from grader.arrays import FloatArray
from grader.consistency.reml import Blocks, MixedFit, fit_reml
from grader.errors import GraderError
from grader.sampling.exact import share_interval

TUBERS_AT_LEAST = 20
"""By 7 CFR 51.3418; fewer are told to be fewer."""
INTERVAL = 0.95
_LEAST_TUBERS = 4
_OF_STRIPS = 0.5
"""A tuber has a sugar end where at least so many of its strips show one that can show it (house default, no source)."""


class LotTestError(GraderError, ValueError):
    """The strips can't tell one lot from the other."""


class Lot(StrEnum):
    """Which lot a strip was cut from."""

    NEW = "new"
    KEPT = "kept"


@dataclass(frozen=True, slots=True, kw_only=True)
class TestStrip:
    """One strip; `tuber` and `carton` are counted within its lot.

    `place` is that of its body on the house scale; `sugar_end`, whether its stem end is dark, is None where it can't be
    told. `number` and `stem_number` are its body's and its stem end's on the published numbering (`fry_numbers`), where
    the house has chips of it.
    """

    __test__ = False  # no test of pytest's

    lot: Lot
    carton: Hashable
    tuber: Hashable
    basket: Hashable
    place: float
    sugar_end: bool | None
    number: float | None = None
    stem_number: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SugarEnds:
    """Tubers of a lot with sugar ends, and the share of the lot, exact to 95 % (Clopper and Pearson, 1934)."""

    found: int
    tubers: int
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTest:
    """What came out.

    Attributes
    ----------
    difference, u, low, high
        By how many steps the new lot is darker than the one kept back in the same oil, and its 95 % interval.
    freedom
        Degrees of freedom of `u`.
    carton_sd, tuber_sd, strip_sd
        How cartons, tubers of a carton and strips of a tuber differ, steps; 0 where they differ no more than chance.
        None where the strips can't tell it: all tubers of a lot are of one carton, or each is of a carton of its own;
        of each tuber one strip was fried. What can't be told from tubers, or from strips, is in theirs.
    new_ends, kept_ends
        Sugar ends of either lot; None where no strip could be told.
    """

    difference: float
    u: float
    low: float
    high: float
    freedom: float
    carton_sd: float | None
    tuber_sd: float | None
    strip_sd: float
    new_ends: SugarEnds | None
    kept_ends: SugarEnds | None

    @property
    def differ(self) -> bool:
        """The lots are told apart."""
        return not self.low <= 0 <= self.high


def compare_lots(strips: Sequence[TestStrip]) -> LotTest:
    """The new lot against the one kept back, and its sugar ends.

    Raises
    ------
    LotTestError
        Fewer than four tubers of a lot, or a basket without strips of both.

    Notes
    -----
    Lot and baskets are fixed, cartons, tubers and strips random, as far as the strips tell them apart:
    `consistency.reml`.
    """
    _check(strips)
    fit, weights, told = _fitted(strips)
    contrast = fit.contrast(weights)
    reach = float(stdtrit(contrast.freedom, (1 + INTERVAL) / 2)) * contrast.u
    sds = dict(zip(told, np.sqrt(np.maximum(fit.variances, 0)).tolist(), strict=True))
    return LotTest(
        difference=contrast.value,
        u=contrast.u,
        low=contrast.value - reach,
        high=contrast.value + reach,
        freedom=contrast.freedom,
        carton_sd=sds.get(_CARTONS),
        tuber_sd=sds.get(_TUBERS),
        strip_sd=sds[_STRIPS],
        new_ends=_ends([one for one in strips if one.lot is Lot.NEW]),
        kept_ends=_ends([one for one in strips if one.lot is Lot.KEPT]),
    )


def _fitted(strips: Sequence[TestStrip]) -> tuple[MixedFit, FloatArray, list[int]]:
    """The mixed model, the weights of its fixed effects that make the difference between the lots, and its parts."""
    baskets = {basket: turn for turn, basket in enumerate(dict.fromkeys(one.basket for one in strips))}
    design = np.zeros((len(strips), 1 + len(baskets)))
    for row, one in enumerate(strips):
        design[row, 0] = one.lot is Lot.NEW
        design[row, 1 + baskets[one.basket]] = 1
    cartons = _alike([(one.lot, one.carton) for one in strips])
    tubers = _alike([(one.lot, one.carton, one.tuber) for one in strips])
    parts = np.stack([cartons, tubers, np.eye(len(strips))])
    told = _told_apart(parts, design)
    blocks = Blocks(
        readings=np.array([[one.place for one in strips]]),
        design=design[None],
        known=np.full((1, len(strips)), _ROUNDING_STEPS**2 / 12),
        parts=parts[told],
    )
    return fit_reml([blocks]), np.eye(design.shape[1])[0], told


_CARTONS, _TUBERS, _STRIPS = range(3)
_ROUNDING_STEPS = 0.01
"""Places are entered no finer: strips of a tuber that were entered alike may differ by that (GUM, 4.3.7)."""
_SAME = 1e-9
"""Share of a part below which what is left of it is rounding."""


def _told_apart(parts: FloatArray, design: FloatArray) -> list[int]:
    """Which parts (k, n, n), the finest last, leave something that lots, baskets and the finer parts don't explain."""
    basis = np.linalg.qr(design)[0]
    left = np.eye(len(design)) - basis @ basis.T
    seen = (left @ parts @ left).reshape(len(parts), -1)
    told = [_STRIPS]
    for part in (_TUBERS, _CARTONS):
        finer = seen[told].T
        rest = seen[part] - finer @ np.linalg.lstsq(finer, seen[part])[0]
        if rest @ rest > _SAME * (parts[part] ** 2).sum():
            told.insert(0, part)
    return told


def _alike(names: Sequence[Hashable]) -> FloatArray:
    """(n, n) 1 where two strips are of one carton, or tuber."""
    number = {name: turn for turn, name in enumerate(dict.fromkeys(names))}
    at = np.array([number[name] for name in names])
    return np.asarray(at[:, None] == at, float)


def _ends(strips: Sequence[TestStrip]) -> SugarEnds | None:
    told: dict[Hashable, list[bool]] = {}
    for one in strips:
        if one.sugar_end is not None:
            told.setdefault((one.carton, one.tuber), []).append(one.sugar_end)
    if not told:
        return None
    found = sum(np.mean(of_tuber) >= _OF_STRIPS for of_tuber in told.values())
    low, high = share_interval(int(found), len(told), confidence=INTERVAL)
    return SugarEnds(found=int(found), tubers=len(told), low=low, high=high)


def _check(strips: Sequence[TestStrip]) -> None:
    faults = []
    for lot in Lot:
        tubers = {(one.carton, one.tuber) for one in strips if one.lot is lot}
        if len(tubers) < _LEAST_TUBERS:
            faults.append(f"Too few tubers of the {lot} lot: {len(tubers)}.")
    faults += [
        f"Basket {basket} holds strips of one lot only: what its oil did can't be told from the lot."
        for basket in dict.fromkeys(one.basket for one in strips)
        if len({one.lot for one in strips if one.basket == basket}) < len(Lot)
    ]
    if not all(np.isfinite(one.place) for one in strips):
        faults.append("A strip has no colour.")
    if faults:
        hint = (
            f"Fry strips of both lots in every basket, of {TUBERS_AT_LEAST} tubers each; leave out what has no colour."
        )
        raise LotTestError(" ".join(faults), hint=hint)


def plan_lot_fry(
    *, tubers: int, cartons: int, baskets: int, strips: int, seed: int
) -> tuple[tuple[Lot, int, int, int], ...]:
    """Which strips to fry: lot, carton, tuber and basket of each, in drawn order within each basket.

    The tubers of a carton are spread over the baskets, so that neither stands for the other; a tuber's strips lie
    together.

    Raises
    ------
    LotTestError
        Too few tubers, or baskets that would hold none.
    """
    if tubers < TUBERS_AT_LEAST or not (1 <= cartons <= tubers and 1 <= baskets <= tubers and 1 <= strips <= 10):
        raise LotTestError(
            f"{tubers} tubers of {cartons} cartons in {baskets} baskets, {strips} strips each: no test fry.",
            hint=f"Take at least {TUBERS_AT_LEAST} tubers of each lot, of several cartons, and 1 to 10 strips of each.",
        )
    rng, planned = np.random.default_rng(seed), []
    by_carton = sorted(range(tubers), key=lambda tuber: (tuber % cartons, tuber))
    for basket in range(baskets):
        here = [
            (lot, tuber % cartons + 1, tuber + 1, basket + 1)
            for lot in Lot
            for tuber in sorted(by_carton[basket::baskets])
        ]
        planned += [here[turn] for turn in rng.permutation(len(here)) for _ in range(strips)]
    return tuple(planned)
