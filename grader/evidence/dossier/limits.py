"""What is claimed against which limit: figures in words, the limits as a table, the finding in a sentence."""

import math
from collections.abc import Sequence

from grader.decision.model import LimitDecision, Outcome
from grader.evidence.dossier.paper import GREEN, GREY, RED, Paper
from grader.evidence.model import Case
from grader.evidence.what_may_be_claimed import Claimable

OUTCOMES = {
    Outcome.FAIL: "fault proven",
    Outcome.PASS: "conforms, proven",
    Outcome.UNDECIDED: "not proven either way",
}
_HEAD = ("Limit", "Agreed", "Measured ± u (k = 1)", "95 % interval", "Meets it", "Guard band", "Asked as a claim")
_WIDTHS = (44, 22, 27, 26, 15, 16, 24)


def figure(value: float | None, unit: str) -> str:
    """A figure with its unit."""
    if value is None or math.isnan(value):
        return "–"
    return f"{100 * value:.1f} %" if unit == "share" else f"{value:.2f} steps"


def agreed(limit: LimitDecision) -> str:
    """A limit as it was agreed."""
    low, high = limit.lower, limit.upper
    if low is not None and high is not None:
        return f"{figure(low, limit.unit)} to {figure(high, limit.unit)}"
    return f"at least {figure(low, limit.unit)}" if low is not None else f"at most {figure(high, limit.unit)}"


def draw_limits(paper: Paper, limits: Sequence[LimitDecision]) -> None:
    """The table."""
    rows = [
        (
            limit.title,
            agreed(limit),
            f"{figure(limit.measured, limit.unit)} ± {figure(limit.u, limit.unit)}",
            f"{figure(limit.low, limit.unit)} to {figure(limit.high, limit.unit)}",
            _probability(limit.probability),
            figure(limit.guard, limit.unit),
            OUTCOMES[limit.outcome],
        )
        for limit in limits
    ]
    paper.told_table(_HEAD, rows, _WIDTHS)


def _probability(value: float) -> str:
    if math.isnan(value):
        return "–"
    if value < 0.001:
        return "below 0.1 %"
    return "above 99.9 %" if value > 0.999 else f"{100 * value:.1f} %"


def finding(told: Claimable) -> tuple[str, tuple[int, int, int]]:
    """The finding, and the colour that it is set in."""
    if told.proven:
        return f"Fault proven: {'; '.join(limit.finding for limit in told.proven)}.", RED
    if told.limits and all(limit.outcome is Outcome.PASS for limit in told.limits):
        return "No fault: of what may be claimed, every limit is proven to be met.", GREEN
    return "No fault is proven. What is not proven either way is said below, with what would settle it.", GREY


def draw_claim(paper: Paper, case: Case, told: Claimable) -> None:
    """The claim itself: limits that may be claimed, then those that are only shown."""
    standard = case.standard
    paper.heading("What is claimed against which limit")
    paper.paragraph(
        f"Limits: {standard.name}, version {standard.version}, {standard.stage} fries. Figures: this program's method "
        f"{case.method_version}, from {len(case.plates)} plates together, nothing mended by hand. Shares are by count "
        "unless it says otherwise; steps are those of the standard's colour scale."
    )
    if told.limits:
        draw_limits(paper, told.limits)
    paper.items([limit.reason for limit in told.limits], points=8.5)
    paper.paragraph(
        f"Lengths are of {standard.stage} fries as they lay on the plate. "
        + (
            "What was handed in besides (lengths of raw strips, weights of tubers) is listed under the studies."
            if case.attached
            else "No lengths of raw strips and no weights of tubers were handed in: what was short as it came, and "
            "what was lost in cutting, frying and breaking, is not told apart."
        )
    )
    if told.shown_only:
        paper.heading("Shown, but not claimed")
        paper.paragraph(f"These limits rest on colour. {told.colour_words} They are no part of the claim.")
        draw_limits(paper, told.shown_only)
    paper.heading("How it is decided")
    paper.paragraph(
        "It is asked as a claim: proof of fault beyond doubt, not a release. A limit counts as broken only where the "
        "probability that it is met is at most 2.5 %, so that its whole 95 % interval lies beyond it: guarded "
        "rejection, JCGM 106:2012, 8.3.3. The guard band is by how much a figure must lie beyond its limit for that. "
        "A lot that is right on a limit is so blamed one time in forty at most, for each limit by itself. How far "
        "plates differ is told by these plates alone; that calls for two at least."
    )
    if case.release is not None:
        paper.paragraph(f"Asked as a release, the house's own question, it would be: {case.release.headline}")
