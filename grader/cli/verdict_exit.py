"""The exit code that says what was found of a batch."""

from grader.cli.exits import Exit
from grader.decision.model import Outcome
from grader.records.summary import BatchEntry


def verdict_exit(batch: BatchEntry) -> Exit:
    """The gravest first: failed, then a photo refused, then undecided."""
    outcome = None if batch.verdict is None else batch.verdict.outcome
    if outcome is Outcome.FAIL:
        return Exit.FAILED
    if any(entry.graded.refused for entry in batch.photos):
        return Exit.REFUSED
    return Exit.UNDECIDED if outcome is Outcome.UNDECIDED else Exit.DONE
