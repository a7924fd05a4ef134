"""A trueness study made from the folder of its kit: every photo graded as one of fries would be, then compared."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
from rich.progress import Progress as Bars

from grader.card import load_layouts
from grader.card_values import CardValues, KnownValues
from grader.cli.grade_run import grade_file
from grader.drawing import draw_plate, picture_jpeg
from grader.errors import GraderError
from grader.grading import METHOD_VERSION, GradedPhoto, Progress
from grader.records.naming import PICTURE
from grader.records.whole_files import write_whole
from grader.standard.model import Standard
from grader.trueness import (
    Kit,
    KitSize,
    PlannedPhoto,
    SeenPhoto,
    Study,
    compare_photo,
    make_study,
    plan_kit,
    write_study,
)
from grader.trueness.guide import photo_path
from grader.trueness.kit_files import ReadKit, write_kit
from grader.trueness.tables import table_text
from grader.trueness.worksheet import worksheet_html

STUDY, DIFFERENCES, PICTURES, WORKSHEET = "study.json", "differences.csv", "graded", "worksheet.html"
_COLUMNS = ("piece", "photo", "light", "place", "raised_mm", "quantity", "read", "read_u", "known", "known_u")

OnPhoto = Callable[[PlannedPhoto], Progress]
"""Called as a photo's turn comes; gives what to tell of its progress."""


class KitUnfinishedError(GraderError, ValueError):
    """Something of the kit is not filled in yet."""


class NoPhotoUsableError(GraderError, ValueError):
    """Not one photo of the kit counts."""


class NoSuchSheetError(GraderError, ValueError):
    """The program knows no such card or mat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRun:
    """A study, and what there is to say of single photos: which were refused or could not be used, and why."""

    study: Study
    said: tuple[tuple[str, str], ...]


def write_plan(folder: Path, size: KitSize, *, sheet: str, lights: Sequence[str], rng: np.random.Generator) -> Kit:
    """Plan a kit and write its files and its worksheet into a folder.

    Raises
    ------
    NoSuchSheetError, PlanImpossibleError
        There is no such sheet; the study would say nothing.
    OSError
        It can't be written, or a kit is there already.
    """
    kinds = {layout.key: layout.kind for layout in load_layouts() if layout.qr is not None}
    if sheet not in kinds:
        raise NoSuchSheetError(
            f"There is no sheet called {sheet} that carries a serial.", hint=f"Choose one of: {', '.join(kinds)}."
        )
    on_mat = kinds[sheet] == "mat"  # what lies on a mat lies at the mat's own height
    kit = plan_kit(replace(size, raised_mm=0.0) if on_mat else size, sheet=sheet, lights=lights, rng=rng)
    write_kit(folder, kit)
    write_whole(folder / WORKSHEET, worksheet_html(kit).encode())
    return kit


def run_with_bar(folder: Path, read: ReadKit, *, standard: Standard, known: KnownValues, console: Console) -> StudyRun:
    """`run_study` with a bar over all photos; nothing is drawn where the console is no terminal."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Bars(*columns, console=console, transient=True, disable=not console.is_terminal) as bars:
        whole = bars.add_task("", total=len(read.kit.photos))
        turns = {photo.name: turn for turn, photo in enumerate(read.kit.photos)}

        def on_photo(planned: PlannedPhoto) -> Progress:
            def tell(share: float, doing: str) -> None:
                bars.update(whole, completed=turns[planned.name] + share, description=f"{planned.name}: {doing}")

            return tell

        return run_study(folder, read, standard=standard, known=known, on_photo=on_photo)


