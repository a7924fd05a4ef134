"""Plates chained as the records keep them; and those that were kept before there was a chain, marked as late."""

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import func, select

from grader.errors import GraderError
from grader.evidence.chain import Entry
from grader.evidence.journal import Journal, house_journal
from grader.evidence.recorded import RecordedPlate, recorded_plates
from grader.records.database.house import House
from grader.records.database.plate_tables import Plate

IN_TIME = timedelta(hours=1)
"""A plate chained so soon after it was kept counts as chained on arrival (house default, no source)."""

log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class Chainer:
    """Chains what a run keeps in the records, as it goes; `after` is the newest plate that it has seen.

    What can't be chained stays kept, and is chained when its batch is kept once more or a file is made of it; marked as
    late after an hour (`IN_TIME`).
    """

    house: House
    journal: Journal
    after: int

    @classmethod
    def of(cls, house: House) -> "Chainer":
        """From now on, in this machine's chain."""
        with house.reading() as connection:
            newest = connection.scalar(select(func.max(Plate.id))) or 0
        return cls(house=house, journal=house_journal(), after=newest)

    def chain(self, batches: Iterable[int] = ()) -> str:
        """Chain what was kept since the last time; why it couldn't be, or nothing.

        Of `batches` the other plates too: an earlier run kept them, and may have been cut short before it chained them.
        """
        try:
            chain_batches(self.house, self.journal, batches)
            plates = recorded_plates(self.house, after=self.after)
            chain_plates(self.journal, plates)
        except (GraderError, OSError) as error:
            log.warning("Plates were kept, but not chained (%s)", type(error).__name__)
            return f"Kept, but not entered in the chain of records yet: {error}"
        self.after = max((plate.plate_id for plate in plates), default=self.after)
        return ""


def chain_batches(house: House, journal: Journal, batches: Iterable[int]) -> tuple[Entry, ...]:
    """Chain the plates of these batches that aren't chained yet.

    Raises
    ------
    RecordsUnusable, JournalUnusable, ChainBroken
        Records or chain can't be read or written.
    """
    return chain_plates(journal, recorded_plates(house, batches=batches))


def chain_plates(journal: Journal, plates: Sequence[RecordedPlate]) -> tuple[Entry, ...]:
    """Chain those of these plates that aren't chained yet; see `chain_batches` for what is raised.

    A plate whose lot was corrected is chained once more, under the tag that it has now.
    """
    known = journal.plates() if plates else frozenset()
    return tuple(_chain(journal, plate) for plate in plates if (plate.photo_sha256, plate.tag) not in known)


def sealed_photos(journal: Journal) -> frozenset[str]:
    """SHA-256 of all photos chained for a lot, or batch, that a sealed file was ever made of.

    Raises
    ------
    JournalUnusable, ChainBroken
        The chain can't be read.
    """
    made = {entry.link.about for entry in journal.of_kind("bundle")}
    return frozenset(photo for photo, tag in journal.plates() if tag in made)


def _chain(journal: Journal, plate: RecordedPlate) -> Entry:
    late = journal.now() - plate.kept_at > IN_TIME
    body = {
        "arrived": plate.kept_at.isoformat(timespec="seconds"),
        "batch": plate.batch,
        "by": plate.by,
        "bytes": plate.bytes,
        "camera": "" if plate.camera is None else plate.camera.isoformat(timespec="seconds"),
        "day": plate.day.isoformat(),
        "kitchen": plate.kitchen,
        "late": late,
        "name": plate.name,
        "photo": plate.photo_sha256,
    }
    return journal.add("plate", body, about=plate.tag)
