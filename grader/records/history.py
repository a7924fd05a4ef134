"""What earlier runs left on disk, read again: the plates that tell how far plates of a batch differ."""

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from grader.decision import Question, Terms
from grader.decision.history import PastPlate, plates_apart
from grader.errors import GraderError
from grader.records.json_values import NOT_AS_WRITTEN, Json
from grader.records.naming import READINGS, SUMMARY
from grader.records.readings import standard_record
from grader.standard.model import FINISHED, Standard

_HINT = "Give folders into which `grade` wrote its results, all by the standard that judges now."


def terms_asked(question: Question, folders: Sequence[Path], *, standard: Standard) -> Terms:
    """What a batch is to be judged on, given the results of earlier runs.

    Raises
    ------
    GraderError
        A folder holds no results, or results by another standard; or a claim was to rest on more than its own plates.
    """
    if not folders:
        return Terms(question=question)
    if question is Question.CLAIM:
        raise GraderError(
            "A claim rests on the lot's own plates alone, so earlier runs can't be taken in.",
            hint="Leave --history out.",
        )
    return Terms(question=question, apart=plates_apart(past_plates(folders, standard=standard)))


def past_plates(folders: Sequence[Path], *, standard: Standard) -> list[PastPlate]:
    """All plates that earlier runs measured, each photo once, however often it was graded.

    Raises
    ------
    GraderError
        With everything that is wrong with the folders.
    """
    once: dict[str, PastPlate] = {}
    wrong: list[str] = []
    for folder in folders:
        try:
            once |= dict(_of_run(folder, standard))
        except GraderError as error:
            wrong.append(error.message)
        except NOT_AS_WRITTEN as error:
            wrong.append(f"{folder} can't be read as results of a run ({type(error).__name__}: {error}).")
    if wrong:
        raise GraderError("\n".join(wrong), hint=_HINT)
    return list(once.values())


def _of_run(folder: Path, standard: Standard) -> Iterator[tuple[str, PastPlate]]:
    for batch, record in measured_records(folder, standard):
        yield record["sha256"], _plate(f"{folder} {batch}", record)


def check_holds_results(folder: Path, *, hint: str) -> None:
    """Refuse a folder into which no run wrote.

    Raises
    ------
    GraderError
        With this hint.
    """
    if not (folder / SUMMARY).is_file():
        raise GraderError(f"{folder} holds no results of a run.", hint=hint)


def measured_records(folder: Path, standard: Standard) -> Iterator[tuple[str, Json]]:
    """The batch and the readings of each photo that a run measured, if it was judged by `standard`.

    Raises
    ------
    GraderError
        The folder holds no results, or it was judged by another standard, or at another stage.
    OSError and others of `NOT_AS_WRITTEN`
        The results aren't as `grade` wrote them.
    """
    check_holds_results(folder, hint=_HINT)
    summary = json.loads((folder / SUMMARY).read_text(encoding="utf-8"))
    then, now = summary["standard"], standard_record(standard)
    if (then["name"], then["version"]) != (now["name"], now["version"]):
        judged_by = f"{then['name']}, version {then['version']}"
        raise GraderError(f"{folder} was judged by {judged_by}, on another scale than {standard.name}.", hint=_HINT)
    if then.get("sha256", now["sha256"]) != now["sha256"]:  # results of earlier editions of this program have none
        told = "was judged by a standard of the same name and version, but of other values"
        raise GraderError(f"{folder} {told}.", hint=_HINT)
    if then.get("stage", FINISHED) != now["stage"]:
        raise GraderError(f"{folder} holds {then.get('stage', FINISHED)} fries, not {now['stage']} ones.", hint=_HINT)
    for batch in summary["batches"]:
        for photo in batch["photos"]:
            if photo["status"] == "measured":
                record = json.loads((folder / f"{photo['name']}{READINGS}").read_text(encoding="utf-8"))
                yield batch["name"], record


def _plate(batch: str, record: Json) -> PastPlate:
    places = [fry["scale_place"] for fry in record["fries"] if fry["scale_place"] is not None and not fry["off_scale"]]
    limits = record["verdict"]["limits"]
    return PastPlate(
        batch=batch,
        places=np.array(places, float),
        shares={
            limit["key"]: (limit["measured"], limit["counted"])
            for limit in limits
            if limit["unit"] == "share" and limit["measured"] is not None
        },
    )
