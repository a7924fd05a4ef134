"""Photos deleted by a rule of the house's own; what was read from them stays, and so do those in a claim."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, exists, or_, select

from grader.decision.terms import Question
from grader.records.database.errors import RecordsRefused
from grader.records.database.house import House
from grader.records.database.newest import newest, overtaken, thing_id
from grader.records.database.plate_tables import Batch, BatchDecision, Grading, Photo, PhotoForgotten, Plate
from grader.records.database.things import add_once, writer
from grader.records.database.watch_tables import ControlPhoto
from grader.records.kept_files import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgotten:
    """What a rule came to: photos whose bytes are gone, those spared for a claim, and the bytes that were freed."""

    photos: int
    spared: int
    bytes: int


def forget_photos(
    house: House,
    *,
    before: datetime,
    signed: Signed,
    sealed: Collection[str],
    rehearse: bool = False,
) -> Forgotten:
    """Delete the bytes of photos that were taken before a moment, but for those in a claim.

    In a claim is every plate of a lot of which any plate or batch was judged as a claim, or any photo was sealed, and
    of such a batch without a lot. Written down first, deleted then: a run that is cut short is finished by the doctor.

    Parameters
    ----------
    sealed
        SHA-256 of photos that evidence was made of: what is decided in a sealed file, the records don't know.

    Raises
    ------
    RecordsRefused
        Initials or the reason are missing.
    RecordsUnusable, OSError
        The database can't be written, or a photo not be deleted.
    """
    if not signed.by.strip() or not signed.why.strip():
        raise RecordsRefused("To forget photos needs initials and a reason.", hint="Nothing was deleted.")

    def decide(connection: Connection) -> tuple[list[tuple[str, int]], int]:
        old = _old(connection, before)
        claimed = _claimed(connection, sealed)
        going = [(sha256, size) for sha256, size in old if sha256 not in claimed]
        if not rehearse:
            write = writer(connection, now=signed.at, by=signed.by)
            for sha256, _ in going:
                row = {"sha256": sha256, "at": signed.at, "by_id": write.by_id, "why": signed.why}
                add_once(connection, PhotoForgotten, row)
        return going, len(old) - len(going)

    going, spared = house.write(decide)
    if not rehearse:
        for sha256, _ in going:
            house.photos.drop(sha256)
    return Forgotten(photos=len(going), spared=spared, bytes=sum(size for _, size in going))


def _old(connection: Connection, before: datetime) -> Sequence[tuple[str, int]]:
    """Photos of which every plate, or photograph of the card, was taken before, and that aren't forgotten yet.

    One that was withdrawn counts as well: it may be taken up again, and its photo is no older for it.
    """
    asked = select(Photo.sha256, Photo.bytes).where(
        ~exists().where(PhotoForgotten.sha256 == Photo.sha256),
        ~exists().where(Plate.photo_sha256 == Photo.sha256, ~overtaken(Plate), Plate.taken_at >= before),
        ~exists().where(
            ControlPhoto.photo_sha256 == Photo.sha256, ~overtaken(ControlPhoto), ControlPhoto.taken_at >= before
        ),
    )
    return connection.execute(asked.order_by(Photo.sha256)).all()


def _claimed(connection: Connection, sealed: Collection[str]) -> set[str]:
    """The photos of all plates in a claim, and those that were sealed wherever their plates are now."""
    claim = Question.CLAIM.value
    plates = select(Plate.batch_id).join(Grading, Grading.plate_id == thing_id(Plate))
    in_claim = set(connection.scalars(plates.where(newest(Plate), Grading.question == claim)))
    in_claim |= set(connection.scalars(select(BatchDecision.batch_id).where(BatchDecision.question == claim)))
    kept = connection.execute(select(Plate.batch_id, Plate.photo_sha256).where(newest(Plate)))
    in_claim |= {batch for batch, sha256 in kept if sha256 in sealed}
    lots = select(Batch.lot_id).where(newest(Batch), thing_id(Batch).in_(in_claim), Batch.lot_id.is_not(None))
    ids = set(connection.scalars(lots))
    batches = select(thing_id(Batch)).where(newest(Batch), or_(Batch.lot_id.in_(ids), thing_id(Batch).in_(in_claim)))
    return {*sealed} | set(connection.scalars(select(Plate.photo_sha256).where(Plate.batch_id.in_(batches))))
