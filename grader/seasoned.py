"""A plate that was seasoned or dressed: lengths and shapes as measured, everything that rests on colour withheld.

Salt glints, pepper and herbs pass for spots, sauce for browning: what a photo shows of such fries isn't their colour.
"""

from collections.abc import Sequence
from dataclasses import replace

from grader.decision import judge_plate
from grader.decision.judging import without_colour
from grader.decision.model import Verdict
from grader.fries.model import Fry
from grader.grading import GradedPhoto, judge_photos
from grader.standard.model import Standard


def withhold_colour(graded: GradedPhoto, standard: Standard) -> GradedPhoto:
    """The same photo with no fry's colour, dark end or spots, judged by what is left; a refused one as it is."""
    if graded.plate is None:
        return graded
    fries = tuple(_colourless(fry) for fry in graded.plate.fries)
    return replace(
        graded,
        plate=replace(graded.plate, fries=fries),
        verdict=None if graded.verdict is None else without_colour(judge_plate(fries, standard), standard),
    )


def judge_some_seasoned(photos: Sequence[GradedPhoto], standard: Standard, *, seasoned: bool) -> Verdict | None:
    """The verdict on a batch; where any of its plates was seasoned, on what does not rest on colour."""
    verdict = judge_photos(photos, standard)
    return without_colour(verdict, standard) if seasoned and verdict is not None else verdict


def _colourless(fry: Fry) -> Fry:
    return replace(
        fry,
        colour=None,
        body_lab=None,
        end_labs=None,
        spread_de=None,
        dark_end_mm=None,
        dark_end_dl=None,
        spots_mm=(),
    )
