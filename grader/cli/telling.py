"""What the command line says of a run, for people."""

import shutil
from pathlib import Path
from tempfile import TemporaryFile
from typing import Self

from rich.console import Console
from rich.table import Table

from grader.card_values import card_words
from grader.cli.commands import CAUTION
from grader.cli.marked_up import escape
from grader.decision import by_gravity
from grader.decision.model import Outcome, Verdict
from grader.decision.words import length, percent
from grader.designations import beside_line
from grader.drawing.signs import SIGNS
from grader.records.designations import held_beside
from grader.records.summary import BatchEntry
from grader.standard import CAUTIONS
from grader.standard.model import Stage, Standard

# Word, mark and colour say the same: nobody has to tell colours apart.
_MARKS = {Outcome.PASS: "✔", Outcome.FAIL: "✘", Outcome.UNDECIDED: "?"}
_STYLES = {Outcome.PASS: "green", Outcome.FAIL: "bold red", Outcome.UNDECIDED: "yellow"}


def outcome_text(outcome: Outcome) -> str:
    """An outcome as marked-up text."""
    return f"[{_STYLES[outcome]}]{_MARKS[outcome]} {SIGNS[outcome].word}[/]"


def _limits(verdict: Verdict) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("", "limit", "why"):
        table.add_column(heading, overflow="fold")
    for limit in by_gravity(verdict.limits):
        table.add_row(outcome_text(limit.outcome), escape(limit.title), escape(limit.reason))
    return table


def tell_batch(console: Console, batch: BatchEntry, standard: Standard) -> None:
    """One batch: its verdict, each limit, and what there is to say of single photos, with the remedy."""
    console.rule(f"[bold]{escape(batch.name)}", align="left")
    if batch.verdict is None:
        console.print("No photo of this batch could be judged.")
    else:
        verdict = batch.verdict
        console.print(f"{outcome_text(verdict.outcome)}  {escape(verdict.headline)}")
        if batch.standing is not None:
            console.print(escape(batch.standing.short))
        if CAUTIONS[standard.stage]:
            console.print(CAUTIONS[standard.stage])
        console.print(_limits(verdict))
        console.print(escape(beside_line(held_beside(batch.graded, standard))), style="dim")
    for line in dict.fromkeys(_card_lines(batch)):
        console.print(escape(line), style="dim")
    for entry in batch.photos:
        told = [reason for reason in entry.graded.reasons if not reason.quiet]
        if entry.graded.refused:
            console.print(f"[yellow]! {escape(entry.graded.name)} was refused[/]")
        elif told:
            console.print(f"{escape(entry.graded.name)}:")
        for reason in told:
            console.print(f"  {escape(reason.message)} {escape(reason.hint)}")


def _card_lines(batch: BatchEntry) -> list[str]:
    """Each card of which the serial was read, and where its colours come from."""
    judged = [entry.graded for entry in batch.photos if not entry.graded.refused]
    return [card_words(one.serial, one.values) for one in judged if one.serial is not None]


def _claims(batch: BatchEntry) -> list[str]:
    """Why a batch may claim what it does, and what would lift it."""
    standing = batch.standing
    if standing is None:
        return []
    return [
        f"Colour, {standing.colour.value}: {standing.colour_reason} {standing.colour_lift}".rstrip(),
        f"Length, {standing.length.value}: {standing.length_reason} {standing.length_lift}".rstrip(),
    ]


