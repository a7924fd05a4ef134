"""The dossier: one PDF for people, with all that the sealed file holds for machines."""

from grader.evidence.dossier.behind import (
    draw_custody,
    draw_doubt,
    draw_keys,
    draw_limits_of_it,
    draw_method,
    draw_pairs,
    draw_sampling,
)
from grader.evidence.dossier.limits import draw_claim, finding
from grader.evidence.dossier.paper import GREEN, GREY, RED, Paper
from grader.evidence.dossier.plates import draw_plates
from grader.evidence.dossier.strips import draw_histograms, draw_strips
from grader.evidence.keys import PublicKey
from grader.evidence.model import Case
from grader.evidence.what_may_be_claimed import Claimable, claimable

__all__ = ["draw_dossier"]


def draw_dossier(case: Case, key: PublicKey) -> bytes:
    """The PDF of a case; the same case gives the same bytes."""
    told = claimable(case)
    paper = Paper(title=f"Dossier: {case.about}", foot=f"{case.about} · {_made(case)}", made_at=case.made_at)
    _draw_face(paper, case, told)
    draw_claim(paper, case, told)
    draw_strips(paper, case)
    draw_histograms(paper, case)
    draw_plates(paper, case)
    draw_sampling(paper, case)
    draw_method(paper, case, told)
    draw_pairs(paper, case)
    draw_doubt(paper, case)
    draw_custody(paper, case)
    draw_limits_of_it(paper, case, told)
    draw_keys(paper, case, key)
    return bytes(paper.output())


def _made(case: Case) -> str:
    return f"made {case.made_at:%Y-%m-%d %H:%M} UTC by {case.made_by}"


def _draw_face(paper: Paper, case: Case, told: Claimable) -> None:
    """What it is of, what it may claim, what it found, what its maker says."""
    paper.title_line(case.about)
    paper.paragraph(f"Dossier on fry quality, {_made(case)}", colour=GREY)
    if case.invented:
        paper.boxed("Invented: an example. This house, its supplier and this lot do not exist.", GREY)
    words, colour = finding(told)
    paper.boxed(words, colour)
    paper.boxed(told.face, GREEN if told.colour else RED)
    paper.paragraph(told.colour_words)
    if told.standing is not None:
        paper.paragraph(f"Length: {told.standing.length.value}. {told.standing.length_reason}")
    judged = sum(1 for plate in case.plates if not plate.graded.refused)
    refused = len(case.plates) - judged
    paper.paragraph(
        f"{len(case.plates)} plates" + (f", {refused} of them could not be judged" if refused else "") + ". Asked as a "
        "claim, which is proof of fault beyond doubt, and not as a release."
    )
    paper.paragraph("What the maker says:", bold=True)
    paper.paragraph(case.statement or "Nothing besides.")