def run_study(
    folder: Path, read: ReadKit, *, standard: Standard, known: KnownValues, on_photo: OnPhoto | None = None
) -> StudyRun:
    """Grade the photos of a kit, compare them with what is known, and write what came out into the kit's folder.

    Parameters
    ----------
    folder, read
        The kit.
    standard
        The house's, for the cut and the plate's height.
    known
        The values of the house's print runs, and the day of the study.
    on_photo
        Called as the work goes on.

    Raises
    ------
    KitUnfinishedError
        Something is not filled in yet.
    NoPhotoUsableError, TooFewReadingsError
        So little could be read that nothing can be said.
    OSError
        The results can't be written.
    """
    if read.missing:
        raise KitUnfinishedError(
            f"The kit lacks {len(read.missing)} thing(s), first {read.missing[0]}.",
            hint=f"See what is to be done: python -m grader trueness next {folder}.",
        )
    kit, said = read.kit, list[tuple[str, str]]()
    seen: list[SeenPhoto] = []
    values: CardValues | None = None
    for planned in kit.photos:
        path = photo_path(folder, planned)
        if path is None:
            said.append((planned.name, "There is no such photo."))
            continue
        progress = None if on_photo is None else on_photo(planned)
        graded = grade_file(path, standard=_of_kit(standard, planned), known=known, progress=progress)
        _write_picture(folder / PICTURES, planned, graded, standard)
        words = _unusable(kit, graded, values)
        if words:
            said.append((planned.name, words))
            continue
        values = graded.values
        seen.append(_compared(kit, planned, graded, standard))
        said += [(planned.name, words) for words in _said(seen[-1])]
    if values is None:
        raise NoPhotoUsableError("No photo of the kit could be used.", hint=_why(said))
    study = make_study(kit, seen, values=values, made_on=known.on, method_version=METHOD_VERSION)
    write_whole(folder / DIFFERENCES, differences_csv(seen))
    write_whole(folder / STUDY, write_study(study))
    return StudyRun(study=study, said=tuple(said))


def _of_kit(standard: Standard, planned: PlannedPhoto) -> Standard:
    """The house's standard for a kit's pieces: matt, and so much higher, as the method is told of any plate."""
    height_mm = standard.plate_height_above_card_mm + planned.raised_mm
    return replace(standard, surface="matt", plate_height_above_card_mm=height_mm)


def _unusable(kit: Kit, graded: GradedPhoto, values: CardValues | None) -> str:
    """Why a graded photo can't count for the study, given the card's colours in the photos before; empty where it can.

    A study holds for one print run in one set of colours, so every photo must show that it is of them.
    """
    if graded.refused or graded.sheet is None:
        return " ".join(f"{reason.message} {reason.hint}" for reason in graded.reasons)
    if graded.sheet.layout.key != kit.sheet:
        return f"The sheet in it is {graded.sheet.layout.key}, not {kit.sheet}."
    return _other_card(kit, graded, values)


def _other_card(kit: Kit, graded: GradedPhoto, values: CardValues | None) -> str:
    if graded.serial is None:
        return "The card's serial can't be read: come nearer, keep its square code free and sharp."
    if graded.serial.run != kit.print_run:
        return f"The card in it is {graded.serial}, of another print run than {kit.print_run}."
    if graded.values is None:
        return (
            "The colours of the card's print run are not kept here, or the card is not as they say: keep its values"
            " first (python -m grader card-values --help)."
        )
    if values is not None and (graded.values.method, graded.values.measured_on) != (values.method, values.measured_on):
        return "It was graded with other colours of the card than the photos before it."
    return ""


def _compared(kit: Kit, planned: PlannedPhoto, graded: GradedPhoto, standard: Standard) -> SeenPhoto:
    if graded.plate is None or graded.sheet is None:
        raise AssertionError(planned.name)  # such a photo is not usable
    height_mm = _of_kit(standard, planned).plate_height_above_card_mm if graded.sheet.layout.kind == "card" else 0.0
    return compare_photo(planned, kit.pieces, graded.plate, graded.sheet, height_mm=height_mm, sha256=graded.sha256)


def _said(one: SeenPhoto) -> Iterable[str]:
    if one.unclear is not None:
        yield str(one.unclear)
    elif one.not_met:
        yield f"Not found or not told apart: {', '.join(one.not_met)}."


def _why(said: Sequence[tuple[str, str]]) -> str:
    """The first photo's reason: the others mostly lack the same."""
    return f"{said[0][0]}: {said[0][1]}" if said else "Take the photos that the worksheet names."


def _write_picture(folder: Path, planned: PlannedPhoto, graded: GradedPhoto, standard: Standard) -> None:
    picture = draw_plate(graded, standard)
    if picture is not None:
        folder.mkdir(exist_ok=True)
        write_whole(folder / f"{planned.name}{PICTURE}", picture_jpeg(picture))


def differences_csv(seen: Iterable[SeenPhoto]) -> bytes:
    """Every comparison as CSV, UTF-8 with the byte order mark that spreadsheets want."""
    rows = [
        (
            one.piece,
            one.photo,
            one.light,
            one.place,
            f"{one.raised_mm:g}",
            one.quantity,
            f"{one.read.value:.4f}",
            f"{one.read.u:.4f}",
            f"{one.known.value:.4f}",
            f"{one.known.u:.4f}",
        )
        for photo in seen
        for one in photo.compared
    ]
    return table_text(_COLUMNS, rows).encode("utf-8-sig")
