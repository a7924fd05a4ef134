"""From measured fries to pass, fail or undecided, with the doubt stated."""

from grader.decision.judging import by_gravity, judge_batch, judge_plate
from grader.decision.model import LimitDecision, Outcome, Verdict
from grader.decision.pieces import is_crumb, length_as_meant

__all__ = [
    "LimitDecision",
    "Outcome",
    "Verdict",
    "by_gravity",
    "is_crumb",
    "judge_batch",
    "judge_plate",
    "length_as_meant",
]
