"""A study as a JSON document: read with all its faults at once, written so that nothing is lost, never overwritten.

A file's name tells print run, sheet, day and turn on that day: K7Q2X.card-a6.2026-11-20.01.json.
"""

import errno
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

from pydantic import ConfigDict, TypeAdapter, ValidationError, with_config

from grader.errors import DocumentFaulty, Fault, dotted
from grader.new_files import write_new
from grader.places import home_folder
from grader.trueness.accepted import MOST_MONTHS
from grader.trueness.agreement import Agreement
from grader.trueness.study import FORMAT_VERSION, Study

FOLDER = "trueness-studies"
_OF_ONE_DAY_AT_MOST = 99
_HINT = "Restore the file as the study wrote it, or do the study again."


def studies_folder() -> Path:
    """Where the studies are kept on this machine."""
    return home_folder() / FOLDER


@cache
def _adapter() -> TypeAdapter[Study]:
    return TypeAdapter(with_config(ConfigDict(extra="forbid", allow_inf_nan=False))(Study))


def write_study(study: Study) -> bytes:
    """The study as JSON, UTF-8; `read_study` gives the same study back."""
    return _adapter().dump_json(study, indent=1) + b"\n"


def read_study(data: bytes, *, name: str) -> Study:
    """A study from the bytes of its document; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the document.
    """
    try:
        study = _adapter().validate_json(data)
    except ValidationError as error:
        faults = tuple(
            Fault(line=None, field=dotted(one["loc"]) or "the file", message=one["msg"]) for one in error.errors()
        )
        raise DocumentFaulty(name, faults, hint=_HINT) from error
    faults = tuple(_contradictions(study))
    if faults:
        raise DocumentFaulty(name, faults, hint=_HINT)
    return study


def load_studies(folder: Path) -> tuple[Study, ...]:
    """All studies in a folder, by print run, sheet and day; none where there is no such folder.

    Raises
    ------
    DocumentFaulty
        With every fault of the first file that has any: a study left out in silence would change what results claim.
    OSError
        A file can't be read.
    """
    return tuple(read_study(path.read_bytes(), name=str(path)) for path in sorted(folder.glob("*.json")))


def keep_study(folder: Path, study: Study) -> Path:
    """Write a study into a folder, which is made where it isn't there, as a file of its own; gives its path.

    Raises
    ------
    OSError
        It can't be written; no half file is left behind, which would keep every other study from being read.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for turn in range(1, _OF_ONE_DAY_AT_MOST + 1):
        path = folder / f"{study.print_run}.{study.sheet}.{study.made_on.isoformat()}.{turn:02}.json"
        if not path.exists():
            write_new(path, write_study(study).decode())
            return path
    raise FileExistsError(errno.EEXIST, "There are too many studies of that day", str(path))


def _contradictions(study: Study) -> Iterator[Fault]:
    """What is in itself impossible, or would let a study count for longer or for more than it is worth."""
    if study.format_version != FORMAT_VERSION:
        yield _fault("format_version", f"is {study.format_version}; this program reads {FORMAT_VERSION}")
    if study.expires_on < study.made_on:
        yield _fault("expires_on", "lies before the day of the study")
    if _months(study.made_on, study.expires_on) > MOST_MONTHS:
        yield _fault("expires_on", f"lies more than {MOST_MONTHS} months after the day of the study")
    for field in ("by", "sheet", "print_run", "method_version"):
        if not getattr(study, field).strip():
            yield _fault(field, "is blank")
    if not study.lights:
        yield _fault("lights", "names no light")
    for place, agreement in enumerate(study.agreements):
        yield from _impossible(agreement, place, study.lights)
    for field in ("length_bias_mm", "length_single_mm", "width_bias_mm", "width_single_mm"):
        if getattr(study.limits, field) <= 0:
            yield _fault(f"limits.{field}", "must be above 0")


def _impossible(agreement: Agreement, place: int, lights: tuple[str, ...]) -> Iterator[Fault]:
    for field in ("bias", "lower", "upper"):
        interval = getattr(agreement, field)
        if not interval.low <= interval.value <= interval.high:
            yield _fault(dotted(("agreements", place, field)), "does not lie between its own confidence limits")
    if agreement.lower.value > agreement.upper.value:
        yield _fault(dotted(("agreements", place, "lower")), "lies above the upper limit")
    for field in ("within_u", "within_en"):
        if not 0 <= getattr(agreement, field) <= 1:
            yield _fault(dotted(("agreements", place, field)), "is no share from 0 to 1")
    for field in ("bias_u", "sd", "sd_pieces", "sd_photos", "sd_rest"):
        if getattr(agreement, field) < 0:
            yield _fault(dotted(("agreements", place, field)), "is below 0")
    if agreement.light is not None and agreement.light not in lights:
        yield _fault(dotted(("agreements", place, "light")), "is none of the lights of the study")


def _months(first: date, last: date) -> int:
    """How many months have begun from the first day to the last, which lies in the month that it ends."""
    return (last.year - first.year) * 12 + last.month - first.month + (last.day > first.day)


def _fault(field: str, message: str) -> Fault:
    return Fault(line=None, field=field, message=message)
