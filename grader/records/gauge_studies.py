"""A study of the method as a folder: its plan and house standard, written once, and what was read, only ever added to.

A photo that is taken again is a new line of the record; the newest line of a photo counts, the others stay.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.added_lines import add_line, whole_lines
from grader.consistency.gauge.model import Condition, Layout
from grader.consistency.gauge.plan import MOST_PHOTOS, Keeps, StudyPhoto, StudyPlan
from grader.consistency.gauge.plate_values import LEAST_FRIES, plate_values
from grader.consistency.quantities import QuantityKey
from grader.errors import DocumentFaulty, Fault, GraderError, dotted
from grader.grading import GradedPhoto
from grader.new_files import write_new
from grader.places import home_folder
from grader.records.standards import standard_from_file
from grader.standard import at_stage, write_standard
from grader.standard.model import StageName, Standard

FOLDER = "gauge-studies"
PLAN, STANDARD, READ = "study.json", "standard.toml", "read.jsonl"
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,39}")
_HINT = "Restore the file as it was written, or plan the study anew."

_Word = Annotated[str, Field(max_length=80)]


class NoSuchStudyError(GraderError, ValueError):
    """There is no study of that name, or one is there already, or the name can't be a folder's."""


class _Photo(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)
    number: Annotated[int, Field(ge=1, le=MOST_PHOTOS)]
    plate: _Word
    person: _Word
    phone: _Word
    light: _Word
    turn: Annotated[int, Field(ge=0)]


class _Plan(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)
    format_version: Literal[1]
    planned_on: date
    stage: StageName
    layout: Layout
    keeps: Keeps
    people: tuple[_Word, ...]
    phones: tuple[_Word, ...]
    lights: tuple[_Word, ...]
    plates: Annotated[int, Field(ge=2)]
    repeats: Annotated[int, Field(ge=1)]
    photos: Annotated[tuple[_Photo, ...], Field(min_length=1, max_length=MOST_PHOTOS)]


class ReadLine(BaseModel):
    """What one photo came to: its number in the plan, the file, when it was read, by which method, and the means."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    number: Annotated[int, Field(ge=1, le=MOST_PHOTOS)]
    file: str
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    at: datetime
    method_version: str
    means: Mapping[QuantityKey, Annotated[float, Field(allow_inf_nan=False)]]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptStudy:
    """A study as it lies in its folder: `lines` are all that were ever read, in their order."""

    folder: Path
    planned_on: date
    plan: StudyPlan
    standard: Standard
    lines: tuple[ReadLine, ...]

    @property
    def newest(self) -> dict[int, ReadLine]:
        """The line that counts of each photo that was read."""
        return {line.number: line for line in self.lines}

    @property
    def missing(self) -> tuple[StudyPhoto, ...]:
        """The photos that nobody has read yet, in their drawn order."""
        read = self.newest
        return tuple(photo for photo in self.plan.photos if photo.number not in read)

    @property
    def means(self) -> dict[int, Mapping[QuantityKey, float]]:
        """What counts of each photo."""
        return {number: line.means for number, line in self.newest.items()}


def studies_folder() -> Path:
    """Where the page keeps its studies; it need not exist yet."""
    return home_folder() / FOLDER


def study_names() -> tuple[str, ...]:
    """The studies that the page keeps, the newest folder first."""
    found = [path.parent for path in studies_folder().glob(f"*/{PLAN}")]
    return tuple(path.name for path in sorted(found, key=lambda path: (-path.stat().st_mtime, path.name)))


def named_folder(name: str) -> Path:
    """The folder of a study of the page by its name.

    Raises
    ------
    NoSuchStudyError
        The name can't be a folder's.
    """
    if not _NAME.fullmatch(name):
        raise NoSuchStudyError(
            f'"{name}" can\'t be the name of a study.',
            hint="Give letters, digits, spaces and dashes, 40 at most, a letter or digit first.",
        )
    return studies_folder() / name


