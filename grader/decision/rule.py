"""The decision rule: from the probability that a figure meets its limit to pass, fail or undecided.

Source: JCGM 106:2012 (ISO/IEC Guide 98-4): conformance probability, guarded acceptance and guarded rejection. A figure
of which the uncertainty itself was estimated has a scaled and shifted t distribution (JCGM 101:2008, 6.4.9, from
memory).
"""

import math

from scipy.special import ndtr, ndtri, stdtr, stdtrit

from grader.decision.model import Outcome
from grader.decision.terms import Levels

_SURELY_KNOWN = 1e6
"""From so many degrees of freedom on a t distribution is the normal one."""


def outcome_of(probability: float, levels: Levels) -> Outcome:
    """Pass, fail or undecided."""
    if probability >= levels.pass_from:
        return Outcome.PASS
    return Outcome.FAIL if probability <= levels.fail_to else Outcome.UNDECIDED


def conformity(value: float, u: float, *, lower: float | None, upper: float | None, freedom: float = math.inf) -> float:
    """Probability that the true figure is within its limits, the measured one normal or t with uncertainty u > 0.

    Source: JCGM 106:2012: Phi((T_U - y) / u) - Phi((T_L - y) / u).
    """
    under = 1.0 if upper is None else _below((upper - value) / u, freedom)
    short_of = 0.0 if lower is None else _below((lower - value) / u, freedom)
    return under - short_of


def in_u(probability: float, freedom: float = math.inf) -> float:
    """So many standard uncertainties a true figure stays below the measured one plus, with this probability."""
    return float(ndtri(probability) if freedom >= _SURELY_KNOWN else stdtrit(freedom, probability))


def guard_in_u(levels: Levels, freedom: float = math.inf) -> float:
    """Standard uncertainties in the guard band: so far inside a limit of one side a figure must be to pass."""
    return in_u(levels.pass_from, freedom)


def _below(in_u_above: float, freedom: float) -> float:
    return float(ndtr(in_u_above) if freedom >= _SURELY_KNOWN else stdtr(freedom, in_u_above))
