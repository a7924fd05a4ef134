"""Records chained: whatever is changed, moved or taken out shows."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from grader.evidence.chain import ChainBroken, Entry, check_links, entry_line, next_entry, read_entries, tag_of
from grader.evidence.journal import Journal, JournalUnusable

NOW = datetime(2026, 10, 6, 12, 0, tzinfo=UTC)


LINE = entry_line(next_entry(None, "plate", {"photo": "0"}, about="", at=NOW))
ELSEWHERE = LINE.replace(b"2026-10-06T12:00:00+00:00", b"2026-10-06T22:00:00+10:00")
BEFORE_TIME = LINE.replace(b"2026-10-06", b"0001-01-01")


def chain(count: int = 5) -> list[Entry]:
    entries: list[Entry] = []
    for turn in range(count):
        last = entries[-1].link if entries else None
        at = NOW + timedelta(minutes=turn)
        entries.append(next_entry(last, "plate", {"photo": f"{turn}"}, about=tag_of("Oddmarsh", "1"), at=at))
    return entries


def test_a_chain_is_written_and_read_again() -> None:
    entries = chain()
    data = b"".join(entry_line(entry) for entry in entries)
    assert list(read_entries(data)) == entries
    check_links([entry.link for entry in entries])


def test_a_body_may_be_withheld() -> None:
    entries = [replace(entry, body=None) for entry in chain()]
    again = read_entries(b"".join(entry_line(entry) for entry in entries))
    check_links([entry.link for entry in again])
    assert [entry.link for entry in again] == [entry.link for entry in chain()]


@pytest.mark.parametrize("taken", [1, 2, 3])
def test_a_record_taken_out_shows(taken: int) -> None:
    links = [entry.link for entry in chain()]
    with pytest.raises(ChainBroken, match="doesn't follow"):
        check_links(links[:taken] + links[taken + 1 :])


def test_order_moments_and_beginnings_show() -> None:
    links = [entry.link for entry in chain()]
    with pytest.raises(ChainBroken, match="doesn't follow"):
        check_links([links[0], links[2], links[1]])
    with pytest.raises(ChainBroken, match="doesn't follow"):
        check_links([replace(links[0], at=NOW - timedelta(days=1)), *links[1:]])
    with pytest.raises(ChainBroken, match="names one before it"):
        check_links([replace(links[0], before="1" * 64)])
    late = next_entry(links[-1], "plate", {}, about="", at=links[-1].at).link
    early = replace(late, at=NOW - timedelta(hours=1))
    with pytest.raises(ChainBroken, match="earlier moment"):
        check_links([links[-1], early])


def test_a_changed_body_shows() -> None:
    line = entry_line(chain(1)[0]).replace(b'"photo":"0"', b'"photo":"7"')
    with pytest.raises(ChainBroken, match="Record 1 was changed"):
        read_entries(line)


@pytest.mark.parametrize(
    "data", [b"{}\n", b"\n", b"nothing\n", b'{"body":null,"link":{}}\n', b'{"body":1', b"[]\n", ELSEWHERE, BEFORE_TIME]
)
def test_lines_that_are_no_records_are_refused(data: bytes) -> None:
    with pytest.raises(ChainBroken):
        read_entries(data)


def test_a_clock_put_back_is_told() -> None:
    last = chain(1)[0].link
    with pytest.raises(ChainBroken, match="later than now"):
        next_entry(last, "plate", {}, about="", at=NOW - timedelta(seconds=2))


def test_the_journal_keeps_what_was_added(tmp_path: Path) -> None:
    journal = Journal(folder=tmp_path / "evidence", now=lambda: NOW)
    assert journal.entries() == ()
    assert journal.head() is None
    first, second = journal.add("plate", {"photo": "a"}, about="x"), journal.add("custody", {"to": "b"})
    assert journal.entries() == (first, second)
    assert journal.head() == second.link
    assert second.link.before == first.link.hash


def test_the_journals_file_refuses_changes_and_a_damaged_one_is_told(tmp_path: Path) -> None:
    import sqlite3
    from contextlib import closing

    journal = Journal(folder=tmp_path, now=lambda: NOW)
    journal.add("plate", {"photo": "a"})
    with closing(sqlite3.connect(journal.file)) as connection:
        for statement in ("UPDATE record SET line = 'x'", "DELETE FROM record"):
            with pytest.raises(sqlite3.DatabaseError, match="never"):
                connection.execute(statement)
    journal.file.write_bytes(b"no database" * 200)
    with pytest.raises(JournalUnusable):
        journal.entries()
    with pytest.raises(JournalUnusable):
        journal.add("plate", {"photo": "b"})


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "evidence").write_text("a file where the folder would be", encoding="utf-8")
    with pytest.raises(JournalUnusable, match="can't be used"):
        Journal(folder=tmp_path / "evidence", now=lambda: NOW).add("plate", {"photo": "a"})


def test_two_writers_at_once_make_one_chain(tmp_path: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    journal = Journal(folder=tmp_path, now=lambda: NOW)
    journal.add("plate", {"photo": "first"})
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda n: journal.add("plate", {"photo": str(n)}), range(40)))
    entries = journal.entries()
    assert len(entries) == 41
    assert {entry.body["photo"] for entry in entries if entry.body} == {"first", *(str(n) for n in range(40))}
