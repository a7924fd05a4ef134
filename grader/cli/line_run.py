"""What the commands about the fry line do with what they are told."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from grader.errors import GraderError
from grader.line.causes import (
    SYMPTOMS,
    Ranking,
    facts_of,
    load_causes,
    rank_causes,
    seen_by_eye,
    seen_in,
)
from grader.line.house_notes import NOTES, HouseNotes, read_notes
from grader.line.sheet import LineSheet, read_sheet, told_fields
from grader.records.database import House, Setting
from grader.records.database.line_history import causes_of_kitchen
from grader.records.database.line_sheets import (
    BatchOnLine,
    KeptSheet,
    batch_for,
    batch_on_line,
    judged_limits,
    keep_sheet,
    kept_batch,
    last_sheet,
    sheet_of,
    usual_sheet,
)
from grader.records.judged_batches import limits_of_batch


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The line sheet and the notes beside it."""

    sheet: LineSheet
    notes: HouseNotes


def read_told(pairs: Iterable[str]) -> Told:
    """Fields of the sheet and notes from FIELD=VALUE.

    Raises
    ------
    GraderError
        One isn't written so, isn't known, or can't be.
    """
    told = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise GraderError(f"{pair} is no FIELD=VALUE.", hint='Write --told "finish_c=182".')
        told[name.strip()] = value.strip()
    return Told(
        sheet=read_sheet({name: value for name, value in told.items() if name not in NOTES}),
        notes=read_notes({name: value for name, value in told.items() if name in NOTES}),
    )


def check_source(number: int | None, results: Path | None, batch: str) -> None:
    """What is wrong is told of one batch: of the records, or of results.

    Raises
    ------
    GraderError
        Both are named, or a batch of no results.
    """
    if number is not None and results is not None:
        hint = "Leave one of them out."
        raise GraderError("--id names a batch of the records, and --results those of a run.", hint=hint)
    if batch and results is None:
        raise GraderError("--batch names one of the results' batches.", hint="Give --results too, or --id alone.")


def rank_told(words: Sequence[str], told: Told, *, results: Path | None, batch: str = "") -> Ranking:
    """Causes of what a person says is wrong, or of what results show; a person's word counts before a verdict.

    Raises
    ------
    GraderError
        A word that isn't known, nothing wrong, or results that can't be read.
    """
    _check_words(words)
    if results is None:
        seen = seen_by_eye(words)
    else:
        seen = seen_in(*limits_of_batch(results, batch)) | dict.fromkeys(words, True)
    return rank_causes(load_causes(), facts_of(seen, told.sheet, told.notes))


def rank_kept(house: House, batch_id: int, words: Sequence[str], told: Told) -> Ranking:
    """The same of a batch in the records: its verdict unless a person says what is wrong, its sheet, what is usual.

    Raises
    ------
    GraderError
        A word that isn't known, no such batch, or no verdict on it and no word of what is wrong.
    """
    _check_words(words)
    here = batch_on_line(house, batch_id)
    kept = sheet_of(house, batch_id)
    seen = seen_by_eye(words) if words else seen_in(*judged_limits(house, batch_id))
    usual = usual_sheet(house, here.kitchen, fryer=here.fryer, but=batch_id)
    both = joined(kept.sheet, kept.notes, told)
    causes = causes_of_kitchen(house, here.kitchen, but=batch_id)
    return rank_causes(causes, facts_of(seen, both.sheet, both.notes, usual))


def joined(sheet: LineSheet, notes: HouseNotes, told: Told) -> Told:
    """What is told now, on top of what was told before."""
    return Told(
        sheet=read_sheet(told_fields(sheet) | told_fields(told.sheet)),
        notes=read_notes(asdict(notes) | {name: one for name, one in asdict(told.notes).items() if one is not None}),
    )


def check_named(number: int | None, setting: Setting | None, name: str | None) -> None:
    """A batch is named by its number, or by where it was fried and what it is called.

    Raises
    ------
    GraderError
        Neither or both are given.
    """
    if (number is None) == (setting is None):
        hint = "Give --id, or --kitchen and what else tells it from others."
        raise GraderError("Which batch is meant?", hint=hint)
    if number is not None and name is not None:
        raise GraderError("--id names the batch already, and --batch one again.", hint="Leave one of them out.")


def batch_named(house: House, number: int | None, setting: Setting | None, *, adds: bool) -> BatchOnLine:
    """The batch by its number, or by where it was fried, today if the setting names no day.

    Raises
    ------
    GraderError
        There is none, and none is added.
    """
    if setting is not None:
        find = batch_for if adds else kept_batch
        number = find(house, setting, now=datetime.now(UTC))
    return batch_on_line(house, int(number or 0))


def tell_sheet(
    house: House, here: BatchOnLine, told: Told, *, same: bool, found: str, by: str
) -> tuple[BatchOnLine, KeptSheet, LineSheet | None]:
    """Keep what is told of a batch; gives the batch, all that is kept of it, and what is usual at its fryer.

    Raises
    ------
    GraderError
        It can't be kept.
    """
    before = sheet_of(house, here.batch_id)
    if same:
        last = last_sheet(house, here.kitchen, fryer=here.fryer)
        told = joined(last, HouseNotes(), joined(before.sheet, before.notes, told))
    if told != Told(sheet=LineSheet(), notes=HouseNotes()) or found:
        before = keep_sheet(house, here.batch_id, told.sheet, told.notes, cause_found=found, by=by)
    return here, before, usual_sheet(house, here.kitchen, fryer=here.fryer, but=here.batch_id)


def _check_words(words: Sequence[str]) -> None:
    unknown = [word for word in words if word not in SYMPTOMS]
    if unknown:
        raise GraderError(f"{', '.join(unknown)}: no such word.", hint=f"Words: {', '.join(SYMPTOMS)}.")