class RunTelling:
    """A whole run in words, told when it has ended: until then a bar may be where they would stand.

    They wait in a file, so that a run of any length needs no more memory.
    """

    def __init__(self, console: Console, *, standard: Standard) -> None:
        self._console, self._standard = console, standard
        self._claims: dict[str, None] = {}
        self._waiting = TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115 - closed as this is left

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *told: object) -> None:
        self._waiting.close()

    def add(self, batch: BatchEntry) -> None:
        """Take in a batch; nothing of it is kept but words."""
        with self._console.capture() as captured:
            tell_batch(self._console, batch, self._standard)
        self._waiting.write(captured.get())
        self._claims |= dict.fromkeys(_claims(batch))

    def tell(self, out: Path) -> None:
        """Tell it all, and where its results are."""
        self._waiting.seek(0)
        shutil.copyfileobj(self._waiting, self._console.file)
        self._console.rule()
        for line in self._claims:
            self._console.print(escape(line), style="dim")
        self._console.print(f"Results are in {escape(str(out))}", soft_wrap=True)
        self._console.print(" ".join(CAUTION.split()), style="dim")


def standard_lines(standard: Standard) -> list[str]:
    """A standard in a few lines, so that its author sees what was understood."""
    limits, scale, cut = standard.limits, standard.scale, standard.cut
    lengths = "; ".join(
        f"at least {percent(share.at_least_share)}{' of the estimated mass' if share.by == 'mass' else ''} are "
        f"{length(share.length_mm, share.length_in)} or longer"
        for share in limits.length_shares
    )
    steps = " < ".join(step.name for step in scale.steps)
    return [
        f"{standard.name}, version {standard.version}: no faults.",
        f"  colour   {steps}; target {scale.target_from:g} to {scale.target_to:g}",
        f"  cut      {cut.name}: {cut.width_mm:g} ± {cut.tolerance_mm:g} mm, {'skin on' if cut.skin_on else 'peeled'}",
        f"  length   {lengths or 'no share of long fries is asked for'} ({standard.length_is})",
        "           sizes are of finished fries, at every stage; raw strips must be longer: line lengths",
        *(
            f"  {'at most' if turn == 0 else '':7}  {percent(share)} {things}"
            for turn, (share, things) in enumerate(_at_most(standard))
        ),
        f"  spread   at most {limits.spread_steps_at_most:g} steps",
        *(f"  {stage.name:8} {_stage_words(stage)}" for stage in standard.stages),
    ]


def _at_most(standard: Standard) -> list[tuple[float, str]]:
    """Each limit on a share that the standard states, and from when on something counts."""
    limits, defects = standard.limits, standard.defects
    told = (
        (limits.short_share_at_most, f"short (under {length(defects.short_below_mm)})"),
        (limits.scrap_share_at_most, f"scraps (under {length(defects.scrap_below_mm or 0)})"),
        (limits.crumb_share_at_most, f"crumbs (under {length(defects.piece_from_mm)})"),
        (limits.sliver_share_at_most, f"slivers (under {length(defects.sliver_below_width_mm)} wide)"),
        (
            limits.dark_end_share_at_most,
            f"dark ends (from {length(defects.dark_end_from_mm)}, {defects.dark_end_from_dl:g} L* darker)",
        ),
        (limits.spotted_share_at_most, f"spotted (from {length(defects.spot_from_mm)})"),
        (limits.width_off_share_at_most, "off width"),
        (limits.out_of_target_at_most, "off colour"),
        (limits.curved_share_at_most, f"curved (bow from {percent(defects.curved_from_bow_share or 0)})"),
        (limits.torn_end_share_at_most, f"torn ends (gap from {length(defects.torn_end_from_mm or 0)})"),
    )
    return [(share, things) for share, things in told if share is not None]


def _stage_words(stage: Stage) -> str:
    """What a standard asks otherwise of fries of one stage."""
    spread = [] if stage.spread_steps_at_most is None else [f"spread at most {stage.spread_steps_at_most:g} steps"]
    shares = {
        "off colour": stage.out_of_target_at_most,
        "dark ends": stage.dark_end_share_at_most,
        "spotted": stage.spotted_share_at_most,
    }
    told = [f"at most {percent(share)} {things}" for things, share in shares.items() if share is not None]
    surface = [stage.surface] if stage.surface else []
    return ", ".join([f"target {stage.target_from:g} to {stage.target_to:g}", *surface, *spread, *told])
