"""One graded plate into the records: the photo first, then all rows in one transaction; twice is once."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, insert, select

from grader.decision.model import Verdict
from grader.errors import PhotoUnreadable
from grader.grading import GradedPhoto
from grader.photo.kind import kind_of
from grader.records.database.errors import RecordsRefused
from grader.records.database.figures import NO_FIGURES, PlateFigures, plate_figures
from grader.records.database.fry_rows import fry_rows
from grader.records.database.house import House
from grader.records.database.newest import overtaken, thing_id
from grader.records.database.photos import is_whole
from grader.records.database.plate_tables import (
    REFUSED,
    BatchDecision,
    Fry,
    Grading,
    GradingRecord,
    HouseStandard,
    Photo,
    Plate,
)
from grader.records.database.setting import Setting, Taken, check_setting, taken
from grader.records.database.things import (
    Writer,
    add_once,
    batch_of,
    kitchen_of,
    known_kitchen,
    sign_of,
    writer,
    zone_of_new,
)
from grader.records.json_values import Json
from grader.records.readings import lasting_record, verdict_record
from grader.standard import standard_sha256, write_standard
from grader.standard.model import Standard

_MEDIA = {"JPEG": "image/jpeg", "PNG": "image/png", "TIFF": "image/tiff", "WEBP": "image/webp", "HEIF": "image/heif"}
UNKNOWN_MEDIA = "application/octet-stream"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What the records know a graded plate by; `new` where it wasn't there before."""

    grading_id: int
    plate_id: int
    batch_id: int
    new: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateToKeep:
    """A graded plate, worked out to the last row before the database is asked: its lock is held for milliseconds."""

    graded: GradedPhoto
    standard: Standard
    bytes: int
    media_type: str
    figures: PlateFigures
    record: Json
    fries: list[dict[str, Any]]


def keep_graded(
    house: House,
    graded: GradedPhoto,
    data: bytes,
    *,
    standard: Standard,
    setting: Setting,
    file_at: datetime | None = None,
) -> Kept:
    """Keep a graded photo: what it shows, what was decided, where it comes from. When this returns, it lasts.

    A photo that was graded by the same method, standard, stage, question and card values, with the same mends, is kept
    already: nothing is added then. A plate stays in the batch in which it was kept first.

    Parameters
    ----------
    graded, standard
        As `grade_photo` gave it, and by what; without its pixels the time that its camera told is lost.
    data
        The photo's bytes.
    file_at
        When the file was last changed, for a photo whose camera told no time.

    Raises
    ------
    RecordsRefused
        The setting says too little, or contradicts what is kept; or these aren't the graded photo's bytes.
    RecordsUnusable
        The database can't be written.
    OSError
        The photo can't be stored.
    """
    return keep_plate(house, plate_to_keep(graded, data, standard=standard), data, setting=setting, file_at=file_at)


def keep_plate(
    house: House, plate: PlateToKeep, data: bytes, *, setting: Setting, file_at: datetime | None = None
) -> Kept:
    """The same for a plate that was worked out before, as by a worker in another process."""
    check_setting(setting)
    graded = plate.graded
    if not is_whole(graded.sha256, data):
        hint = "Nothing was kept. Report this, please."
        raise RecordsRefused(f"The bytes of {graded.name} aren't those that were graded.", hint=hint)
    house.photos.put(graded.sha256, data)
    return house.write(lambda connection: _keep(connection, plate, setting, file_at))


def check_kitchen(house: House, setting: Setting) -> None:
    """Tell what speaks against a setting before hours of grading, not after; its kitchen is added with its first plate.

    Raises
    ------
    RecordsRefused
        The setting says too little, or contradicts what is kept.
    RecordsUnusable
        The database can't be asked.
    """
    check_setting(setting)
    with house.reading() as connection:
        if known_kitchen(connection, setting) is None:
            zone_of_new(connection, setting)


def know_kitchen(house: House, setting: Setting) -> None:
    """Add a setting's kitchen if it is new, before its first plate.

    Raises
    ------
    RecordsRefused
        The setting says too little, or contradicts what is kept.
    RecordsUnusable
        The database can't be written.
    """
    check_setting(setting)
    house.write(lambda connection: kitchen_of(writer(connection, now=datetime.now(UTC), by=setting.by), setting))


def plate_to_keep(graded: GradedPhoto, data: bytes, *, standard: Standard) -> PlateToKeep:
    """All that is computed from a graded photo before it is kept."""
    fries = () if graded.plate is None else graded.plate.fries
    return PlateToKeep(
        graded=graded,
        standard=standard,
        bytes=len(data),
        media_type=media_type(data),
        figures=plate_figures(fries, standard, graded.verdict) if fries else NO_FIGURES,
        record=lasting_record(graded, standard=standard),
        fries=fry_rows(graded, standard),
    )


def media_type(data: bytes) -> str:
    """What kind of picture the bytes are, as the web names it."""
    try:
        return _MEDIA[kind_of(data)]
    except PhotoUnreadable:
        return UNKNOWN_MEDIA


def _keep(connection: Connection, plate: PlateToKeep, setting: Setting, file_at: datetime | None) -> Kept:
    now = datetime.now(UTC)
    write = writer(connection, now=now, by=setting.by)
    kitchen_id, zone = kitchen_of(write, setting)
    told = None if plate.graded.photo is None else plate.graded.photo.taken_at
    when = taken(told, zone, file_at=file_at, now=now)
    plate_id, batch_id = _plate_of(write, plate, setting, kitchen_id, zone=zone, when=when)
    standard_id = standard_of(write, plate.standard)
    values = _card_values(plate.graded)
    sign = _grading_sign(plate, values=values)
    row = _grading_row(write, plate, plate_id, standard_id, values)
    new = add_once(connection, Grading, {**row, "sign": sign})
    grading_id = connection.scalars(select(Grading.id).where(Grading.sign == sign)).one()
    if new:
        connection.execute(insert(GradingRecord), {"grading_id": grading_id, "record": plate.record})
        if plate.fries:
            connection.execute(insert(Fry), [{"grading_id": grading_id, **row} for row in plate.fries])
    return Kept(grading_id=grading_id, plate_id=plate_id, batch_id=batch_id, new=new)


