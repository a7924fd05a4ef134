"""A batch's judged limits, read back from what `grade` wrote, as a list of likely causes wants them."""

import json
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from grader.decision.model import Outcome
from grader.errors import GraderError
from grader.line.causes import JudgedLimit
from grader.records.json_values import NOT_AS_WRITTEN
from grader.records.naming import SUMMARY
from grader.standard.model import FINISHED, StageName


def limits_of_batch(folder: Path, batch: str = "") -> tuple[tuple[JudgedLimit, ...], StageName]:
    """The judged limits of a batch of a run, and the stage of its fries; of a run with one batch no name is needed.

    Raises
    ------
    GraderError
        The folder holds no results, no batch of that name, or no verdict on it.
    OSError
        It can't be read.
    """
    try:
        summary = json.loads((folder / SUMMARY).read_text(encoding="utf-8"))
        verdicts = {str(one["name"]): one["verdict"] for one in summary["batches"]}
        stage: StageName = summary["standard"].get("stage", FINISHED)
    except OSError:
        raise
    except NOT_AS_WRITTEN as error:
        raise _unreadable(folder) from error
    name = batch or (next(iter(verdicts)) if len(verdicts) == 1 else "")
    if verdicts.get(name) is None:
        judged = ", ".join(one for one, verdict in verdicts.items() if verdict) or "none"
        raise GraderError(f'{folder} holds no verdict on a batch "{name}".', hint=f"Judged there: {judged}.")
    try:
        return limits_of_record(verdicts[name]["limits"]), stage
    except NOT_AS_WRITTEN as error:
        raise _unreadable(folder) from error


def _unreadable(folder: Path) -> GraderError:
    return GraderError(f"{folder / SUMMARY} can't be read.", hint="Grade the photos anew.")


def limits_of_record(limits: Iterable[Mapping[str, Any]]) -> tuple[JudgedLimit, ...]:
    """Judged limits from a verdict's record."""
    return tuple(
        JudgedLimit(
            key=one["key"],
            outcome=Outcome(one["outcome"]),
            measured=math.nan if one["measured"] is None else one["measured"],
            lower=one["lower"],
            upper=one["upper"],
            counted=one["counted"],
        )
        for one in limits
    )
