"""Photos of a folder that are kept already: which of them were withdrawn, and which are kept as of elsewhere."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select

from grader.counted import counted
from grader.records.database.house import House
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Shift, Station
from grader.records.database.newest import overtaken, thing_id
from grader.records.database.plate_tables import Batch, Plate
from grader.records.database.setting import Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPhotos:
    """How many of the photos are of plates that were withdrawn, themselves or with their batch; what else to say.

    `batches` are those in which their plates are now, by their ids.
    """

    withdrawn: int
    notes: tuple[str, ...]
    batches: tuple[int, ...]


def known_photos(house: House, hashes: Sequence[str], setting: Setting) -> KnownPhotos:
    """What is to be told of those of these photos that are kept.

    A plate stays where it was kept first: where the setting says otherwise of it, that is told and not kept.

    Raises
    ------
    RecordsUnusable
        The database can't be asked.
    """
    asked = (
        select(
            (Plate.withdrawn | Batch.withdrawn).label("withdrawn"),
            thing_id(Batch).label("batch"),
            Kitchen.name.label("kitchen"),
            Station.name.label("station"),
            Fryer.name.label("fryer"),
            Shift.name.label("shift"),
            Lot.number.label("lot"),
        )
        .select_from(Plate)
        .join(Batch, (thing_id(Batch) == Plate.batch_id) & ~overtaken(Batch))
        .join(Kitchen, (thing_id(Kitchen) == Batch.kitchen_id) & ~overtaken(Kitchen))
        .outerjoin(Station, (thing_id(Station) == Batch.station_id) & ~overtaken(Station))
        .outerjoin(Fryer, (thing_id(Fryer) == Batch.fryer_id) & ~overtaken(Fryer))
        .outerjoin(Shift, (thing_id(Shift) == Batch.shift_id) & ~overtaken(Shift))
        .outerjoin(Lot, (thing_id(Lot) == Batch.lot_id) & ~overtaken(Lot))
        .where(Plate.photo_sha256.in_(hashes), ~overtaken(Plate))
        .order_by(thing_id(Batch))
    )
    with house.reading() as connection:
        rows = [dict(row) for row in connection.execute(asked).mappings()]
    told = {
        "kitchen": setting.kitchen,
        "station": setting.station,
        "fryer": setting.fryer,
        "shift": setting.shift,
        "lot": "" if setting.lot is None else setting.lot.number,
    }
    otherwise = Counter[tuple[int, str]]()
    for row in rows:
        differ = [what for what, words in told.items() if words not in {"", row[what]}]
        if differ:
            said = "; ".join(f"{what} {row[what] or 'not told'}, not {told[what]}" for what in differ)
            otherwise[row["batch"], said] += 1
    return KnownPhotos(
        withdrawn=sum(bool(row["withdrawn"]) for row in rows),
        notes=tuple(
            f"{counted(count, 'plate')} of batch {batch} stay as they are kept: {said}. "
            f"If that is wrong: python -m grader records correct batch {batch}"
            for (batch, said), count in otherwise.items()
        ),
        batches=tuple(dict.fromkeys(row["batch"] for row in rows)),
    )
