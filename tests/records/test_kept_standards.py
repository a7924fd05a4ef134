"""Kept standards: succeeded and never edited, every edit behind the program's back told, what they judged recorded."""

import hashlib
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import DocumentFaulty, GraderError
from grader.records.kept_files import Kept, Signed, kept_text, read_kept
from grader.records.kept_standards import (
    KeptChanged,
    check_not_edited,
    keep_standard,
    kept_keys,
    load_kept,
    next_version,
    note_judged,
    uses_of,
)
from grader.records.readings import standard_record
from grader.records.standards import chosen_standard
from grader.standard import Standard, changes, load_shipped, read_standard, write_standard
from tests.standard.test_writing import TEXT, standards

FIRST = replace(load_shipped()["strips-9.5mm-skin-on"], name="Invented house", version="1")
AT = datetime(2026, 3, 5, 12, 30, tzinfo=UTC)
SIGNED = Signed(by="AB", at=AT, why="as agreed with the invented kitchen")


def edited(version: str, target_to: float) -> Standard:
    return replace(FIRST, version=version, scale=replace(FIRST.scale, target_to=target_to))


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A folder in which three versions are kept under one key."""
    keep_standard(tmp_path, "house", FIRST, SIGNED, succeeds=False)
    keep_standard(tmp_path, "house", edited("2", 4.5), SIGNED, succeeds=True)
    keep_standard(tmp_path, "house", edited("3", 4.6), replace(SIGNED, by="CD"), succeeds=True)
    return tmp_path


def faults(error: pytest.ExceptionInfo[DocumentFaulty]) -> dict[str, str]:
    return {fault.field: fault.message for fault in error.value.faults}


def test_versions_come_back_as_they_were_kept(kept: Path) -> None:
    versions = load_kept(kept, "house")
    assert [one.standard for one in versions] == [FIRST, edited("2", 4.5), edited("3", 4.6)]
    assert [(one.turn, one.signed.by, one.signed.at) for one in versions] == [
        (1, "AB", AT),
        (2, "AB", AT),
        (3, "CD", AT),
    ]
    assert [one.before for one in versions] == ["", versions[0].seal, versions[1].seal]
    assert (kept_keys(kept), load_kept(kept, "other")) == (("house",), ())


def test_what_changed_is_told_field_by_field() -> None:
    assert changes(FIRST, edited("2", 4.5)) == ('version "1" -> "2"', "scale.target_to 4.7 -> 4.5")
    fewer = replace(FIRST, stages=FIRST.stages[:1], limits=replace(FIRST.limits, crumb_share_at_most=0.05))
    assert changes(FIRST, fewer) == (
        "stages.held.target_from 2.9 -> left out",
        "stages.held.target_to 5.0 -> left out",
        "limits.crumb_share_at_most left out -> 0.05",
    )
    paler = replace(FIRST.scale.steps[1], lab=(70.5, 0.75, 27.0))
    steps = replace(FIRST.scale, steps=(FIRST.scale.steps[0], paler, *FIRST.scale.steps[2:]))
    told = changes(FIRST, replace(FIRST, scale=steps))
    assert told == ("scale.steps[2].lab [70.0, 0.75, 27.0] -> [70.5, 0.75, 27.0]",)


@given(standards(), TEXT, TEXT, st.datetimes(timezones=st.just(UTC)))
def test_any_standard_is_kept_without_loss(standard: Standard, by: str, why: str, at: datetime) -> None:
    text = kept_text(standard, Signed(by=by, at=at, why=why), before="ab")
    found = read_kept(text.encode(), key="house", turn=4)
    assert isinstance(found, Kept)
    assert (found.standard, found.signed, found.before) == (standard, Signed(by=by, at=at, why=why), "ab")
    assert found.sha256 == standard_record(standard)["sha256"]


def test_the_seal_and_the_hash_are_sha256_of_what_stands_above_them(kept: Path) -> None:
    """By the standard library alone, as anybody can check."""
    data = (kept / "house" / "0002.toml").read_bytes()
    versions = load_kept(kept, "house")
    assert versions[1].sha256 == hashlib.sha256(data[: data.index(b"\n[kept]\n")]).hexdigest()
    assert versions[1].seal == hashlib.sha256(data[: data.index(b"seal = ")]).hexdigest()
    assert read_standard(data[: data.index(b"\n[kept]\n")].decode(), name="above") == edited("2", 4.5)


@pytest.mark.parametrize("name", ["0001.toml", "0002.toml", "0003.toml"])
@pytest.mark.parametrize(
    ("old", "new"),
    [("off_scale_de = 14.0", "off_scale_de = 15.0"), ("invented kitchen", "real kitchen"), ('seal = "', 'seal = "0')],
)
def test_an_edit_is_told_wherever_it_is_made(kept: Path, name: str, old: str, new: str) -> None:
    path = kept / "house" / name
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(KeptChanged) as error:
        load_kept(kept, "house")
    assert faults(error) == {name: "was changed since it was kept"}


def test_a_version_taken_away_or_replaced_is_told(kept: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    other = tmp_path_factory.mktemp("other")
    keep_standard(other, "house", edited("1", 4.4), SIGNED, succeeds=False)
    whole = (kept / "house" / "0001.toml").read_bytes()
    (kept / "house" / "0001.toml").write_bytes((other / "house" / "0001.toml").read_bytes())
    with pytest.raises(KeptChanged) as error:
        load_kept(kept, "house")
    assert "succeeds another version" in faults(error)["0002.toml"]
    (kept / "house" / "0001.toml").write_bytes(whole)
    (kept / "house" / "0002.toml").unlink()
    with pytest.raises(KeptChanged) as error:
        load_kept(kept, "house")
    assert "taken away" in faults(error)["0003.toml"]


def test_a_version_that_judged_and_is_gone_is_told(kept: Path) -> None:
    note_judged(kept, edited("3", 4.6), plates=2, at=AT)
    (kept / "house" / "0003.toml").unlink()
    with pytest.raises(KeptChanged) as error:
        load_kept(kept, "house")
    assert "is no longer here" in faults(error)["judged.jsonl"]


def test_who_judged_is_added_up_and_a_line_cut_short_does_no_harm(kept: Path) -> None:
    note_judged(kept, edited("2", 4.5), plates=3, at=AT)
    with (kept / "house" / "judged.jsonl").open("a") as file:
        file.write('{"at": "2026-03\n')
    note_judged(kept, edited("2", 4.5), plates=1, at=AT)
    note_judged(kept, replace(FIRST, name="kept nowhere"), plates=9, at=AT)
    first, second, _ = load_kept(kept, "house")
    assert [use.plates for use in uses_of(kept, second)] == [3, 1]
    assert uses_of(kept, first) == ()


def test_all_that_speaks_against_keeping_is_told_at_once(kept: Path) -> None:
    with pytest.raises(DocumentFaulty) as error:
        keep_standard(kept, "house", edited("2", 4.6), Signed(by=" ", at=AT, why="x" * 1001), succeeds=False)
    assert set(faults(error)) == {"key", "version", "by", "why"}
    assert len(load_kept(kept, "house")) == 3


@pytest.mark.parametrize(
    ("key", "standard", "succeeds", "field", "says"),
    [
        ("House", FIRST, False, "key", "small letters"),
        ("../up", FIRST, False, "key", "small letters"),
        ("strips-6.5mm-peeled", FIRST, False, "key", "ships"),
        ("house", edited("4", 4.0), False, "key", "is kept already"),
        ("new", FIRST, True, "key", "nothing is kept yet"),
        ("house", edited("4", 4.6), True, "version", "changes nothing since version 3"),
        ("house", edited("2", 4.0), True, "version", "give a new one"),
    ],
)
def test_what_can_not_be_kept(kept: Path, key: str, standard: Standard, succeeds: bool, field: str, says: str) -> None:
    with pytest.raises(DocumentFaulty) as error:
        keep_standard(kept, key, standard, SIGNED, succeeds=succeeds)
    assert says in faults(error)[field]


def test_the_next_version_is_a_number_that_none_has(kept: Path) -> None:
    assert next_version(load_kept(kept, "house")) == "4"
    assert next_version(()) == "1"


def test_a_kept_standard_is_chosen_by_its_key(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("grader.records.standards.standards_folder", lambda: kept)
    assert chosen_standard(Path("house")) == edited("3", 4.6)
    assert chosen_standard(Path("house@1")) == FIRST
    with pytest.raises(GraderError, match="has no house@9"):
        chosen_standard(Path("house@9"))
    with pytest.raises(GraderError, match="can't be read") as error:
        chosen_standard(Path("hose"))
    assert "house" in error.value.hint


def test_a_folder_without_a_version_is_no_standard(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk was full when its first version was to be written."""
    (kept / "empty").mkdir()
    assert kept_keys(kept) == ("house",)
    monkeypatch.setattr("grader.records.standards.standards_folder", lambda: kept)
    with pytest.raises(GraderError, match="can't be read"):
        chosen_standard(Path("empty"))


def test_a_file_that_passes_for_a_kept_version_is_refused(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("grader.records.standards.standards_folder", lambda: kept)
    file = tmp_path / "mine.toml"
    file.write_text(write_standard(edited("2", 4.5)), encoding="utf-8")
    assert chosen_standard(file) == edited("2", 4.5)
    file.write_text(write_standard(edited("2", 4.9)), encoding="utf-8")
    with pytest.raises(GraderError, match=r"version 2, is kept with other values: scale\.target_to 4\.5 -> 4\.9"):
        chosen_standard(file)
    check_not_edited(kept, edited("9", 4.9))


def test_a_shipped_standard_edited_under_its_own_name_and_version_is_refused(tmp_path: Path) -> None:
    ships = load_shipped()["strips-9.5mm-skin-on"]
    other = replace(ships, scale=replace(ships.scale, target_to=4.9))
    with pytest.raises(GraderError, match="ships with other values") as refused:
        check_not_edited(tmp_path, other)
    assert "name or a version" in refused.value.hint
    check_not_edited(tmp_path, ships)
    check_not_edited(tmp_path, replace(other, name="Invented house"))
