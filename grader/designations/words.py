"""Published designations in words: never a claim that a plate *is* of one, because the standard speaks of a lot."""

from collections.abc import Sequence

from grader.decision.model import Outcome
from grader.designations.judging import Beside
from grader.designations.model import Mark, Published

_OUTCOMES = {Outcome.PASS: "would meet", Outcome.FAIL: "would not meet", Outcome.UNDECIDED: "can't tell"}
_CHECK = "check against the standard before contract use"


def outcome_words(outcome: Outcome) -> str:
    """What plates would do, were they held against a published designation."""
    return _OUTCOMES[outcome]


def caution(mark: Mark) -> str:
    """What to do before a row is relied on; empty where its text was read."""
    return "" if mark == "VERIFIED" else _CHECK


def published_words(published: Published) -> str:
    """A published standard in a line: what plates are held against, and whether its rows are still to be checked."""
    rows = ", ".join(row.name for row in published.rows) or "words only, nothing that a plate shows"
    unread = any(caution(row.mark) for row in (*published.rows, *published.words))
    return f"{published.name}: {rows}{f' ({_CHECK})' if unread else ''}"


def beside_line(beside: Sequence[Beside]) -> str:
    """All on one line: which published designations would be met, and of which it can't be told."""
    met, open_ones = (_named(beside, outcome) for outcome in (Outcome.PASS, Outcome.UNDECIDED))
    told = [f"would meet {met or 'none'}", *([f"can't tell {open_ones}"] if open_ones else [])]
    unread = any(caution(held.row.mark) for one in beside for held in one.held)
    return f"Published designations, beside the verdict: {'; '.join(told)}{f' ({_CHECK})' if unread else ''}."


def _named(beside: Sequence[Beside], outcome: Outcome) -> str:
    """Those with this outcome, each standard's together."""
    names = [(one.published.short_name, [h.row.name for h in one.held if h.outcome is outcome]) for one in beside]
    return "; ".join(f"{standard}: {', '.join(rows)}" for standard, rows in names if rows)
