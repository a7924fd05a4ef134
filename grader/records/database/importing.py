"""Whole batches into the records: each plate wholly or not at all, one bad photo never stops the rest.

What was kept before is known by its hash. A batch that is kept with its decision is passed over; one that was cut short
is graded again from its first photo (the decision needs all of its fries), and what is kept of it already stays.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from sqlalchemy import Connection, select

from grader.decision.model import Verdict
from grader.decision.terms import Question
from grader.errors import GraderError
from grader.grading import METHOD_VERSION, GradedPhoto, judge_photos
from grader.records.database.house import House
from grader.records.database.keeping import (
    Kept,
    PlateToKeep,
    keep_decision,
    keep_plate,
    plate_of_photo,
    plate_to_keep,
)
from grader.records.database.known_photos import known_photos
from grader.records.database.plate_tables import Batch, BatchDecision, Grading, HouseStandard, Plate
from grader.records.database.setting import Setting
from grader.records.guarded import without_pixels
from grader.standard import standard_sha256
from grader.standard.model import Standard

Grade = Callable[[str, bytes], GradedPhoto]
"""Grades a photo of this name and these bytes; what goes wrong comes back as a refusal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoToImport:
    """A photo that is to be kept: what it is called, its hash, how to get its bytes, when its file was last changed."""

    name: str
    sha256: str
    read: Callable[[], bytes]
    changed_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What became of a batch: plates that are new and known, what went wrong photo by photo, the decision.

    `outcome` is empty where no decision was kept; `withdrawn` of the known ones don't stand, and `notes` say which are
    kept as of elsewhere. `batches` are those in which its plates are now, by their ids.
    """

    name: str
    new: int
    known: int
    problems: tuple[tuple[str, str], ...]
    outcome: str
    withdrawn: int = 0
    notes: tuple[str, ...] = ()
    batches: tuple[int, ...] = ()


@dataclass(slots=True, kw_only=True)
class BatchKeeper:
    """Keeps the plates of one batch as they are graded, then its decision; what can't be kept is noted."""

    house: House
    standard: Standard
    setting: Setting
    kept: list[Kept] = field(default_factory=list)
    problems: list[tuple[str, str]] = field(default_factory=list)

    def photo(
        self, plate: PlateToKeep, read: Callable[[], bytes], *, changed_at: datetime | None = None
    ) -> Kept | None:
        """Keep one photo; all of a batch get the day of its first. None where it couldn't be kept."""
        try:
            kept = keep_plate(self.house, plate, read(), setting=self.setting, file_at=changed_at)
        except (GraderError, OSError, MemoryError) as error:
            self.problems.append((plate.graded.name, str(error)))
            return None
        self.again(kept)
        return kept

    def again(self, kept: Kept) -> None:
        """Count a photo that was kept, now or by an earlier run."""
        self.kept.append(kept)
        if self.setting.day is None:
            with self.house.reading() as connection:
                day = connection.scalars(select(Batch.day).where(Batch.id == kept.batch_id)).one()
            self.setting = replace(self.setting, day=day)

    def still(self, kept: Kept, sha256: str) -> Kept | None:
        """A photo that an earlier run kept, in the batch in which it is now; None where the records don't have it."""
        asked = select(Grading.id).where(Grading.id == kept.grading_id, Grading.plate_id == kept.plate_id)
        with self.house.reading() as connection:
            plate = plate_of_photo(connection, sha256)
            there = connection.scalar(asked) is not None
        return replace(kept, batch_id=plate[1]) if there and plate is not None and plate[0] == kept.plate_id else None

    def decide(self, verdict: Verdict | None) -> bool:
        """Keep the decision on all photos of the batch; whether that was possible."""
        if not self.kept:
            return False
        told = {"standard": self.standard, "method_version": METHOD_VERSION, "by": self.setting.by}
        try:
            keep_decision(self.house, self.kept, verdict, **told)  # type: ignore[arg-type]
        except GraderError as error:
            self.problems.append((self.setting.batch, str(error)))
            return False
        return True


