"""Plates that the records keep, as evidence wants them: of a whole lot, or of a batch without a lot."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, select
from sqlalchemy.orm import aliased

from grader.evidence.chain import tag_of
from grader.records.database.house import House
from grader.records.database.house_tables import Kitchen, Lot, Person, Supplier
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import (
    Batch,
    Grading,
    GradingRecord,
    HouseStandard,
    Photo,
    PhotoForgotten,
    Plate,
)
from grader.records.json_values import Json


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedPlate:
    """One plate as it was kept.

    Attributes
    ----------
    camera
        When its camera says that it was taken, UTC; None where the file said nothing.
    kept_at
        When the records kept it: its arrival.
    mends
        What was mended by hand, in words.
    forgotten
        Its bytes were deleted by the house's own rule.
    """

    plate_id: int
    batch_id: int
    photo_sha256: str
    bytes: int
    name: str
    batch: str
    day: date
    kitchen: str
    zone: str
    supplier: str
    lot: str
    by: str
    camera: datetime | None
    kept_at: datetime
    standard_text: str
    stage: str
    mends: tuple[str, ...]
    forgotten: bool

    @property
    def tag(self) -> str:
        """What links about its lot bear; of its batch, where it is of no lot."""
        if self.lot:
            return tag_of(self.supplier, self.lot)
        return tag_of(self.kitchen, f"{self.day.isoformat()} {self.batch}")

    @property
    def about(self) -> str:
        """Its lot, or its batch, in words."""
        if self.lot:
            return f"Lot {self.lot} of {self.supplier}"
        return f"Batch {self.batch} of {self.day.isoformat()}, {self.kitchen}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choosable:
    """A lot, or a batch without one, that can be sealed, and how many plates it has."""

    tag: str
    about: str
    plates: int


def choosable(house: House) -> tuple[Choosable, ...]:
    """All of them, that with the newest plate first."""
    found: dict[str, list[RecordedPlate]] = {}
    for plate in recorded_plates(house):
        found.setdefault(plate.tag, []).append(plate)
    newest_first = sorted(found.items(), key=lambda one: max(plate.plate_id for plate in one[1]), reverse=True)
    return tuple(Choosable(tag=tag, about=of[0].about, plates=len(of)) for tag, of in newest_first)


def recorded_plates(
    house: House, *, tag: str = "", after: int = 0, batches: Iterable[int] | None = None
) -> tuple[RecordedPlate, ...]:
    """Plates in the order in which they were kept; what is empty or None doesn't narrow.

    Parameters
    ----------
    tag
        Of a lot or batch.
    after
        Only plates that were kept later than the one of this id.
    batches
        By their ids.
    """
    with house.reading() as connection:
        asked = _asked()
        if batches is not None:
            asked = asked.where(thing_id(Batch).in_(list(batches)))
        if after:
            asked = asked.where(thing_id(Plate) > after)
        plates = tuple(_plate(connection, row) for row in connection.execute(asked).all())
    return tuple(plate for plate in plates if not tag or plate.tag == tag)


def _asked() -> Select[*tuple[Any, ...]]:
    """Each plate once, by its newest grading."""
    later = aliased(Grading)
    overtaken = select(later.id).where(later.plate_id == Grading.plate_id, later.id > Grading.id).exists()
    return (
        select(
            thing_id(Plate).label("plate_id"),
            thing_id(Batch).label("batch_id"),
            Plate.photo_sha256,
            Plate.taken_at,
            Plate.taken_from,
            Plate.zone,
            Photo.name,
            Photo.bytes,
            Photo.kept_at,
            Batch.name.label("batch"),
            Batch.day,
            Kitchen.name.label("kitchen"),
            Lot.number.label("lot"),
            Supplier.name.label("supplier"),
            Person.initials,
            HouseStandard.text.label("standard_text"),
            Grading.stage,
            Grading.id.label("grading_id"),
            Grading.mended,
            PhotoForgotten.at.label("forgotten_at"),
        )
        .select_from(Plate)
        .join(Photo, Photo.sha256 == Plate.photo_sha256)
        .join(Batch, (thing_id(Batch) == Plate.batch_id) & newest(Batch))
        .join(Kitchen, (thing_id(Kitchen) == Batch.kitchen_id) & newest(Kitchen))
        .join(Grading, (Grading.plate_id == thing_id(Plate)) & ~overtaken)
        .join(HouseStandard, HouseStandard.id == Grading.standard_id)
        .outerjoin(Lot, (thing_id(Lot) == Batch.lot_id) & newest(Lot))
        .outerjoin(Supplier, (thing_id(Supplier) == Lot.supplier_id) & newest(Supplier))
        .outerjoin(Person, Person.id == Plate.by_id)
        .outerjoin(PhotoForgotten, PhotoForgotten.sha256 == Photo.sha256)
        .where(newest(Plate))
        .order_by(thing_id(Plate))
    )


def _plate(connection: Connection, row: Row[*tuple[Any, ...]]) -> RecordedPlate:
    return RecordedPlate(
        plate_id=row.plate_id,
        batch_id=row.batch_id,
        photo_sha256=row.photo_sha256,
        bytes=row.bytes,
        name=row.name,
        batch=row.batch,
        day=row.day,
        kitchen=row.kitchen,
        zone=row.zone,
        supplier=row.supplier or "",
        lot=row.lot or "",
        by=row.initials or "",
        camera=row.taken_at if row.taken_from == "photo" else None,
        kept_at=row.kept_at,
        standard_text=row.standard_text,
        stage=row.stage,
        mends=_mends(connection, row.grading_id) if row.mended else (),
        forgotten=row.forgotten_at is not None,
    )


def _mends(connection: Connection, grading_id: int) -> tuple[str, ...]:
    asked = select(GradingRecord.record).where(GradingRecord.grading_id == grading_id)
    mending: Json = (connection.scalars(asked).one() or {}).get("mending") or {}
    return tuple(_words(mend) for mend in mending.get("mends", []))


def _words(mend: Json) -> str:
    """As `records.mends` keeps it."""
    told = mend.get("words") or mend.get("kind", "mended")
    return f"{told}, by {mend.get('by', '')} on {str(mend.get('at', ''))[:10]}"
