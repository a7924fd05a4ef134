"""Lines that are only ever added: what a write that was cut short left never swallows the next."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from grader.records.added_lines import add_line, whole_lines
from grader.records.standard_uses import USES, Use, note_use, read_uses

USE = Use(sha256="ab" * 32, at=datetime(2026, 10, 6, 12, 0, tzinfo=UTC), plates=3)


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