def _plate_of(
    write: Writer, plate: PlateToKeep, setting: Setting, kitchen_id: int, *, zone: ZoneInfo, when: Taken
) -> tuple[int, int]:
    """The plate and its batch: those that the photo has already, else new ones."""
    sha256 = plate.graded.sha256
    known = plate_of_photo(write.connection, sha256)
    if known is not None:
        return known
    day = setting.day or when.at.astimezone(zone).date()
    batch_id = batch_of(write, setting, kitchen_id=kitchen_id, day=day)
    photo = {"sha256": sha256, "bytes": plate.bytes, "media_type": plate.media_type, "name": plate.graded.name}
    add_once(write.connection, Photo, {**photo, "kept_at": write.now})
    row = {"batch_id": batch_id, "photo_sha256": sha256, "taken_at": when.at, "taken_from": when.source}
    add_once(write.connection, Plate, {**write.signed, **row, "zone": zone.key})
    return plate_of_photo(write.connection, sha256) or _lost(sha256)


def _lost(sha256: str) -> tuple[int, int]:
    raise RuntimeError(f"the plate of photo {sha256} was added and isn't there")


def plate_of_photo(connection: Connection, sha256: str) -> tuple[int, int] | None:
    """The plate of a photo and the batch that it is in, corrections counted; None where it isn't kept."""
    wanted = select(thing_id(Plate), Plate.batch_id).where(Plate.photo_sha256 == sha256, ~overtaken(Plate))
    row = connection.execute(wanted).first()
    return None if row is None else (row[0], row[1])


def standard_of(write: Writer, standard: Standard) -> int:
    """The id of a standard, by the hash of its values."""
    sha256 = standard_sha256(standard)
    wanted = select(HouseStandard.id).where(HouseStandard.sha256 == sha256)
    found = write.connection.scalar(wanted)
    if found is None:
        row = {"name": standard.name, "version": standard.version, "text": write_standard(standard)}
        add_once(write.connection, HouseStandard, {**row, "sha256": sha256, "kept_at": write.now})
        found = write.connection.scalars(wanted).one()
    return found


def _grading_sign(plate: PlateToKeep, *, values: str) -> str:
    graded, record = plate.graded, plate.record
    return sign_of(
        {
            "photo": graded.sha256,
            "method": graded.method_version,
            "standard": standard_sha256(plate.standard),
            "stage": plate.standard.stage,
            "terms": record["verdict"] and record["verdict"]["terms"],
            "card_values": values,
            "mends": record["mending"] and record["mending"]["mends"],
        }
    )


def _grading_row(write: Writer, plate: PlateToKeep, plate_id: int, standard_id: int, values: str) -> Json:
    graded, verdict = plate.graded, plate.graded.verdict
    return {
        "plate_id": plate_id,
        "standard_id": standard_id,
        "stage": plate.standard.stage,
        "method_version": graded.method_version,
        "question": "" if verdict is None else verdict.terms.question.value,
        "outcome": REFUSED if verdict is None else verdict.outcome.value,
        "kept_at": write.now,
        "by_id": write.by_id,
        "card_serial": "" if graded.serial is None else str(graded.serial),
        "card_values": values,
        "mended": graded.mending is not None,
        **asdict(plate.figures),
    }


def _card_values(graded: GradedPhoto) -> str:
    """Which measurement of its print run a card's colours come from; empty where it has those of its design."""
    values = graded.values
    return "" if values is None else f"{values.run}, {values.method}, {values.measured_on.isoformat()}"


def keep_decision(
    house: House,
    kept: Sequence[Kept],
    verdict: Verdict | None,
    *,
    standard: Standard,
    method_version: str,
    by: str = "",
) -> int:
    """Keep the decision on a batch, over these plates; the same one twice is once. Its id.

    `verdict` is None where no plate could be judged.

    Raises
    ------
    RecordsRefused
        The plates are of several batches, or there are none.
    RecordsUnusable
        The database can't be written.
    """
    batches = {one.batch_id for one in kept}
    if len(batches) != 1:
        hint = "Keep the decision of each batch by itself; a plate that is in another batch by mistake is corrected."
        raise RecordsRefused(f"The plates are of {len(batches)} batches, not of one.", hint=hint)
    row: Json = {
        "batch_id": batches.pop(),
        "stage": standard.stage,
        "method_version": method_version,
        "question": "" if verdict is None else verdict.terms.question.value,
        "outcome": REFUSED if verdict is None else verdict.outcome.value,
        "headline": "No plate could be judged." if verdict is None else verdict.headline,
        "gradings": {"ids": sorted({one.grading_id for one in kept})},
        "verdict": verdict_record(verdict),
    }
    row["sign"] = sign_of({**row, "standard": standard_sha256(standard)})

    def keep(connection: Connection) -> int:
        write = writer(connection, now=datetime.now(UTC), by=by)
        signed = {"standard_id": standard_of(write, standard), "kept_at": write.now, "by_id": write.by_id}
        add_once(connection, BatchDecision, {**row, **signed})
        return connection.scalars(select(BatchDecision.id).where(BatchDecision.sign == row["sign"])).one()

    return house.write(keep)
