"""The decision rule: from the probability that a figure meets its limit to pass, fail or undecided.

Source: JCGM 106:2012 (ISO/IEC Guide 98-4): conformance probability, and guarded acceptance.
"""

from scipy.special import ndtr, ndtri

from grader.decision.model import Outcome

PASS_FROM = 0.9
"""Passes when the figure meets its limit with at least this probability: a batch right on the limit passes one time in
ten. For a kitchen's own decision on a shift (house default, no source); a claim against somebody asks for more."""
FAIL_TO = 1 - PASS_FROM
"""Fails when it meets it with at most this probability: as sure of a fault as, to pass, of its absence."""
COVERAGE = float(ndtri(PASS_FROM))
"""Standard uncertainties in the guard band of a normal figure."""


def outcome_of(probability: float) -> Outcome:
    """Pass, fail or undecided."""
    if probability >= PASS_FROM:
        return Outcome.PASS
    return Outcome.FAIL if probability <= FAIL_TO else Outcome.UNDECIDED


def conformity(value: float, u: float, *, lower: float | None, upper: float | None) -> float:
    """Probability that the true figure is within its limits, the measured one normal with standard uncertainty u > 0.

    Source: JCGM 106:2012: Phi((T_U - y) / u) - Phi((T_L - y) / u).
    """
    under = 1.0 if upper is None else float(ndtr((upper - value) / u))
    short_of = 0.0 if lower is None else float(ndtr((lower - value) / u))
    return under - short_of
