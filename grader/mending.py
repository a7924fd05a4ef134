"""A graded photo mended by a person: what the mends touch is measured again, the rest stays; judged anew."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from grader.arrays import PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import px_per_mm
from grader.colour import SheetColour
from grader.decision import USUAL, judge_plate
from grader.errors import GraderError
from grader.fries import Fry, Plate
from grader.fries.finding import LEAST_FRY_MM2, TOUCHING_MM, ground_of
from grader.fries.measuring import measure_fries
from grader.fries.mending import MendedLabels, apply_mends
from grader.fries.mends import Mend
from grader.fries.numbered import numbered
from grader.fries.whole_outline import trace_whole_outlines
from grader.grading import GradedPhoto, Mending, laid_by
from grader.standard.model import Standard


def mend_photo(graded: GradedPhoto, mends: Sequence[Mend], *, standard: Standard) -> GradedPhoto:
    """The photo with these mends and no others: those that it may have already are taken back first.

    Parameters
    ----------
    graded
        With its pixels, labels and colours: as `grade_photo` gave it.
    mends
        In the order in which they were made; none gives the photo as it was found.
    standard
        What it was graded by.

    Raises
    ------
    GraderError
        The photo was refused, or its pixels were let go.
    DocumentFaulty
        Mends that contradict the plate or each other, all of them at once.
    """
    found = unmended(graded)
    if not mends:
        return found
    seen = _seen(found)
    mended = apply_mends(seen.plate, mends, least_px=LEAST_FRY_MM2 * px_per_mm(seen.sheet) ** 2)
    no_fries = {one.fry.number: one for one in seen.plate.no_fries}
    found_there = (*seen.plate.fries, *(one.fry for one in seen.plate.no_fries))
    known = {fry.number: fry for fry in (*found_there, *_measured(seen, mended, standard))}
    fries = tuple(known[number] for number in mended.standing)
    return replace(
        found,
        plate=replace(
            seen.plate,
            fries=fries,
            labels=mended.labels,
            no_fries=tuple(one for number, one in no_fries.items() if number in mended.dropped),
        ),
        verdict=judge_plate(fries, standard, USUAL if found.verdict is None else found.verdict.terms),
        mending=Mending(
            mends=tuple(mends),
            plate=seen.plate,
            verdict=found.verdict,
            dropped=tuple(known[number] for number in mended.dropped if number not in no_fries),
        ),
    )


def unmended(graded: GradedPhoto) -> GradedPhoto:
    """The photo as it was found, whatever was mended."""
    if graded.mending is None:
        return graded
    return replace(graded, plate=graded.mending.plate, verdict=graded.mending.verdict, mending=None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """What fries are measured from."""

    pixels: PixelArray
    sheet: FoundSheet
    colour: SheetColour
    plate: Plate


def _seen(found: GradedPhoto) -> _Seen:
    photo, sheet, colour, plate = found.photo, found.sheet, found.colour, found.plate
    if photo is None or sheet is None or colour is None or plate is None:
        raise GraderError(
            f"{found.name} can't be mended: its pixels, or what was found in them, are not at hand.",
            hint="Grade the photo again and mend what comes of it; a refused photo must be taken anew.",
        )
    return _Seen(pixels=photo.pixels, sheet=sheet, colour=colour, plate=plate)


def _measured(seen: _Seen, mended: MendedLabels, standard: Standard) -> tuple[Fry, ...]:
    """The fries that came of mends, measured by what measured the others.

    All that lie on the plate are looked at, because a plate's shine is told by all of them; only what mends made is
    taken. What was dropped still lies there: an end beneath it is hidden as before, and dropping changes no other fry.
    """
    if not mended.fresh:
        return ()
    ground = ground_of(seen.sheet, laid_by(standard), heaped=seen.plate.heaped)
    outlines = trace_whole_outlines(numbered(mended.lying), reach_px=TOUCHING_MM * px_per_mm(seen.sheet))
    fries = measure_fries(seen.pixels, mended.lying, outlines, seen.sheet.camera, seen.colour, ground=ground)
    return tuple(fry for fry in fries if fry.number in mended.fresh)
