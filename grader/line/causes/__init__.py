"""What may have caused what was seen on a plate: a ranked list with reasons, and the next cheap check."""

from grader.line.causes.facts import facts_of
from grader.line.causes.model import Cause, Grade, Ranked, Ranking, Reason, Rule
from grader.line.causes.ranking import CausesError, rank_causes
from grader.line.causes.reading import load_causes, read_causes
from grader.line.causes.symptoms import SYMPTOMS, JudgedLimit, seen_by_eye, seen_in

__all__ = [
    "SYMPTOMS",
    "Cause",
    "CausesError",
    "Grade",
    "JudgedLimit",
    "Ranked",
    "Ranking",
    "Reason",
    "Rule",
    "facts_of",
    "load_causes",
    "rank_causes",
    "read_causes",
    "seen_by_eye",
    "seen_in",
]
