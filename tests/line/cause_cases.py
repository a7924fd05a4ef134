"""The table of cases: read, tried against causes."""

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from grader.line.causes import Cause, Grade, Ranking, facts_of, rank_causes
from grader.line.house_notes import read_notes
from grader.line.sheet import read_sheet

CASES: list[dict[str, Any]] = tomllib.loads((Path(__file__).parent / "cases.toml").read_text(encoding="utf-8"))["cases"]


def rank_case(case: dict[str, Any], causes: Sequence[Cause]) -> Ranking:
    seen = dict.fromkeys(case["seen"], True) | dict.fromkeys(case.get("not_seen", []), False)
    usual = read_sheet(case["usual"]) if "usual" in case else None
    notes = read_notes(case.get("notes", {}))
    return rank_causes(causes, facts_of(seen, read_sheet(case.get("sheet", {})), notes, usual))


def faults_of(case: dict[str, Any], causes: Sequence[Cause]) -> list[str]:
    """What comes out otherwise than the case says."""
    told = rank_case(case, causes)
    order = [one.cause.key for one in told.causes]
    graded = {grade: {one.cause.key for one in told.causes if one.grade is grade} for grade in Grade}
    faults = []
    if "first" in case and order[0] != case["first"]:
        faults.append(f"first is {order[0]}")
    if "likely" in case and graded[Grade.LIKELY] != set(case["likely"]):
        faults.append(f"likely are {sorted(graded[Grade.LIKELY])}")
    faults += [f"{key} isn't unlikely" for key in case.get("unlikely", []) if key not in graded[Grade.UNLIKELY]]
    faults += [
        f"{one} isn't above {other}" for one, other in case.get("above", []) if order.index(one) > order.index(other)
    ]
    faults += [
        f"first of {symptom} is {told.first_of.get(symptom)}"
        for symptom, key in case.get("first_of", {}).items()
        if told.first_of.get(symptom) != key
    ]
    return faults


def without(causes: Sequence[Cause], rule: str) -> list[Cause]:
    from dataclasses import replace

    return [replace(cause, rules=tuple(one for one in cause.rules if one.key != rule)) for cause in causes]
