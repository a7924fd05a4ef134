"""From measured fries to pass, fail or undecided, with the doubt stated."""

from grader.decision.judging import by_gravity, judge_batch, judge_plate
from grader.decision.model import LimitDecision, Outcome, Verdict

__all__ = ["LimitDecision", "Outcome", "Verdict", "by_gravity", "judge_batch", "judge_plate"]
