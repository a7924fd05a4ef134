"""Plates that the house named, gathered from graded photos; the standard that a scale made of them gives."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from grader.errors import GraderError
from grader.grading import METHOD_VERSION, GradedPhoto
from grader.records.guarded import without_pixels
from grader.scale_fit import ScaleProposal, StepPlate, standard_with_scale, step_plate
from grader.standard import read_standard, write_standard
from grader.standard.model import Standard
from grader.trueness import ColourLevel, Standing, weakest

ALL_PLATES = "All plates"
"""Whose words are said that are about no single one."""


class ScaleUnfitError(GraderError, ValueError):
    """A standard can't hold the scale that came out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StepPlates:
    """The plates that count, what there is to say of single photos, and what their colours may claim."""

    plates: tuple[StepPlate, ...]
    said: tuple[tuple[str, str], ...]
    standing: Standing | None


def gather_plates(graded: Iterable[tuple[str, str, GradedPhoto]], *, standard: Standard) -> StepPlates:
    """Keep the colours of fries on graded photos, each with its name and its step; why one is left out is said."""
    plates: list[StepPlate] = []
    said: list[tuple[str, str]] = []
    counted: list[GradedPhoto] = []
    for name, step, photo in graded:
        said += [(name, f"{one.message} {one.hint}") for one in photo.reasons if photo.refused or not one.quiet]
        if photo.plate is None:
            continue
        plate = step_plate(photo.plate.fries, name=name, step=step, standard=standard)
        if plate is None:
            said.append((name, "Left out: too few fries with a colour were found on it."))
            continue
        plates.append(plate)
        counted.append(without_pixels(photo))
    standing = weakest(photo.standing for photo in counted)
    return StepPlates(plates=tuple(plates), said=(*said, *_of_cards(counted, standing)), standing=standing)


def _of_cards(counted: Sequence[GradedPhoto], standing: Standing | None) -> Iterator[tuple[str, str]]:
    """Steps photographed beside different cards that nobody measured differ by what the cards differ as well."""
    cards = {(one.sheet.layout.name, one.serial and one.serial.run) for one in counted if one.sheet is not None}
    if len(cards) > 1 and standing is not None and standing.colour is ColourLevel.TREND_ONLY:
        which = ", ".join(sorted(name if run is None else f"{name} of print run {run}" for name, run in cards))
        words = f"They lie beside different cards, not all of them measured ({which}): steps may differ by the cards."
        yield ALL_PLATES, f"{words} Photograph all beside the same card, or have the print runs measured."


def standard_of_plates(
    earlier: Standard, plates: StepPlates, proposal: ScaleProposal, *, name: str, version: str
) -> Standard:
    """The earlier standard with the proposed scale, read back and found without fault.

    Raises
    ------
    ScaleUnfitError
        The scale has steps that no standard can hold.
    DocumentFaulty
        Anything else that a standard can't hold, such as a name that is too long.
    """
    unfit = [one.message for one in proposal.warnings if one.refuses]
    if unfit:
        raise ScaleUnfitError("No standard can hold this scale, and none was written.", hint=" ".join(unfit))
    note = _note(earlier, plates, proposal)
    made = standard_with_scale(earlier, proposal.scale, name=name, version=version, note=note)
    return read_standard(write_standard(made), name="The new standard")


def _note(earlier: Standard, plates: StepPlates, proposal: ScaleProposal) -> str:
    counts = Counter(plate.step for plate in plates.plates)
    told = ", ".join(f"{counts[step.name]} {step.name}" for step in proposal.scale.steps)
    claim = "" if plates.standing is None else f" Colour, {plates.standing.level}: {plates.standing.colour_reason}"
    return (
        f"Scale made from plates ({told}) by method {METHOD_VERSION}; of plates held out one at a time "
        f"{proposal.confusion.right} of {proposal.confusion.plates} were put on their own step.{claim} "
        f"Cut, defects and limits from {earlier.name}, version {earlier.version}."
        f"{_left_out(earlier)}"
    )


def _left_out(earlier: Standard) -> str:
    if not earlier.stages:
        return ""
    names = " and ".join(stage.name for stage in earlier.stages)
    return f" Its limits for {names} fries were left out: their targets are places on the earlier scale."
