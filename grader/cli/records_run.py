"""What keeps the batches of a run in the records; and plates graded anew."""

from collections import deque
from dataclasses import dataclass, field
from functools import partial

from rich.console import Console

from grader.cli.marked_up import escape
from grader.cli.records_setting import of_batch
from grader.counted import counted
from grader.evidence.arrivals import Chainer
from grader.grading import GradedPhoto
from grader.records.database.house import House, open_house
from grader.records.database.importing import BatchKeeper, Grade
from grader.records.database.keeping import check_kitchen
from grader.records.database.setting import Setting
from grader.records.guarded import grade_guarded
from grader.records.house import kept_studies, known_today
from grader.running.photo_batch import PhotoBatch
from grader.standard.model import Standard


def grade_as_house(standard: Standard) -> Grade:
    """Grades by a standard, with what the house knows of its cards."""
    return partial(_grade, standard=standard, known=known_today(), studies=kept_studies())


def _grade(name: str, data: bytes, **given: object) -> GradedPhoto:
    return grade_guarded(data, name=name, **given)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class Keepers:
    """What keeps the batches of one run of `grade` in the records, and what came of it."""

    house: House
    standard: Standard
    setting: Setting
    chainer: Chainer
    batches: list[BatchKeeper] = field(default_factory=list)
    under_way: deque[BatchKeeper] = field(default_factory=deque)

    @classmethod
    def told(
        cls, setting: Setting | None, *, standard: Standard, url: str | None, photos: str | None
    ) -> "Keepers | None":
        """None where nothing is to be kept; see `open_house` for what is raised."""
        if setting is None:
            return None
        house = open_house(url, photos=photos)
        check_kitchen(house, setting)
        return cls(house=house, standard=standard, setting=setting, chainer=Chainer.of(house))

    def of(self, batch: PhotoBatch) -> BatchKeeper:
        """That of the next batch."""
        here = of_batch(self.setting, batch)
        keeper = BatchKeeper(house=self.house, standard=self.standard, setting=here)
        self.batches.append(keeper)
        self.under_way.append(keeper)
        return keeper

    def chain(self) -> str:
        """Enter the plates of the next batch that ended in the chain; why that couldn't be, or nothing.

        Those too that an earlier run kept: it may have been cut short before it came to this.
        """
        return self.chainer.chain({one.batch_id for one in self.under_way.popleft().kept})

    @property
    def all_kept(self) -> bool:
        """Nothing was left out of the records."""
        return not any(batch.problems for batch in self.batches)

    def tell(self, console: Console) -> None:
        """How many plates were kept, and what couldn't be."""
        kept = [one for batch in self.batches for one in batch.kept]
        new = sum(one.new for one in kept)
        place = escape(self.house.place)
        plates = f"{counted(new, 'plate')} new, {len(kept) - new} known"
        console.print(f"Kept in the records: {plates} ({place})", soft_wrap=True)
        for batch in self.batches:
            for name, words in batch.problems:
                console.print(f"[yellow]![/] {escape(name)} was not kept: {escape(words)}", soft_wrap=True)
