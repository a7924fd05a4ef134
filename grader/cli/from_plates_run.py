"""A standard made from the photos of plates that the house has named: each graded, a scale proposed, the text made."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
from rich.progress import Progress as Bars

from grader.card_values import KnownValues
from grader.cli.grade_run import grade_file
from grader.cli.step_folders import StepFolders
from grader.errors import GraderError
from grader.grading import METHOD_VERSION, GradedPhoto, Progress
from grader.records.guarded import without_pixels
from grader.scale_fit import ScaleProposal, StepPlate, standard_with_scale, step_plate
from grader.standard import read_standard, write_standard
from grader.standard.model import Standard
from grader.trueness import ColourLevel, Standing, Study, weakest

OnPhoto = Callable[[Path], Progress]
"""Called as a photo's turn comes; gives what to tell of its progress."""


class ScaleUnfitError(GraderError, ValueError):
    """A standard can't hold the scale that came out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlatesRun:
    """The plates that count, what there is to say of single photos, and what their colours may claim."""

    plates: tuple[StepPlate, ...]
    said: tuple[tuple[str, str], ...]
    standing: Standing | None


def run_with_bar(
    folders: StepFolders, *, standard: Standard, known: KnownValues, studies: Sequence[Study], console: Console
) -> PlatesRun:
    """`grade_plates` with a bar over all photos; nothing is drawn where the console is no terminal."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Bars(*columns, console=console, transient=True, disable=not console.is_terminal) as bars:
        whole = bars.add_task("", total=len(folders.photos))
        turns = {path: turn for turn, (_, path) in enumerate(folders.photos)}

        def on_photo(path: Path) -> Progress:
            def tell(share: float, doing: str) -> None:
                bars.update(whole, completed=turns[path] + share, description=f"{path.name}: {doing}")

            return tell

        return grade_plates(folders, standard=standard, known=known, studies=studies, on_photo=on_photo)


def grade_plates(
    folders: StepFolders,
    *,
    standard: Standard,
    known: KnownValues,
    studies: Sequence[Study],
    on_photo: OnPhoto | None = None,
) -> PlatesRun:
    """Grade every photo and keep its fries' colours; one that can't be judged is left out, and why is said."""
    plates: list[StepPlate] = []
    said: list[tuple[str, str]] = []
    counted: list[GradedPhoto] = []
    for step, path in folders.photos:
        name = f"{step}/{path.name}"
        progress = None if on_photo is None else on_photo(path)
        graded = grade_file(path, standard=standard, known=known, studies=studies, progress=progress)
        said += [(name, f"{one.message} {one.hint}") for one in graded.reasons if graded.refused or not one.quiet]
        if graded.plate is None:
            continue
        plate = step_plate(graded.plate.fries, name=name, step=step, standard=standard)
        if plate is None:
            said.append((name, "Left out: too few fries with a colour were found on it."))
            continue
        plates.append(plate)
        counted.append(without_pixels(graded))
    standing = weakest(graded.standing for graded in counted)
    return PlatesRun(plates=tuple(plates), said=(*said, *_of_cards(counted, standing)), standing=standing)


def _of_cards(counted: Sequence[GradedPhoto], standing: Standing | None) -> Iterator[tuple[str, str]]:
    """Steps photographed beside different cards that nobody measured differ by what the cards differ as well."""
    cards = {(one.sheet.layout.name, one.serial and one.serial.run) for one in counted if one.sheet is not None}
    if len(cards) > 1 and standing is not None and standing.colour is ColourLevel.TREND_ONLY:
        which = ", ".join(sorted(name if run is None else f"{name} of print run {run}" for name, run in cards))
        words = f"They lie beside different cards, not all of them measured ({which}): steps may differ by the cards."
        yield "All plates", f"{words} Photograph all beside the same card, or have the print runs measured."


def standard_text(earlier: Standard, run: PlatesRun, proposal: ScaleProposal, *, name: str, version: str) -> str:
    """The TOML text of the earlier standard with the proposed scale, read back and found without fault.

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
    note = _note(earlier, run, proposal)
    text = write_standard(standard_with_scale(earlier, proposal.scale, name=name, version=version, note=note))
    read_standard(text, name="The new standard")
    return text


def _note(earlier: Standard, run: PlatesRun, proposal: ScaleProposal) -> str:
    counts = Counter(plate.step for plate in run.plates)
    plates = ", ".join(f"{counts[step.name]} {step.name}" for step in proposal.scale.steps)
    claim = "" if run.standing is None else f" Colour, {run.standing.level}: {run.standing.colour_reason}"
    return (
        f"Scale made from plates ({plates}) by method {METHOD_VERSION}; of plates held out one at a time "
        f"{proposal.confusion.right} of {proposal.confusion.plates} were put on their own step.{claim} "
        f"Cut, defects and limits from {earlier.name}, version {earlier.version}."
        f"{_left_out(earlier)}"
    )


def _left_out(earlier: Standard) -> str:
    if not earlier.stages:
        return ""
    names = " and ".join(stage.name for stage in earlier.stages)
    return f" Its limits for {names} fries were left out: their targets are places on the earlier scale."
