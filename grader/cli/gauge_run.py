"""A study of the method from a folder of its own: planned, its photos read as they come."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from grader.cli.grade_run import grade_file
from grader.consistency.gauge.plan import StudyPlan
from grader.errors import GraderError
from grader.records.gauge_studies import KeptStudy, add_reading, line_of
from grader.records.house import known_today
from grader.records.naming import PHOTO_SUFFIXES
from grader.records.whole_files import write_whole
from grader.trueness.tables import table_text

PHOTOS, SCHEDULE = "photos", "schedule.csv"


def file_stem(photo: int) -> str:
    """What the file of a photo is called, before its ending."""
    return f"{photo:03}"


def write_schedule(folder: Path, plan: StudyPlan) -> Path:
    """The drawn order as a table to print, and an empty folder for the photos."""
    (folder / PHOTOS).mkdir(exist_ok=True)
    drawn = [(one.number, one.plate, one.condition, f"{file_stem(one.number)}.jpg") for one in plan.photos]
    rows = [(number, plate, at.person, at.phone, at.light, file) for number, plate, at, file in drawn]
    columns = ("photo", "plate", "person", "phone", "light", "file")
    write_whole(folder / SCHEDULE, table_text(columns, rows).encode("utf-8-sig"))
    return folder / SCHEDULE


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRun:
    """A study with all that its folder holds now, and what there is to say of photos that could not be read."""

    study: KeptStudy
    said: tuple[str, ...]


def read_new(study: KeptStudy, tell: Callable[[str], None]) -> StudyRun:
    """Read the photos of a study's folder that are new or were taken again; one that can't be used stops no other."""
    known, said = known_today(), list[str]()
    for photo in study.plan.photos:
        path = _photo(study.folder / PHOTOS, photo.number)
        read = study.newest.get(photo.number)
        if path is None or (read is not None and read.sha256 == sha256(path.read_bytes()).hexdigest()):
            continue
        tell(f"{path.name}: photo {photo.number} of {len(study.plan.photos)}")
        graded = grade_file(path, standard=study.standard, known=known)
        try:
            line = line_of(study, photo.number, graded, at=datetime.now().astimezone())
            study = add_reading(study, line)
        except GraderError as error:
            said.append(str(error))
    return StudyRun(study=study, said=tuple(said))


def _photo(folder: Path, photo: int) -> Path | None:
    """The file of a photo, 007.jpg or 7.jpg, whatever its ending; the first by name where there are several."""
    found = [
        path
        for path in sorted(folder.glob("*"))
        if path.suffix.lower() in PHOTO_SUFFIXES and path.stem.isdecimal() and int(path.stem) == photo
    ]
    return found[0] if found else None
