"""Values on disk: each measurement a file, nothing overwritten, the newest by the day counts."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card.serial import Serial
from grader.card_values import (
    CardValues,
    keep_values,
    known_values,
    load_values,
    measured_runs,
    values_folder,
    values_for,
    write_values,
)
from grader.card_values.lookup import newest_of_each
from grader.errors import DocumentFaulty
from grader.places import home_folder

SERIAL = Serial("K7Q2X", 14)


def on(day: str) -> date:
    return date.fromisoformat(day)


def test_the_folder_is_the_users_own_or_the_one_asked_for(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    assert home_folder() == tmp_path
    assert values_folder() == tmp_path / "card-values"
    monkeypatch.delenv("FRY_GRADER_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert home_folder().name == "fry-grader"


def test_what_is_kept_is_found(tmp_path: Path, measured: CardValues, card: Layout) -> None:
    path = keep_values(tmp_path / "new" / "folder", measured)
    assert path.name == "K7Q2X.card-a6.2026-11-20.01.toml"
    found = values_for(SERIAL, card, path.parent, on=on("2026-12-01"))
    assert found is not None
    np.testing.assert_array_equal(found.patch_lab, measured.patch_lab)


def test_nothing_is_overwritten_and_the_later_of_a_day_counts(
    tmp_path: Path, measured: CardValues, card: Layout
) -> None:
    paths = [keep_values(tmp_path, replace(measured, measured_by=f"A{turn}")) for turn in range(12)]
    assert len(set(paths)) == 12
    assert [values.measured_by for values in load_values(tmp_path, load_layouts())] == [f"A{n}" for n in range(12)]
    found = values_for(SERIAL, card, tmp_path, on=on("2026-11-20"))
    assert found is not None
    assert found.measured_by == "A11"


def test_more_of_one_day_than_have_room_are_told(tmp_path: Path, measured: CardValues) -> None:
    for turn in range(1, 100):
        (tmp_path / f"K7Q2X.card-a6.2026-11-20.{turn:02}.toml").touch()
    with pytest.raises(FileExistsError, match="too many"):
        keep_values(tmp_path, measured)


def test_what_could_not_be_read_again_is_not_kept(tmp_path: Path, measured: CardValues) -> None:
    with pytest.raises(DocumentFaulty, match="instrument"):
        keep_values(tmp_path, replace(measured, instrument="half a pair: \ud800"))
    assert list(tmp_path.iterdir()) == []


@contextmanager
def full_disk() -> Iterator[None]:
    """No file can grow beyond 100 bytes: to the program that is a disk without space left.

    Only around the call that is tested: pytest's own output may be such a file too.
    """
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, limits[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)


def test_a_full_disk_leaves_no_half_file(tmp_path: Path, measured: CardValues) -> None:
    with full_disk(), pytest.raises(OSError, match="File too large"):
        keep_values(tmp_path, measured)
    assert list(tmp_path.iterdir()) == []


def test_the_newest_by_the_day_counts_and_before_all_the_earliest(
    tmp_path: Path, measured: CardValues, card: Layout
) -> None:
    for day in ("2026-11-20", "2027-02-01", "2027-05-01"):
        keep_values(tmp_path, replace(measured, measured_on=on(day), instrument=day))

    def found(day: str) -> str:
        values = values_for(SERIAL, card, tmp_path, on=on(day))
        assert values is not None
        return values.instrument

    assert found("2027-04-30") == "2027-02-01"
    assert found("2027-05-01") == "2027-05-01"
    assert found("2026-01-01") == "2026-11-20"


def test_another_run_another_sheet_or_no_serial_has_none(
    tmp_path: Path, measured: CardValues, card: Layout, mat: Layout
) -> None:
    keep_values(tmp_path, measured)
    day = on("2026-12-01")
    assert values_for(Serial("K7Q2W", 14), card, tmp_path, on=day) is None
    assert values_for(SERIAL, mat, tmp_path, on=day) is None
    assert values_for(None, card, tmp_path, on=day) is None
    assert values_for(SERIAL, card, tmp_path / "nowhere", on=day) is None


def test_what_was_measured_counts_before_what_was_only_printed(
    tmp_path: Path, measured: CardValues, card: Layout
) -> None:
    keep_values(tmp_path, replace(measured, method="designed", measured_on=on("2026-11-01")))
    keep_values(tmp_path, measured)
    for day in ("2026-11-10", "2026-12-10"):
        found = values_for(SERIAL, card, tmp_path, on=on(day))
        assert found is not None
        assert found.measured


def test_the_newest_of_each_run_and_sheet(tmp_path: Path, measured: CardValues, measured_mat: CardValues) -> None:
    for values in (measured, measured_mat, replace(measured, run="CCCCC")):
        keep_values(tmp_path, values)
        keep_values(tmp_path, replace(values, measured_on=on("2026-11-22"), measured_by="CD"))
    newest = newest_of_each(known_values(tmp_path, on=on("2026-12-01")))
    assert [(one.run, one.layout, one.measured_by) for one in newest] == [
        ("CCCCC", "card-a6", "CD"),
        ("K7Q2X", "card-a6", "CD"),
        ("K7Q2X", "mat-a4", "CD"),
    ]


def test_the_runs_that_were_measured(tmp_path: Path, measured: CardValues, card: Layout, mat: Layout) -> None:
    for run, method in (("K7Q2X", "chart"), ("CCCCC", "instrument"), ("DDDDD", "designed")):
        keep_values(tmp_path, replace(measured, run=run, method=method))  # type: ignore[arg-type]
    known = known_values(tmp_path, on=on("2026-12-01"))
    assert measured_runs(known.values, card) == ("CCCCC", "K7Q2X")
    assert measured_runs(known.values, mat) == ()


@pytest.mark.parametrize("data", [b"\xff\xfe", b"run = "], ids=["no text", "no document"])
def test_a_damaged_file_is_told_and_never_passed_over(tmp_path: Path, measured: CardValues, data: bytes) -> None:
    keep_values(tmp_path, measured)
    damaged = tmp_path / "ZZZZZ.card-a6.2026-11-20.01.toml"
    damaged.write_bytes(data)
    with pytest.raises(DocumentFaulty) as caught:
        load_values(tmp_path, load_layouts())
    assert caught.value.name == str(damaged)


def test_values_grow_old_the_day_after_the_last(measured: CardValues) -> None:
    assert not measured.expired(on("2027-11-20"))
    assert measured.expired(on("2027-11-21"))


def test_lines_end_alike_on_every_machine(tmp_path: Path, measured: CardValues) -> None:
    assert keep_values(tmp_path, measured).read_bytes() == write_values(measured).encode()
