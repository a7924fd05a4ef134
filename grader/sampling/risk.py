"""What a plan risks: how often it accepts lots of each quality, and what quality goes out behind it.

A lot of known size is drawn from without putting back: hypergeometric. A process, or a lot far larger than the sample,
is binomial. Sources: MIL-STD-105E's own operating characteristics are binomial at these sizes; average outgoing quality
is as H. F. Dodge, H. G. Romig, Sampling Inspection Tables (1959) have it (from memory).
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize_scalar
from scipy.special import bdtr
from scipy.stats import hypergeom

from grader.arrays import FloatArray
from grader.errors import GraderError
from grader.sampling.model import Plan

_POINTS = 201
_UNITS_AT_MOST = 5000
"""Nobody draws more units from one lot; and of far more a plan isn't found in any time."""


class RisksContradictError(GraderError, ValueError):
    """No plan has such risks at such qualities."""

    def __init__(self, good_share: float, bad_share: float) -> None:
        super().__init__(
            f"No plan tells lots with {good_share:g} nonconforming from those with {bad_share:g} at such risks.",
            hint="The good share must be below the bad one, both between 0 and 1, and each risk above 0 and below 0.5.",
        )


class TooManyUnitsError(GraderError, ValueError):
    """Lots so alike take more units to tell apart than anybody draws."""

    def __init__(self, good_share: float, bad_share: float) -> None:
        super().__init__(
            f"It takes more than {_UNITS_AT_MOST} units to tell lots with {good_share:g} nonconforming from those with "
            f"{bad_share:g}.",
            hint="Let the bad share be farther from the good one, or take larger risks.",
        )


def accepted(plan: Plan, share: FloatArray) -> FloatArray:
    """(k,) probability that a lot is accepted, of a process that makes these shares (k,) of nonconforming units.

    What lies between acceptance and rejection of a reduced plan is accepted too.
    """
    return np.asarray(bdtr(plan.reject - 1, plan.n, share), float)


def accepted_of_lot(plan: Plan, nonconforming: "np.ndarray[tuple[int], np.dtype[np.int64]]", lot: int) -> FloatArray:
    """(k,) the same for a lot of `lot` units that holds exactly so many (k,) nonconforming ones."""
    return np.asarray(hypergeom.cdf(plan.reject - 1, lot, nonconforming, min(plan.n, lot)), float)


def quality_at(plan: Plan, probability: float) -> float:
    """The share of nonconforming units of which a process is accepted with this probability; 1 where all are."""
    if plan.reject > plan.n:
        return 1.0
    return float(brentq(lambda share: float(accepted(plan, np.array(share))) - probability, 0.0, 1.0, xtol=1e-10))


def outgoing(plan: Plan, share: FloatArray, lot: int) -> FloatArray:
    """(k,) share of nonconforming units behind the inspection, on the average over many lots of these shares (k,).

    Rejected lots are sorted through, and whatever is found nonconforming is replaced by good: the part of an accepted
    lot that nobody looked at is all that lets any through.
    """
    unseen = max(1 - plan.n / lot, 0.0)
    return share * accepted(plan, share) * unseen


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """The worst average quality that goes out, whatever comes in, and the incoming share at which it does."""

    limit: float
    at: float


def outgoing_limit(plan: Plan, lot: int) -> Outgoing:
    """Average outgoing quality limit, AOQL."""
    widest = min(1.0, quality_at(plan, 1e-6))
    worst = minimize_scalar(
        lambda share: -float(outgoing(plan, np.array(share), lot)), bounds=(0.0, widest), method="bounded",
        options={"xatol": 1e-9},
    )  # fmt: skip
    return Outgoing(limit=-float(worst.fun), at=float(worst.x))


@dataclass(frozen=True, slots=True, kw_only=True)
class Risks:
    """The producer's risk at a quality that ought to pass, the consumer's at one that ought not.

    `good_units` and `bad_units` are the nonconforming units of a lot that has a size; None of a process.
    """

    good_share: float
    producer: float
    bad_share: float
    consumer: float
    good_units: int | None = None
    bad_units: int | None = None


def risks(plan: Plan, *, good_share: float, bad_share: float, lot: int | None = None) -> Risks:
    """Both risks; with `lot` for a lot of so many units of which the nearest whole number is nonconforming."""
    shares = np.array([good_share, bad_share])
    if lot is None:
        producer, consumer = accepted(plan, shares).tolist()
        return Risks(good_share=good_share, producer=1 - producer, bad_share=bad_share, consumer=consumer)
    units = np.round(shares * lot).astype(np.int64)
    producer, consumer = accepted_of_lot(plan, units, lot).tolist()
    return Risks(
        good_share=good_share,
        producer=1 - producer,
        bad_share=bad_share,
        consumer=consumer,
        good_units=int(units[0]),
        bad_units=int(units[1]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """An operating characteristic: probabilities (k,) of acceptance over shares of nonconforming units (k,)."""

    quality: FloatArray
    accepted: FloatArray


def operating_curve(plan: Plan, lot: int | None = None) -> Curve:
    """From perfect lots to those that are never accepted; over whole numbers of units where `lot` is given."""
    worst = min(1.0, 1.1 * quality_at(plan, 0.005))
    if lot is None:
        share = np.linspace(0, worst, _POINTS)
        return Curve(quality=share, accepted=accepted(plan, share))
    counts = np.unique(np.linspace(0, min(np.ceil(worst * lot), lot), _POINTS).astype(np.int64))
    return Curve(quality=counts / lot, accepted=accepted_of_lot(plan, counts, lot))


def smallest_plan(*, good_share: float, producer: float, bad_share: float, consumer: float) -> Plan:
    """The plan of fewest units that keeps both risks: the two points of an operating characteristic, binomial.

    Raises
    ------
    RisksContradictError
        The shares don't rise, or a risk is none.
    TooManyUnitsError
        It would take more than 5000.
    """
    if not (0 <= good_share < bad_share <= 1 and 0 < producer < 0.5 and 0 < consumer < 0.5):
        raise RisksContradictError(good_share, bad_share)
    accept, n = 0, 1
    while True:
        # With so many allowed the consumer's risk asks for n units at least; with more the producer's only grows.
        while n <= _UNITS_AT_MOST and bdtr(accept, n, bad_share) > consumer:
            n += 1
        if n > _UNITS_AT_MOST:
            raise TooManyUnitsError(good_share, bad_share)
        if bdtr(accept, n, good_share) >= 1 - producer:
            return Plan(n=n, accept=accept, reject=accept + 1)
        accept += 1
