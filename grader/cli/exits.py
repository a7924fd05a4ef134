"""What the exit codes mean; README and every command's help say the same."""

from collections.abc import Iterable
from enum import IntEnum

from grader.decision.model import Outcome
from grader.records.summary import BatchEntry


class Exit(IntEnum):
    """Exit codes. Without --exit-verdict, `grade` ends with DONE whatever it found."""

    DONE = 0
    FAILED = 1
    FAULTY_INPUT = 2
    REFUSED = 3
    UNDECIDED = 4
    NOT_WRITTEN = 5


def verdict_exit(batches: Iterable[BatchEntry]) -> Exit:
    """The code for what was found, the gravest of all batches: failed, then a photo refused, then undecided."""
    kept = tuple(batches)
    outcomes = {batch.verdict.outcome for batch in kept if batch.verdict is not None}
    if Outcome.FAIL in outcomes:
        return Exit.FAILED
    if any(entry.graded.refused for batch in kept for entry in batch.photos):
        return Exit.REFUSED
    return Exit.UNDECIDED if Outcome.UNDECIDED in outcomes else Exit.DONE
