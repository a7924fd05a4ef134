"""The plates with their fries outlined: the photos are in the bundle, these pictures say what was found where."""

from grader.evidence.custody import clock_words
from grader.evidence.dossier.paper import SMALL_PT, Paper
from grader.evidence.model import Case, CasePlate

_TALL_MM = 118.0
"""Two plates go onto a page."""
_WIDE_MM, _WIDE_PX = 92.0, 1100


def draw_plates(paper: Paper, case: Case) -> None:
    """One after the other."""
    paper.heading("The plates", room_mm=140)
    paper.paragraph(
        "Each fry has its number (as in the readings), its length in mm, and letters that the legend explains. No "
        "plate is judged by itself: what is claimed, is claimed of all together."
    )
    for turn, plate in enumerate(case.plates, 1):
        _draw_plate(paper, turn, plate)


def _draw_plate(paper: Paper, turn: int, plate: CasePlate) -> None:
    graded = plate.graded
    paper.keep_together(_TALL_MM if plate.looked.picture else 25)
    paper.paragraph(f"Plate {turn}: {graded.name}, {plate.batch}, {plate.kitchen}", bold=True)
    if plate.looked.picture:
        paper.picture(plate.looked.picture, width_mm=_WIDE_MM, widest_px=_WIDE_PX)
    fries = 0 if graded.plate is None else len(graded.plate.fries)
    serial = "no serial could be read" if graded.serial is None else f"card {graded.serial}"
    told = f"SHA-256 of the photo: {graded.sha256}. {fries} fries, {serial}. {clock_words(plate.clocks)}"
    paper.paragraph(told, points=SMALL_PT)
    for reason in graded.reasons:
        if graded.refused or not reason.quiet:
            paper.paragraph(f"{'Refused' if graded.refused else 'Doubtful'}: {reason.message}", points=SMALL_PT)