def begin_study(folder: Path, plan: StudyPlan, *, standard: Standard, on: date) -> KeptStudy:
    """Write a plan into a folder, which is made where it isn't there; the standard goes beside it.

    Raises
    ------
    NoSuchStudyError
        A study is there already, or another standard where this one's is to lie.
    OSError
        It can't be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    photos = tuple(
        _Photo(
            number=photo.number,
            plate=photo.plate,
            person=photo.condition.person,
            phone=photo.condition.phone,
            light=photo.condition.light,
            turn=photo.turn,
        )
        for photo in plan.photos
    )
    document = _Plan(
        format_version=1,
        planned_on=on,
        stage=standard.stage,
        layout=plan.layout,
        keeps=plan.keeps,
        people=plan.people,
        phones=plan.phones,
        lights=plan.lights,
        plates=plan.plates,
        repeats=plan.repeats,
        photos=photos,
    )
    text = json.dumps(document.model_dump(mode="json"), ensure_ascii=False, indent=1)
    try:
        _write_standard(folder / STANDARD, write_standard(standard.as_read))
        write_new(folder / PLAN, f"{text}\n")
    except FileExistsError as error:
        if not (folder / PLAN).exists():
            hint = "Move it away, or give this one another folder."
            raise NoSuchStudyError(f"{folder / STANDARD} is of no study, or of another standard.", hint=hint) from error
        raise NoSuchStudyError(
            f"There is a study in {folder} already.", hint="Give this one another name, or go on with that one."
        ) from error
    return KeptStudy(folder=folder, planned_on=on, plan=plan, standard=standard, lines=())


def _write_standard(file: Path, text: str) -> None:
    """Unless one who was cut short before the plan has left the very same."""
    if not (file.is_file() and file.read_bytes() == text.encode()):
        write_new(file, text)


def read_study(folder: Path) -> KeptStudy:
    """A study from its folder.

    Raises
    ------
    NoSuchStudyError
        There is none.
    DocumentFaulty
        What lies there isn't as it was written.
    """
    if not (folder / PLAN).is_file():
        raise NoSuchStudyError(
            f"{folder} holds no study of the method.",
            hint="Plan one: python -m grader consistency gauge plan --help tells how.",
        )
    try:
        document = _Plan.model_validate_json((folder / PLAN).read_text(encoding="utf-8"))
    except (ValidationError, UnicodeDecodeError) as error:
        raise DocumentFaulty(str(folder / PLAN), _faults(error, None), hint=_HINT) from error
    whole = standard_from_file(folder / STANDARD)
    return KeptStudy(
        folder=folder,
        planned_on=document.planned_on,
        plan=_plan(document),
        standard=at_stage(whole, document.stage),
        lines=_lines(folder / READ),
    )


def _plan(document: _Plan) -> StudyPlan:
    photos = tuple(
        StudyPhoto(
            number=photo.number,
            plate=photo.plate,
            condition=Condition(person=photo.person, phone=photo.phone, light=photo.light),
            turn=photo.turn,
        )
        for photo in document.photos
    )
    return StudyPlan(
        layout=document.layout,
        keeps=document.keeps,
        people=document.people,
        phones=document.phones,
        lights=document.lights,
        plates=document.plates,
        repeats=document.repeats,
        photos=photos,
    )


def _lines(path: Path) -> tuple[ReadLine, ...]:
    """All lines, as `added_lines` reads them; with every faulty one told."""
    lines: list[ReadLine] = []
    faults: list[Fault] = []
    for number, text in enumerate(whole_lines(path), 1):
        try:
            lines.append(ReadLine.model_validate_json(text))
        except ValidationError as error:
            faults += _faults(error, number)
    if faults:
        raise DocumentFaulty(str(path), tuple(faults), hint="Take the line out, and take that photo again.")
    return tuple(lines)


def _faults(error: ValidationError | UnicodeDecodeError, line: int | None) -> tuple[Fault, ...]:
    if isinstance(error, UnicodeDecodeError):
        return (Fault(line=line, field="the file", message="is no UTF-8 text"),)
    return tuple(
        Fault(line=line, field=dotted(one["loc"]) or "the whole", message=one["msg"]) for one in error.errors()
    )


def line_of(study: KeptStudy, number: int, graded: GradedPhoto, *, at: datetime) -> ReadLine:
    """What a graded photo came to, as photo `number` of a study.

    Raises
    ------
    GraderError
        The photo was refused, or too few of its fries can be measured.
    """
    if graded.plate is None:
        first = graded.reasons[0]
        raise GraderError(f"Photo {number} ({graded.name}) can't be used. {first.message}", hint=first.hint)
    means = plate_values(graded.plate.fries, study.standard)
    if not means:
        raise GraderError(
            f"Photo {number} ({graded.name}) shows fewer than {LEAST_FRIES} fries that can be measured.",
            hint="Lay the fries apart, all of them in the picture, and take it again.",
        )
    return ReadLine(
        number=number,
        file=graded.name,
        sha256=graded.sha256,
        at=at,
        method_version=graded.method_version,
        means=means,
    )


def add_reading(study: KeptStudy, line: ReadLine) -> KeptStudy:
    """Add what a photo came to, and give the study with it.

    Raises
    ------
    GraderError
        The same photo counts for another number already, or the plan has no such number.
    OSError
        It can't be written.
    """
    if line.number not in {photo.number for photo in study.plan.photos}:
        raise GraderError(f"The plan has no photo {line.number}.", hint="See the drawn order.")
    for number, other in study.newest.items():
        if other.sha256 == line.sha256 and number != line.number:
            raise GraderError(
                f"{line.file} was given as photo {number} already: it can't be photo {line.number} too.",
                hint="Take the plate up, lay it anew, and photograph it once more.",
            )
    add_line(study.folder / READ, json.dumps(line.model_dump(mode="json"), ensure_ascii=False))
    return KeptStudy(
        folder=study.folder,
        planned_on=study.planned_on,
        plan=study.plan,
        standard=study.standard,
        lines=(*study.lines, line),
    )
