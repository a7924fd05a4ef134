"""From measured fries to pass, fail or undecided, with the doubt stated."""

from grader.decision.both_ways import LongShare, long_shares
from grader.decision.judging import begin_with, by_gravity, judge_batch, judge_pieces, judge_plate
from grader.decision.model import LimitDecision, Outcome, Verdict
from grader.decision.pieces import is_crumb, length_as_meant
from grader.decision.terms import HOUSE_DEFAULT, USUAL, PlatesApart, Question, Terms

__all__ = [
    "HOUSE_DEFAULT",
    "USUAL",
    "LimitDecision",
    "LongShare",
    "Outcome",
    "PlatesApart",
    "Question",
    "Terms",
    "Verdict",
    "begin_with",
    "by_gravity",
    "is_crumb",
    "judge_batch",
    "judge_pieces",
    "judge_plate",
    "length_as_meant",
    "long_shares",
]
