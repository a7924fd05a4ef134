"""Shares on a chart, plate by plate: how many of a plate's fries are long, have a dark end, ...

Fries of a plate are alike (same potatoes, same oil), so counts scatter more than those of fries drawn one by one, and
the limits of the plain p-chart, which takes them for that, are too tight. A beta-binomial holds it: each plate has a
share of its own, drawn from a beta distribution, and two of its fries are correlated by rho. Limits are quantiles of
what a plate of n fries would show next, over all shares and correlations that the baseline leaves possible; that widens
them where the baseline is short. The plain limits are told beside them, for comparison only.

Sources: the beta-binomial: J. G. Skellam, J. R. Statist. Soc. B 10 (1948) 257-261; limits as quantiles of a predictive
distribution: U. Menzefricke, Commun. Statist. Theory Methods 31 (2002) 1387-1406; plain limits: NIST/SEMATECH
e-Handbook of Statistical Methods, 6.3.3.2 (all from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache

import numpy as np
from scipy import stats
from scipy.special import betaln, expit, gammaln

from grader.arrays import FloatArray, IntArray
from grader.consistency.baseline import BaselineTooShortError
from grader.consistency.batches import check_one_chart
from grader.consistency.model import PlateSummary
from grader.consistency.rules import Side

LEAST_PLATES = 10
ENOUGH_PLATES = 50
CHANCE = 1 / 1000
"""Of a plate being beyond its limits by chance, both sides together."""
_SHARES, _CORRELATIONS = 81, 60
_REACH_LOGITS = 8.0
_RHO_FROM, _RHO_TO = 1e-4, 0.5
_PLAIN = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareBaseline:
    """What counts of a baseline's plates tell, frozen.

    Attributes
    ----------
    key
        Of the standard's limit that the share belongs to.
    share
        Of all their fries together (0 to 1).
    correlation
        Of two fries of a plate: the median of what is left possible.
    plates
        How many it rests on.
    shares, correlations, weights
        (k,) each: what is possible, and how much it is believed.
    """

    key: str
    from_at: datetime
    to_at: datetime
    share: float
    correlation: float
    plates: int
    shares: FloatArray
    correlations: FloatArray
    weights: FloatArray

    @property
    def caution(self) -> str:
        """What to say of a baseline that rests on little; empty where it rests on enough."""
        if self.plates >= ENOUGH_PLATES:
            return ""
        return f"It rests on {self.plates} plates, fewer than {ENOUGH_PLATES}: its limits are wide for that."


@dataclass(frozen=True, slots=True, kw_only=True)
class SharePoint:
    """A plate on the chart of a share: `k` of `n` fries; limits (shares that are still usual), and the plain ones."""

    plate: str
    batch: str
    at: datetime
    k: int
    n: int
    low: float
    high: float
    plain_low: float
    plain_high: float

    @property
    def share(self) -> float:
        """0 to 1."""
        return self.k / self.n

    @property
    def side(self) -> Side | None:
        """On which side it is beyond its limits; None where it isn't."""
        if self.share > self.high:
            return Side.HIGH
        return Side.LOW if self.share < self.low else None


def log_beta_binomial(k: IntArray, n: IntArray, share: FloatArray, correlation: FloatArray) -> FloatArray:
    """Logarithm of the chance of k of n where a plate's share has this mean, and two of its fries this correlation.

    The beta's parameters are share * t and (1 - share) * t with t = 1 / correlation - 1. Arrays are broadcast.
    """
    total = 1 / correlation - 1
    alpha, beta = share * total, (1 - share) * total
    ways = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    return np.asarray(ways + betaln(k + alpha, n - k + beta) - betaln(alpha, beta), float)


def freeze_share(plates: Sequence[PlateSummary], key: str, *, from_at: datetime, to_at: datetime) -> ShareBaseline:
    """The baseline of all plates taken in a period, both ends included, that have counts of the share.

    Raises
    ------
    BaselineTooShortError
        There are fewer than ten plates.
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    check_one_chart(plates)
    chosen = [plate for plate in plates if from_at <= plate.taken_at <= to_at]
    k, n = _counts(chosen, key)
    if len(k) < LEAST_PLATES:
        raise BaselineTooShortError(
            f"Plates of that period with counts of {key}: {len(k)}.",
            hint=f"Choose a period with {LEAST_PLATES} at least; {ENOUGH_PLATES} are enough.",
        )
    return _believed(key, k, n, (from_at, to_at))


def _counts(plates: Sequence[PlateSummary], key: str) -> tuple[IntArray, IntArray]:
    """Whole numbers: a fry that is over the threshold by half a chance isn't half a fry to a distribution of counts."""
    told = [plate.shares[key] for plate in plates if key in plate.shares and plate.shares[key].n]
    return np.array([round(count.k) for count in told], int), np.array([count.n for count in told], int)


