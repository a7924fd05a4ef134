"""Plates that an earlier method graded, graded anew by this one; what the earlier one found stays beside it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import cast

from sqlalchemy import Connection, select

from grader.grading import METHOD_VERSION
from grader.records.database.house import House
from grader.records.database.house_tables import Kitchen
from grader.records.database.importing import Grade, Imported, PhotoToImport, import_batch
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Batch, Grading, HouseStandard, Photo, PhotoForgotten, Plate
from grader.records.database.setting import Setting
from grader.standard import at_stage, read_standard
from grader.standard.model import StageName, Standard

GradeBy = Callable[[Standard], Grade]
"""Gives what grades by a standard."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Old:
    """A batch, by which standard and at which stage it was graded, and its photos; which were mended or forgotten."""

    batch: str
    kitchen: str
    standard: Standard
    photos: tuple[PhotoToImport, ...]
    mended: tuple[str, ...]
    forgotten: tuple[str, ...]


def regrade(house: House, *, grade_by: GradeBy, by: str) -> Iterator[Imported]:
    """Grade every batch anew that this method hasn't graded by the standard that judged it; tells of each.

    Nothing is told of a batch of which nothing is new and nothing went wrong.

    Mends aren't carried over, because a newer method may number fries otherwise: such plates are named.
    """
    for old in list(_old_batches(house)):
        setting = Setting(kitchen=old.kitchen, batch=old.batch, by=by)
        done = import_batch(house, old.photos, grade=grade_by(old.standard), standard=old.standard, setting=setting)
        lost = [(name, "Its bytes were forgotten, so it stays as it was graded.") for name in old.forgotten]
        again = [(name, "It had been mended by hand; look at it again.") for name in old.mended]
        if done.new or done.problems:
            yield Imported(
                name=done.name,
                new=done.new,
                known=done.known,
                problems=(*done.problems, *lost, *again),
                outcome=done.outcome,
            )


def _old_batches(house: House) -> Iterator[_Old]:
    """Batches with a plate that an earlier method graded by some standard at some stage; but for withdrawn ones."""
    with house.reading() as connection:
        texts = dict(connection.execute(select(HouseStandard.id, HouseStandard.text)).all())
        asked = (
            select(Plate.batch_id, Grading.standard_id, Grading.stage)
            .join(Grading, Grading.plate_id == thing_id(Plate))
            .join(Batch, (thing_id(Batch) == Plate.batch_id) & newest(Batch))
            .join(Kitchen, (thing_id(Kitchen) == Batch.kitchen_id) & newest(Kitchen))
            .where(newest(Plate), Grading.method_version != METHOD_VERSION)
            .distinct()
            .order_by(Plate.batch_id, Grading.standard_id, Grading.stage)
        )
        for batch_id, standard_id, stage in connection.execute(asked).all():
            standard = at_stage(read_standard(texts[standard_id], name="The kept standard"), cast("StageName", stage))
            yield _old_batch(house, connection, batch_id, standard_id, standard)


def _old_batch(house: House, connection: Connection, batch_id: int, standard_id: int, standard: Standard) -> _Old:
    name, kitchen = connection.execute(
        select(Batch.name, Kitchen.name)
        .join(Kitchen, thing_id(Kitchen) == Batch.kitchen_id)
        .where(thing_id(Batch) == batch_id, newest(Batch), newest(Kitchen))
    ).one()
    asked = (
        select(Photo.name, Photo.sha256, PhotoForgotten.at, Grading.mended)
        .join(Plate, Plate.photo_sha256 == Photo.sha256)
        .join(Grading, Grading.plate_id == thing_id(Plate))
        .outerjoin(PhotoForgotten, PhotoForgotten.sha256 == Photo.sha256)
        .where(newest(Plate), Plate.batch_id == batch_id, Grading.standard_id == standard_id)
        .where(Grading.stage == standard.stage)
        .order_by(thing_id(Plate))
    )
    rows = connection.execute(asked).all()
    there = {row.sha256: row.name for row in rows if row.at is None}
    return _Old(
        batch=name,
        kitchen=kitchen,
        standard=standard,
        photos=tuple(
            PhotoToImport(name=photo, sha256=sha256, read=partial(house.photos.get, sha256))
            for sha256, photo in there.items()
        ),
        mended=tuple(dict.fromkeys(row.name for row in rows if row.mended)),
        forgotten=tuple(dict.fromkeys(row.name for row in rows if row.at is not None)),
    )
