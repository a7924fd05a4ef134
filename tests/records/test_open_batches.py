"""Batches at the pass that nobody finished: found again by their secret and by nothing else, and gone when finished."""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from grader.records.database import Kept
from grader.records.open_batches import LASTS, OpenBatch, OpenShot, close_batch, keep_open, open_batch

KEPT = Kept(grading_id=3, plate_id=2, batch_id=1, new=True)
ONE = OpenShot(name="../a.jpg", data=b"one", what="plain", lifted_s=41.5, called="right", kept=KEPT)
TWO = OpenShot(name="b.jpg", data=b"two", what="look", lifted_s=None, called="", kept=None)
BATCH = OpenBatch(name="12:30:01", shots=(ONE, TWO))


def test_a_batch_comes_back_as_it_was(tmp_path: Path) -> None:
    keep_open(tmp_path, "secret", replace(BATCH, shots=(ONE,)))
    keep_open(tmp_path, "secret", BATCH)
    assert open_batch(tmp_path, "secret") == BATCH


@pytest.mark.parametrize("visit", ["", "secre", "../secret", "secret/"])
def test_another_visit_finds_nothing(tmp_path: Path, visit: str) -> None:
    keep_open(tmp_path, "secret", BATCH)
    assert open_batch(tmp_path, visit) is None


def test_a_finished_batch_is_gone_and_others_stay(tmp_path: Path) -> None:
    keep_open(tmp_path, "secret", BATCH)
    keep_open(tmp_path, "other", BATCH)
    close_batch(tmp_path, "secret")
    assert open_batch(tmp_path, "secret") is None
    assert open_batch(tmp_path, "other") == BATCH


def test_a_batch_that_nobody_touched_for_days_goes_with_the_next_that_is_finished(tmp_path: Path) -> None:
    keep_open(tmp_path, "old", BATCH)
    keep_open(tmp_path, "new", BATCH)
    old, new = sorted(tmp_path.iterdir())
    long_ago = (old / "batch.json").stat().st_mtime - LASTS.total_seconds() - 60
    os.utime(old / "batch.json", (long_ago, long_ago))
    close_batch(tmp_path, "unknown")
    assert not old.exists()
    assert new.exists()


def test_a_file_that_somebody_changed_to_point_elsewhere_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(b"not yours")
    keep_open(tmp_path / "batches", "secret", BATCH)
    (file,) = (tmp_path / "batches").glob("*/batch.json")
    photo = next(one.name for one in file.parent.iterdir() if one.name != "batch.json")
    file.write_text(file.read_text().replace(photo, "../../elsewhere"))
    assert open_batch(tmp_path / "batches", "secret") is None


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b'{"name": 1}', b'{"name": "a", "shots": [{}]}'])
def test_a_damaged_file_is_no_batch(tmp_path: Path, damage: bytes) -> None:
    keep_open(tmp_path, "secret", BATCH)
    (file,) = tmp_path.glob("*/batch.json")
    file.write_bytes(damage)
    assert open_batch(tmp_path, "secret") is None