def _believed(key: str, k: IntArray, n: IntArray, period: tuple[datetime, datetime]) -> ShareBaseline:
    """Bayes on a grid: shares by Jeffreys' prior, correlations evenly in their square root."""
    share = np.asarray(expit(_near(k, n)), float)
    rho = np.linspace(np.sqrt(_RHO_FROM), np.sqrt(_RHO_TO), _CORRELATIONS) ** 2
    grid_share, grid_rho = (grid.ravel() for grid in np.meshgrid(share, rho, indexing="ij"))
    pairs, times = np.unique(np.stack([k, n]), axis=1, return_counts=True)
    log = sum(
        count * log_beta_binomial(pair_k, pair_n, grid_share, grid_rho)
        for pair_k, pair_n, count in zip(*pairs, times, strict=True)
    )
    # Jeffreys' prior of a share is sqrt(p (1 - p)) in its logit, and the grid is even in that.
    weight = np.exp(log - np.max(log)) * np.sqrt(grid_share * (1 - grid_share))
    weight /= weight.sum()
    order = np.argsort(grid_rho, kind="stable")
    middle = int(np.searchsorted(np.cumsum(weight[order]), 0.5))
    kept = weight > weight.max() * 1e-6
    return ShareBaseline(
        key=key,
        from_at=period[0],
        to_at=period[1],
        share=float(k.sum() / n.sum()),
        correlation=float(grid_rho[order][middle]),
        plates=len(k),
        shares=grid_share[kept],
        correlations=grid_rho[kept],
        weights=weight[kept] / weight[kept].sum(),
    )


def _near(k: IntArray, n: IntArray) -> FloatArray:
    """Logits of the shares that are possible at all, were plates worth a tenth of their fries, or one."""
    worth = max(float(n.sum()) / 10, float(len(n)))
    believed = stats.beta(k.sum() / n.sum() * worth + 0.5, (1 - k.sum() / n.sum()) * worth + 0.5)
    low, high = np.clip(believed.ppf([1e-9, 1 - 1e-9]), expit(-_REACH_LOGITS), expit(_REACH_LOGITS))
    return np.linspace(np.log(low / (1 - low)), np.log(high / (1 - high)), _SHARES)


def watch_share(plates: Sequence[PlateSummary], baseline: ShareBaseline) -> tuple[SharePoint, ...]:
    """Plates with counts of the share, in time order, each with the limits for its number of fries.

    Raises
    ------
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    check_one_chart(plates)
    points = []
    limits = cache(lambda n: share_limits(baseline, n))
    for plate in sorted(plates, key=lambda plate: plate.taken_at):
        (k, n) = (list(counts) for counts in _counts([plate], baseline.key))
        if n:
            low, high = limits(int(n[0]))
            plain_low, plain_high = plain_limits(baseline.share, int(n[0]))
            points.append(
                SharePoint(
                    plate=plate.plate,
                    batch=plate.batch,
                    at=plate.taken_at,
                    k=int(k[0]),
                    n=int(n[0]),
                    low=low,
                    high=high,
                    plain_low=plain_low,
                    plain_high=plain_high,
                )
            )
    return tuple(points)


def predicted(baseline: ShareBaseline, n: int) -> FloatArray:
    """(n + 1,) chance that a plate of n fries shows 0, 1, ... n."""
    k = np.arange(n + 1)[:, None]
    chance = np.exp(log_beta_binomial(k, np.array(n), baseline.shares[None, :], baseline.correlations[None, :]))
    return np.asarray(chance @ baseline.weights, float)


def share_limits(baseline: ShareBaseline, n: int) -> tuple[float, float]:
    """The lowest and the highest share that a plate of n fries may show: beyond each lies half of `CHANCE` at most."""
    below = np.cumsum(predicted(baseline, n))
    low = int(np.searchsorted(below, CHANCE / 2, side="right"))
    high = int(np.searchsorted(below, 1 - CHANCE / 2))
    return low / n, min(high, n) / n


def plain_limits(share: float, n: int) -> tuple[float, float]:
    """The p-chart of textbooks: share ± 3 sqrt(share (1 - share) / n), as if fries were drawn one by one."""
    reach = _PLAIN * float(np.sqrt(share * (1 - share) / n))
    return max(share - reach, 0.0), min(share + reach, 1.0)
