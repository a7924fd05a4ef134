"""Files that are written once: new, whole, and nothing else left behind."""

import errno
import multiprocessing
import os
import stat
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from grader.new_files import write_new, write_private


def left(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(params=["links", "no links"])
def links(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """File systems with and without links (a stick's)."""

    def none(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    if request.param == "no links":
        monkeypatch.setattr("grader.new_files.os.link", none)


@pytest.mark.usefixtures("links")
def test_what_is_there_stays(tmp_path: Path) -> None:
    write_new(tmp_path / "a.toml", "first\n")
    with pytest.raises(FileExistsError, match=r"a\.toml"):
        write_new(tmp_path / "a.toml", "second\n")
    with pytest.raises(FileExistsError):
        write_private(tmp_path / "a.toml", b"second\n")
    assert left(tmp_path) == {"a.toml": b"first\n"}


@pytest.mark.usefixtures("links")
def test_only_its_owner_reads_a_private_file(tmp_path: Path) -> None:
    write_private(tmp_path / "key", b"secret")
    assert stat.S_IMODE((tmp_path / "key").stat().st_mode) == 0o600
    assert left(tmp_path) == {"key": b"secret"}


def test_where_it_cannot_be_written_the_file_asked_for_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError) as told:
        write_new(tmp_path / "nowhere" / "a.toml", "text")
    assert told.value.filename == str(tmp_path / "nowhere" / "a.toml")


@pytest.mark.parametrize(
    "write",
    [lambda path: write_new(path, "text"), lambda path: write_private(path, b"text")],
    ids=["new", "private"],
)
def test_a_full_disk_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, write: Callable[[Path], None]
) -> None:
    def no_space(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("grader.new_files.os.fsync", no_space)
    with pytest.raises(OSError, match="No space"):
        write(tmp_path / "a.toml")
    assert left(tmp_path) == {}


def _die_writing(path: Path) -> None:
    with patch("grader.new_files.os.fsync", side_effect=lambda _: os._exit(9)):  # killed with the bytes on their way
        write_new(path, "text")


def test_one_who_is_killed_leaves_nothing_under_the_name(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    process = multiprocessing.get_context("spawn").Process(target=_die_writing, args=(path,))
    process.start()
    process.join(60)
    assert process.exitcode == 9
    assert not path.exists()
    write_new(path, "text")
    assert path.read_text(encoding="utf-8") == "text"
