from pathlib import Path

import pytest

from grader.records.whole_files import placing, write_whole


def test_writes_and_replaces(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.json", b"old")
    write_whole(tmp_path / "a.json", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["a.json"]
    assert (tmp_path / "a.json").read_bytes() == b"new"


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_whole(tmp_path / "a.json", b"old")

    def no_space(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", no_space)
    with pytest.raises(OSError, match="No space"):
        write_whole(tmp_path / "a.json", b"new")
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"old"]


def test_where_the_folder_is_missing_the_file_asked_for_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError) as told:
        write_whole(tmp_path / "nowhere" / "a.json", b"new")
    assert told.value.filename == str(tmp_path / "nowhere" / "a.json")


def test_what_others_write_is_in_place_when_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")
    with placing(path) as half:
        half.write_bytes(b"new")
        assert path.read_bytes() == b"old"
    assert path.read_bytes() == b"new"


def test_where_others_fail_the_old_file_stays_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")

    def fail() -> None:
        with placing(path) as half:
            half.write_bytes(b"new")
            raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        fail()
    assert [one.read_bytes() for one in tmp_path.iterdir()] == [b"old"]
