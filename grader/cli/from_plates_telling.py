"""What the command line says of a scale made from plates."""

from collections import Counter

from rich.console import Console
from rich.table import Table

from grader.cli.marked_up import escape
from grader.decision.words import percent
from grader.records.step_plates import StepPlates
from grader.scale_fit import ScaleProposal


def tell_photos(console: Console, run: StepPlates) -> None:
    """What there is to say of single photos."""
    for name, words in run.said:
        console.print(f"{escape(name)}: {escape(words)}")


def tell_proposal(console: Console, run: StepPlates, proposal: ScaleProposal) -> None:
    """Anchors and target, where held-out plates were put, how far neighbours lie apart, and what is doubtful."""
    console.print(_anchors(run, proposal))
    scale, confusion = proposal.scale, proposal.confusion
    console.print(
        f"Target {scale.target_from:g} to {scale.target_to:g}. A colour further than {scale.off_scale_de:g} CIE 2000 "
        "units from the way through the anchors is on no step.\n"
    )
    console.print(_put(proposal))
    console.print(
        f"{confusion.right} of {confusion.plates} plates were put on their own step, each by a scale made without it: "
        f"at least {percent(confusion.right_share_at_least)} of such plates, with 95 % confidence.\n"
    )
    console.print(_neighbours(proposal))
    for one in proposal.warnings:
        console.print(f"[yellow]![/] {escape(one.message)} {escape(one.hint)}")
    if run.standing is not None:
        claim = f"Colour, {run.standing.level}: {run.standing.colour_reason} {run.standing.colour_lift}"
        console.print(escape(claim.rstrip()), style="dim")


def _table(*headings: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(headings[0], overflow="fold")
    for heading in headings[1:]:
        table.add_column(heading, justify="right", overflow="fold")
    return table


def _anchors(run: StepPlates, proposal: ScaleProposal) -> Table:
    table = _table("step", "plates", "fries", "L*", "a*", "b*", "from place", "to place")
    plates = Counter(plate.step for plate in run.plates)
    fries = Counter[str]()
    for plate in run.plates:
        fries[plate.step] += len(plate.lab)
    ends = ["", *(f"{place:g}" for place in proposal.boundaries), ""]
    for index, step in enumerate(proposal.scale.steps):
        lab = (f"{value:.2f}" for value in step.lab)
        counts = (str(plates[step.name]), str(fries[step.name]))
        table.add_row(escape(step.name), *counts, *lab, ends[index], ends[index + 1])
    return table


def _put(proposal: ScaleProposal) -> Table:
    names = [escape(step.name) for step in proposal.scale.steps]
    table = _table("held-out plates of", *(f"put on {name}" for name in names))
    for name, row in zip(names, proposal.confusion.put, strict=True):
        table.add_row(name, *(str(count) for count in row))
    return table


def _neighbours(proposal: ScaleProposal) -> Table:
    table = _table(
        "neighbours", "apart, CIE 2000", "one plate's doubt", "plates' scatter", "wrong by doubt", "with scatter too"
    )
    for pair in proposal.separations:
        table.add_row(
            f"{escape(pair.paler)} | {escape(pair.darker)}",
            f"{pair.apart_de:.1f}",
            f"{pair.method_u * pair.apart_de:.1f}",
            f"{pair.plates_sd * pair.apart_de:.1f}",
            f"{100 * pair.wrong_by_method:.1f} %",
            f"{100 * pair.wrong_with_plates:.1f} %",
        )
    return table
