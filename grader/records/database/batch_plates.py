"""What is asked of one batch, and of the lots that were fried: for a page that shows plates side by side."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import exists, func, select
from sqlalchemy.orm import aliased

from grader.records.database.house import House
from grader.records.database.house_tables import Lot, Supplier
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Batch, Grading, Plate


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchPlate:
    """One plate of a batch by its newest grading."""

    plate_id: int
    photo_sha256: str
    taken_at: datetime
    outcome: str
    fries: int
    place_mean: float | None
    length_mean_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LotLine:
    """A lot, whose it is, and how many batches were fried of it."""

    supplier: str
    number: str
    variety: str
    received: date | None
    batches: int


def plates_of_batch(house: House, batch_id: int) -> tuple[BatchPlate, ...]:
    """The plates of one batch, in the order in which they were taken."""
    later = aliased(Grading)
    asked = (
        select(
            thing_id(Plate),
            Plate.photo_sha256,
            Plate.taken_at,
            Grading.outcome,
            Grading.fries,
            Grading.place_mean,
            Grading.length_mean_mm,
        )
        .join(Grading, Grading.plate_id == thing_id(Plate))
        .where(newest(Plate), Plate.batch_id == batch_id)
        .where(~exists().where(later.plate_id == Grading.plate_id, later.id > Grading.id))
        .order_by(Plate.taken_at, Plate.id)
    )
    with house.reading() as connection:
        return tuple(
            BatchPlate(
                plate_id=plate,
                photo_sha256=photo,
                taken_at=at,
                outcome=outcome,
                fries=fries,
                place_mean=place,
                length_mean_mm=length,
            )
            for plate, photo, at, outcome, fries, place, length in connection.execute(asked)
        )


def lots(house: House, *, at_most: int = 200) -> tuple[LotLine, ...]:
    """The lots that came last, with how many batches were fried of each."""
    counted = select(Batch.lot_id, func.count().label("batches")).where(newest(Batch)).group_by(Batch.lot_id).subquery()
    asked = (
        select(Supplier.name, Lot.number, Lot.variety, Lot.received, func.coalesce(counted.c.batches, 0))
        .select_from(Lot)
        .join(Supplier, (thing_id(Supplier) == Lot.supplier_id) & newest(Supplier))
        .outerjoin(counted, counted.c.lot_id == thing_id(Lot))
        .where(newest(Lot))
        .order_by(thing_id(Lot).desc())
        .limit(at_most)
    )
    with house.reading() as connection:
        return tuple(
            LotLine(supplier=supplier, number=number, variety=variety, received=received, batches=batches)
            for supplier, number, variety, received, batches in connection.execute(asked)
        )
