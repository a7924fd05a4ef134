"""A graded photo of a basket of a lot test fry, as strips of the test."""

from collections.abc import Sequence

from grader.grading import GradedPhoto
from grader.line.fry_numbers import Chips
from grader.line.laid_strips import LaidError, score_strips
from grader.line.lot_fry import TestStrip
from grader.line.lot_fry_table import Planned
from grader.standard.model import Standard


def strips_of_photo(
    planned: Sequence[Planned], graded: GradedPhoto, *, standard: Standard, chips: Chips | None = None
) -> tuple[TestStrip, ...]:
    """The strips of one basket, in the order of its table; those without a place on the scale are left out.

    Raises
    ------
    LaidError
        The photo could not be judged, or shows more or fewer strips.
    """
    if graded.plate is None or graded.sheet is None:
        first = graded.reasons[0]
        raise LaidError(f"{graded.name} could not be judged: {first.message}", hint=first.hint)
    scored = score_strips(
        graded.plate.fries, graded.sheet.corners_px, planned=len(planned), standard=standard, chips=chips
    )
    return tuple(
        TestStrip(
            lot=one.lot,
            carton=one.carton,
            tuber=one.tuber,
            basket=one.basket,
            place=told.place,
            sugar_end=told.sugar_end,
            number=told.number,
            stem_number=told.stem_number,
        )
        for one, told in zip(planned, scored, strict=True)
        if told.place is not None
    )
