"""What the command line says of a run, for people."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from grader.decision.model import LimitDecision, Outcome, Verdict
from grader.records.summary import BatchEntry

# Word, sign and colour say the same: nobody has to tell colours apart.
SIGNS = {Outcome.PASS: "✔ PASS", Outcome.FAIL: "✘ FAIL", Outcome.UNDECIDED: "? UNDECIDED"}
_STYLES = {Outcome.PASS: "green", Outcome.FAIL: "bold red", Outcome.UNDECIDED: "yellow"}

CAUTION = (
    "Colour is not doneness: it says nothing of the temperature inside, of acrylamide or of safety. "
    "Follow your local food code and your own food safety plan."
)


def outcome_text(outcome: Outcome) -> str:
    """An outcome as marked-up text."""
    return f"[{_STYLES[outcome]}]{SIGNS[outcome]}[/]"


def _limits(verdict: Verdict) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("", "limit", "why"):
        table.add_column(heading, overflow="fold")
    for limit in sorted(verdict.limits, key=_gravity):
        table.add_row(outcome_text(limit.outcome), escape(limit.title), escape(limit.reason))
    return table


def _gravity(limit: LimitDecision) -> int:
    return (Outcome.FAIL, Outcome.UNDECIDED, Outcome.PASS).index(limit.outcome)


def tell_batch(console: Console, batch: BatchEntry) -> None:
    """One batch: its verdict, each limit, and the photos that were refused with the remedy."""
    console.rule(f"[bold]{escape(batch.name)}", align="left")
    if batch.verdict is None:
        console.print("No photo of this batch could be judged.")
    else:
        verdict = batch.verdict
        console.print(f"{outcome_text(verdict.outcome)}  {escape(verdict.headline)}")
        console.print(_limits(verdict))
    for entry in batch.photos:
        if entry.graded.refused:
            console.print(f"[yellow]! {escape(entry.graded.name)} was refused[/]")
        for reason in entry.graded.reasons:
            console.print(f"  {escape(reason.message)} {escape(reason.hint)}")


def tell_run(console: Console, batches: Iterable[BatchEntry], *, out: Path) -> None:
    """A whole run, and where its results are."""
    for batch in batches:
        tell_batch(console, batch)
    console.rule()
    console.print(f"Results are in {escape(str(out))}", soft_wrap=True)
    console.print(CAUTION, style="dim")


def tell_left_out(console: Console, left_out: Sequence[Path]) -> None:
    """Files that were named and are no photos."""
    if left_out:
        names = ", ".join(path.name for path in left_out)
        console.print(f"Left out, being no photos: {escape(names)}", soft_wrap=True)