@dataclass(slots=True, kw_only=True)
class BatchImport:
    """One batch being brought in, photo by photo; what is held of a photo is what the decision needs."""

    keeper: BatchKeeper
    graded: list[GradedPhoto] = field(default_factory=list)

    def photo(self, plate: PlateToKeep, photo: PhotoToImport) -> None:
        """Keep one that was graded or refused."""
        self.keeper.photo(plate, photo.read, changed_at=photo.changed_at)
        self.graded.append(without_pixels(plate.graded))

    def without(self, photo: PhotoToImport, why: str) -> None:
        """Go on without one that could not be graded at all."""
        self.keeper.problems.append((photo.name, why))

    def ended(self) -> Imported:
        """Decide on the batch, and say what became of it."""
        keeper = self.keeper
        verdict = judge_photos(self.graded, keeper.standard)
        decided = keeper.decide(verdict)
        new = sum(one.new for one in keeper.kept)
        known = known_photos(keeper.house, [one.sha256 for one in self.graded], keeper.setting)
        return Imported(
            name=keeper.setting.batch,
            new=new,
            known=len(keeper.kept) - new,
            problems=tuple(keeper.problems),
            outcome="" if not decided or verdict is None else verdict.outcome.value,
            withdrawn=known.withdrawn,
            notes=known.notes,
            batches=known.batches,
        )


def photos_to_import(
    house: House, photos: Sequence[PhotoToImport], *, standard: Standard, setting: Setting
) -> tuple[PhotoToImport, ...] | Imported:
    """The photos of a batch, each once; or what to say of the batch where it is kept by this method and standard.

    Raises
    ------
    RecordsUnusable
        The database can't be asked.
    """
    once = tuple({photo.sha256: photo for photo in photos}.values())
    hashes = [photo.sha256 for photo in once]
    if batch_is_kept(house, hashes, standard):
        known = known_photos(house, hashes, setting)
        return Imported(
            name=setting.batch,
            new=0,
            known=len(once),
            problems=(),
            outcome="",
            withdrawn=known.withdrawn,
            notes=known.notes,
            batches=known.batches,
        )
    return once


def import_batch(
    house: House, photos: Sequence[PhotoToImport], *, grade: Grade, standard: Standard, setting: Setting
) -> Imported:
    """Grade and keep one batch, one photo after another, unless it is kept already by this method and standard.

    Raises
    ------
    RecordsUnusable
        The database can't be asked.
    """
    once = photos_to_import(house, photos, standard=standard, setting=setting)
    if isinstance(once, Imported):
        return once
    batch = BatchImport(keeper=BatchKeeper(house=house, standard=standard, setting=setting))
    for photo in once:
        try:
            data = photo.read()
            found = grade(photo.name, data)
        except (OSError, MemoryError) as error:
            batch.without(photo, f"The file can't be read ({error}).")
            continue
        batch.photo(plate_to_keep(found, data, standard=standard), photo)
    return batch.ended()


def batch_is_kept(house: House, hashes: Sequence[str], standard: Standard) -> bool:
    """Whether all of these photos are graded by this method and standard, with a decision on just them."""
    with house.reading() as connection:
        photo_of = _gradings(connection, hashes, standard)
        if set(photo_of.values()) != set(hashes):
            return False
        batches = select(Plate.batch_id).where(Plate.photo_sha256.in_(hashes))
        decisions = select(BatchDecision.gradings).where(BatchDecision.batch_id.in_(batches))
        for decided in connection.scalars(decisions):
            if {photo_of.get(one) for one in decided["ids"]} == set(hashes):
                return True
    return False


def _gradings(connection: Connection, hashes: Sequence[str], standard: Standard) -> dict[int, str]:
    """The gradings of photos as this run would make them: by id, of which photo."""
    asked = (
        select(Grading.id, Plate.photo_sha256)
        .join(Plate, Plate.id == Grading.plate_id)
        .join(HouseStandard, HouseStandard.id == Grading.standard_id)
        .where(
            Plate.photo_sha256.in_(hashes),
            HouseStandard.sha256 == standard_sha256(standard),
            Grading.stage == standard.stage,
            Grading.method_version == METHOD_VERSION,
            Grading.question.in_(["", Question.RELEASE.value]),
            ~Grading.mended,
        )
    )
    return dict(connection.execute(asked).all())
