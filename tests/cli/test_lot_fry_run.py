"""A lot test fry scored from photos, one of each basket."""

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from grader.cli.lot_fry_run import score_photos
from grader.errors import GraderError
from grader.grading import GradedPhoto
from grader.line.lot_fry import Lot, TestStrip
from grader.line.lot_fry_table import Planned
from tests.bars.records import house_standard
from tests.records import made_up

PLANNED = [Planned(basket=basket, lot=Lot.NEW, carton="1", tuber=basket) for basket in ("1", "2")]


@pytest.fixture(autouse=True)
def made_up_grading(monkeypatch: pytest.MonkeyPatch) -> None:
    def grade(path: Path, **_: Any) -> GradedPhoto:
        return replace(made_up.graded(path.name), sha256=hashlib.sha256(path.read_bytes()).hexdigest())

    def score(planned: Sequence[Planned], _: GradedPhoto, **__: Any) -> tuple[TestStrip, ...]:
        told = {"place": 4.0, "sugar_end": False, "number": None, "stem_number": None}
        return tuple(
            TestStrip(lot=one.lot, carton=one.carton, tuber=one.tuber, basket=one.basket, **told)  # type: ignore[arg-type]
            for one in planned
        )

    monkeypatch.setattr("grader.cli.lot_fry_run.grade_file", grade)
    monkeypatch.setattr("grader.cli.lot_fry_run.strips_of_photo", score)


def photos(folder: Path, *contents: bytes) -> list[Path]:
    made = [folder / f"basket-{number}.jpg" for number in range(1, len(contents) + 1)]
    for path, data in zip(made, contents, strict=True):
        path.write_bytes(data)
    return made


def test_each_basket_is_scored_from_its_own_photo(tmp_path: Path) -> None:
    strips = score_photos(PLANNED, photos(tmp_path, b"one", b"two"), standard=house_standard(), chips=None)
    assert [one.basket for one in strips] == ["1", "2"]


def test_one_photo_under_two_names_is_no_two_baskets(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match=r"basket-2\.jpg is given for basket 2 and is the photo of basket 1"):
        score_photos(PLANNED, photos(tmp_path, b"one", b"one"), standard=house_standard(), chips=None)
