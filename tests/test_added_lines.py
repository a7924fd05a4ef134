"""Lines that are only ever added: what a write that was cut short left never swallows the next."""

from datetime import UTC, datetime
from multiprocessing import get_context
from multiprocessing.synchronize import Barrier
from pathlib import Path
from typing import IO

import pytest

from grader.added_lines import add_line, drop_torn_end, lock, whole_lines
from grader.records.standard_uses import USES, Use, note_use, read_uses

USE = Use(sha256="ab" * 32, at=datetime(2026, 10, 6, 12, 0, tzinfo=UTC), plates=3)
LINES = 300


def test_lines_come_back_in_their_order(tmp_path: Path) -> None:
    file = tmp_path / "lines"
    assert whole_lines(file) == []
    for text in ("pale", "", "doré"):
        add_line(file, text)
    assert whole_lines(file) == ["pale", "", "doré"]


@pytest.mark.parametrize("torn", [b"half a li", b"\xc3", b"1\n2\nhalf"])
def test_a_torn_end_does_not_count_and_goes(tmp_path: Path, torn: bytes) -> None:
    file = tmp_path / "lines"
    file.write_bytes(torn)
    before = whole_lines(file)
    assert before == torn.decode(errors="replace").split("\n")[:-1]
    add_line(file, "whole")
    assert whole_lines(file) == [*before, "whole"]


def test_a_run_after_one_that_was_cut_short_is_recorded(tmp_path: Path) -> None:
    note_use(tmp_path, USE)
    with (tmp_path / USES).open("ab") as file:
        file.write(b'{"at": "2026-10-')
    note_use(tmp_path, USE)
    assert read_uses(tmp_path) == [USE, USE]


def _add_many(file: Path, sign: str, both_there: Barrier) -> None:
    both_there.wait(60)
    for number in range(LINES):
        add_line(file, f"{sign}{number}")


def test_two_who_add_at_once_lose_no_line(tmp_path: Path) -> None:
    file = tmp_path / "lines"
    spawn = get_context("spawn")
    both_there = spawn.Barrier(2)
    both = [spawn.Process(target=_add_many, args=(file, sign, both_there)) for sign in "ab"]
    for process in both:
        process.start()
    for process in both:
        process.join(120)
        assert process.exitcode == 0
    assert set(whole_lines(file)) == {f"{sign}{number}" for sign in "ab" for number in range(LINES)}


def test_who_adds_has_the_file_alone_from_before_the_torn_end_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "lines"

    def drop(_: IO[bytes]) -> None:
        with file.open("a+b") as other, pytest.raises(BlockingIOError):
            lock(other, wait=False)

    monkeypatch.setattr("grader.added_lines.drop_torn_end", drop)
    add_line(file, "whole")
    assert whole_lines(file) == ["whole"]


@pytest.mark.parametrize("lines", [b"", b"\n", b"1\n2\n"])
def test_a_file_of_whole_lines_is_not_cut(tmp_path: Path, lines: bytes) -> None:
    (tmp_path / "lines").write_bytes(lines)
    with (tmp_path / "lines").open("rb") as file:  # open for reading: a cut would be refused
        drop_torn_end(file)
