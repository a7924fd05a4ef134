"""Folders into the records by a crew: batch after batch, what is kept passed over, what can't be graded told."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from grader.records.database import House, Setting, open_house
from grader.records.database.importing import Imported
from grader.running.crew import Crew, Here, Pending
from grader.running.importing import import_folders
from grader.running.one_photo import Grading
from grader.running.photo_batch import PhotoBatch
from tests.records import made_up
from tests.running.folders import Ended, MadeUp, Pretends, plates

NAMES = ("a/p1.jpg", "a/p2-refused.jpg", "b/p3.jpg", "b/p4.jpg", "c/p5.jpg")


@pytest.fixture(autouse=True)
def grade(monkeypatch: pytest.MonkeyPatch) -> MadeUp:
    made = MadeUp()
    monkeypatch.setattr("grader.records.guarded.grade_photo", made)
    return made


def bring_in(house: House, batches: Sequence[PhotoBatch], crew: Crew | None = None) -> list[Imported]:
    grading = Grading(standard=made_up.standard())
    return list(
        import_folders(house, batches, grading=grading, setting_of=_setting, crew=crew or Here(), tell=lambda *_: None)
    )


def _setting(batch: PhotoBatch) -> Setting:
    return Setting(kitchen="Harbour", zone="Europe/Lisbon", batch=batch.name)


def test_batches_are_kept_in_their_order_and_then_passed_over(tmp_path: Path, grade: MadeUp) -> None:
    house, batches = open_house(f"sqlite:///{tmp_path / 'r.sqlite3'}"), plates(tmp_path / "in", *NAMES)
    first = bring_in(house, batches, Pretends(lambda _: None))
    assert [(one.name, one.new, one.known, one.problems) for one in first] == [
        ("a", 2, 0, ()),
        ("b", 2, 0, ()),
        ("c", 1, 0, ()),
    ]
    graded = len(grade.asked)
    assert [(one.new, one.known) for one in bring_in(house, batches)] == [(0, 2), (0, 2), (0, 1)]
    assert len(grade.asked) == graded == len(NAMES)
    house.close()


def test_what_can_not_be_graded_is_told_and_the_rest_kept(tmp_path: Path) -> None:
    house, batches = open_house(f"sqlite:///{tmp_path / 'r.sqlite3'}"), plates(tmp_path / "in", *NAMES)
    gone = PhotoBatch(name="gone", photos=(tmp_path / "in" / "nowhere.jpg",))

    def answer(task: Any) -> Pending[Any] | None:
        return Ended() if task.path.name == "p3.jpg" else None

    told = {one.name: one for one in bring_in(house, (*batches, gone), Pretends(answer))}
    assert [told[name].new for name in ("a", "b", "c", "gone")] == [2, 1, 1, 0]
    ((name, words),) = told["b"].problems
    assert name == "p3.jpg"
    assert "more memory" in words
    assert "can't be read" in told["gone"].problems[0][1]
    (again,) = bring_in(house, [batches[1]])
    assert (again.new, again.known) == (1, 1)
    house.close()
