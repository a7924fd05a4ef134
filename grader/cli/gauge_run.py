"""A study of the method from a folder of its own: planned, its photos read as they come, what they say told."""

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from grader.cli.grade_run import grade_file
from grader.consistency.gauge.anova import StudyUnfinishedError
from grader.consistency.gauge.mean_squares import Component
from grader.consistency.gauge.model import varied
from grader.consistency.gauge.plan import StudyPlan
from grader.consistency.gauge.study import StudyResult, planned_result
from grader.consistency.gauge.words import missing_words, result_lines
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.errors import GraderError
from grader.records.gauge_studies import KeptStudy, add_reading, line_of
from grader.records.house import known_today
from grader.records.json_values import Json, number
from grader.records.naming import PHOTO_SUFFIXES
from grader.records.whole_files import write_whole

PHOTOS, SCHEDULE = "photos", "schedule.csv"


def file_stem(photo: int) -> str:
    """What the file of a photo is called, before its ending."""
    return f"{photo:03}"


def write_schedule(folder: Path, plan: StudyPlan) -> Path:
    """The drawn order as a table to print, and an empty folder for the photos."""
    (folder / PHOTOS).mkdir(exist_ok=True)
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(("photo", "plate", "person", "phone", "light", "file"))
    for photo in plan.photos:
        where = photo.condition
        writer.writerow(
            (photo.number, photo.plate, where.person, where.phone, where.light, f"{file_stem(photo.number)}.jpg")
        )
    write_whole(folder / SCHEDULE, text.getvalue().encode("utf-8-sig"))
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which quantities are asked about, and the range that the readings of one are held against, where not its own."""

    quantities: Sequence[QuantityKey]
    tolerance: float | None


def results(study: KeptStudy, asked: Asked) -> Mapping[QuantityKey, StudyResult | StudyUnfinishedError]:
    """What a study says of each quantity; where it can't say anything yet, why not."""
    scale = study.standard.scale
    told: dict[QuantityKey, StudyResult | StudyUnfinishedError] = {}
    for key in asked.quantities:
        own = scale.target_to - scale.target_from if key == "place" else None
        try:
            told[key] = planned_result(
                study.plan, study.values, quantity=key, tolerance=own if asked.tolerance is None else asked.tolerance
            )
        except StudyUnfinishedError as error:
            told[key] = error
    return told


def study_lines(study: KeptStudy, told: Mapping[QuantityKey, StudyResult | StudyUnfinishedError]) -> Iterator[str]:
    """A study in words: what is missing, then quantity by quantity."""
    yield missing_words(study.missing, len(study.plan.photos))
    factors = varied(tuple({photo.condition for photo in study.plan.photos}))
    for key, result in told.items():
        yield ""
        if isinstance(result, StudyUnfinishedError):
            yield f"{QUANTITIES[key].title}: can't be told yet. {result}"
        else:
            yield from result_lines(result, varied=factors)


def study_record(study: KeptStudy, told: Mapping[QuantityKey, StudyResult | StudyUnfinishedError]) -> Json:
    """A study ready for JSON."""
    return {
        "planned_on": study.planned_on.isoformat(),
        "layout": study.plan.layout,
        "keeps": study.plan.keeps,
        "photos": len(study.plan.photos),
        "missing": [photo.number for photo in study.missing],
        "quantities": {
            key: {"unfinished": str(result)} if isinstance(result, StudyUnfinishedError) else _result(result)
            for key, result in told.items()
        },
    }


def _result(result: StudyResult) -> Json:
    anova, drift = result.anova, result.drift
    return {
        "unit": result.quantity.unit,
        "tolerance": number(result.tolerance),
        "percent_tolerance": number(result.percent_tolerance),
        "percent_study": number(result.percent_study),
        "grades": result.grades,
        "fitness": result.fitness.value,
        "plates": result.plates,
        "left_out": list(result.left_out),
        "interaction_pooled": anova.pooled,
        "sd": {
            "repeatability": _sd(anova.repeatability),
            "conditions": _sd(anova.conditions),
            **{str(factor): _sd(component) for factor, component in anova.by_factor.items()},
            "interaction": None if anova.interaction is None else _sd(anova.interaction),
            "reproducibility": _sd(anova.reproducibility),
            "method": _sd(anova.method),
            "plates": _sd(anova.plates),
        },
        "anova": [
            {
                "source": line.name,
                "squares": number(line.squares),
                "freedom": line.freedom,
                "f": number(line.f),
                "probability": number(line.probability),
            }
            for line in anova.table
        ],
        "drift_per_photo": None
        if drift is None
        else {"value": number(drift.per_photo), "low": number(drift.low), "high": number(drift.high)},
    }


def _sd(component: Component) -> Json:
    return {"value": number(component.sd), "low": number(component.low**0.5), "high": number(component.high**0.5)}
