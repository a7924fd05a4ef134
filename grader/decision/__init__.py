"""From measured fries to pass, fail or undecided, with the doubt stated."""

from grader.decision.judging import judge_batch, judge_plate
from grader.decision.model import LimitDecision, Outcome, Verdict

__all__ = ["LimitDecision", "Outcome", "Verdict", "judge_batch", "judge_plate"]
