"""The records on the command line: `grade --kitchen` and the `records` commands, with a pipeline that is made up."""

import csv
import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from grader.card_values import KnownValues
from grader.evidence.journal import Journal, house_journal
from grader.grading import METHOD_VERSION, GradedPhoto, Progress
from grader.places import HOME_VARIABLE
from grader.records.database import Kept
from grader.records.database.keeping import keep_plate
from grader.standard.model import Standard
from grader.trueness import Study
from tests.records import made_up

Call = Callable[..., Result]
HERE = ("--kitchen", "Harbour (invented)", "--zone", "Europe/Lisbon", "--by", "AB")


@pytest.fixture(autouse=True)
def own_records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Records of this test alone."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home" / "records"


@pytest.fixture(autouse=True)
def grading(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every photo is the same plate, but for those called "refused"; what was graded is noted."""
    graded: list[str] = []

    def grade_photo(
        data: bytes,
        *,
        name: str,
        standard: Standard,
        known: KnownValues | None,
        studies: Sequence[Study],
        progress: Progress | None = None,
    ) -> GradedPhoto:
        assert standard.name
        assert known is not None
        assert studies == ()
        if progress is not None:
            progress(0.5, "finding the fries")
        graded.append(name)
        found = made_up.refused(name) if "refused" in name else made_up.graded(name)
        return replace(found, sha256=hashlib.sha256(data).hexdigest(), method_version=METHOD_VERSION)

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)
    return graded


@pytest.fixture
def plates(tmp_path: Path) -> Path:
    """Two batches, b1 of two photos and b2 of two, one of which can't be judged."""
    top = tmp_path / "plates"
    for name in ("b1/one.jpg", "b1/two.jpg", "b2/three.jpg", "b2/refused.jpg"):
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_bytes(name.encode())
    return top


def told(result: Result) -> dict[str, object]:
    assert result.exit_code == 0, result.output
    found: dict[str, object] = json.loads(result.stdout)
    return found


def kept(call: Call) -> dict[str, int]:
    found = told(call("records", "show", "--json"))["kept"]
    assert isinstance(found, dict)
    return found


def test_grade_keeps_only_with_a_kitchen(call: Call, plates: Path, own_records: Path, tmp_path: Path) -> None:
    assert call("grade", plates, "--out", tmp_path / "out").exit_code == 0
    assert not own_records.exists()
    result = call("grade", plates, "--out", tmp_path / "out", *HERE, "--shift", "lunch", "--fryer", "2")
    assert result.exit_code == 0, result.output
    assert "4 plates new" in result.output
    assert kept(call) | {"plate": 4, "batch": 2, "shift": 1, "fryer": 1} == kept(call)


def test_grade_refuses_a_shift_of_no_kitchen_before_grading(
    call: Call, plates: Path, tmp_path: Path, grading: list[str]
) -> None:
    result = call("grade", plates, "--out", tmp_path / "out", "--shift", "lunch")
    assert result.exit_code == 2
    assert "--kitchen" in result.output
    result = call("grade", plates, "--out", tmp_path / "out", "--kitchen", "Nobody's")
    assert result.exit_code == 2
    assert "isn't known yet" in result.output
    for kept_in in (("--records", f"sqlite:///{tmp_path / 'x.sqlite3'}"), ("--photo-store", tmp_path / "photos")):
        result = call("grade", plates, "--out", tmp_path / "out", *kept_in)
        assert result.exit_code == 2
        assert f"{kept_in[0]} is said of plates of no kitchen." in result.output
    assert grading == []


def test_import_passes_over_what_grade_kept(call: Call, plates: Path, tmp_path: Path, grading: list[str]) -> None:
    call("grade", plates, "--out", tmp_path / "out", *HERE)
    grading.clear()
    result = call("records", "import", plates, *HERE)
    assert "2 batches: 0 plates new, 4 known" in result.output
    assert grading == []


def chained() -> list[str]:
    """The names of the plates in the chain."""
    return [(entry.body or {})["name"] for entry in house_journal().of_kind("plate")]


def cut_short(monkeypatch: pytest.MonkeyPatch, after: int, call: Callable[[], Result]) -> None:
    """A run that dies as this many plates are kept."""
    done = list[Kept]()

    def keep_and_die(*given: Any, **more: Any) -> Kept:
        if len(done) == after:
            raise KeyboardInterrupt
        done.append(keep_plate(*given, **more))
        return done[-1]

    with monkeypatch.context() as patch:
        patch.setattr("grader.records.database.importing.keep_plate", keep_and_die)
        assert call().exit_code != 0


def test_grade_chains_batch_by_batch_and_what_an_earlier_run_left(
    call: Call, plates: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("grade", plates, "--out", tmp_path / "out", *HERE)
    cut_short(monkeypatch, 3, lambda: call(*asked))
    assert chained() == ["one.jpg", "two.jpg"], "the batch that had ended"
    assert call(*asked).exit_code == 0
    assert sorted(chained()) == ["one.jpg", "refused.jpg", "three.jpg", "two.jpg"]


def test_import_chains_what_an_earlier_run_left(call: Call, plates: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = ("records", "import", plates, *HERE)
    cut_short(monkeypatch, 3, lambda: call(*asked))
    with monkeypatch.context() as patch:
        patch.setattr("grader.evidence.arrivals.house_journal", lambda: Journal(folder=plates / "b1" / "one.jpg"))
        assert "not entered in the chain" in call(*asked).output
    assert chained() == ["one.jpg", "two.jpg"]
    assert call(*asked).exit_code == 0, "all is kept already"
    assert sorted(chained()) == ["one.jpg", "refused.jpg", "three.jpg", "two.jpg"]


def test_import_tells_each_batch_as_json_too(call: Call, plates: Path) -> None:
    batches = told(call("records", "import", plates, *HERE, "--json"))["batches"]
    assert isinstance(batches, list)
    assert [(one["name"], one["new"], one["problems"]) for one in batches] == [("b1", 2, []), ("b2", 2, [])]


def test_known_plates_that_were_withdrawn_are_counted(call: Call, plates: Path) -> None:
    call("records", "import", plates, *HERE)
    signed = ("--by", "CD", "--why", "a test photo")
    call("records", "correct", "plate", 1, "--withdraw", *signed)
    call("records", "correct", "batch", 2, "--withdraw", *signed)
    told = call("records", "import", plates, *HERE).output
    assert "b1: 0 new, 2 known (1 withdrawn)" in told
    assert "b2: 0 new, 2 known (2 withdrawn)" in told


def test_known_plates_stay_as_they_are_kept_and_that_is_told(call: Call, plates: Path) -> None:
    call("records", "import", plates / "b1", *HERE, "--shift", "lunch")
    told = call("records", "import", plates, *HERE, "--shift", "dinner", "--fryer", "7").output
    assert "2 plates of batch 1 stay as they are kept: fryer not told, not 7; shift lunch, not dinner." in told
    assert "records correct batch 1" in told
    assert "of batch 2" not in told


def test_a_mistyped_kitchen_is_not_added_where_nothing_is_kept(call: Call, plates: Path) -> None:
    call("records", "import", plates, *HERE)
    told = call("records", "import", plates, "--kitchen", "harbour", "--zone", "Europe/Lisbon").output
    assert "kitchen Harbour (invented), not harbour" in told
    assert kept(call)["kitchen"] == 1


def test_a_lot_is_named_wholly_or_not_at_all(call: Call, plates: Path) -> None:
    result = call("records", "import", plates, *HERE, "--lot", "7")
    assert result.exit_code == 2
    assert "--supplier" in result.output
    result = call("records", "import", plates, *HERE, "--lot", "7", "--supplier", "Growers", "--received", "May")
    assert result.exit_code == 2
    assert "2026-10-05" in result.output


def test_a_correction_is_shown_with_what_was_kept_before(call: Call, plates: Path) -> None:
    call("records", "import", plates, *HERE, "--lot", "7", "--supplier", "Growers", "--variety", "Maris")
    change = ("correct", "lot", 1, "--set", "variety=Russet", "--by", "CD", "--why", "read the sack")
    assert call("records", *change).exit_code == 0
    assert "variety Russet" in call("records", "show", "lot").output
    shown = call("records", "show", "lot", 1).output
    assert "Maris" in shown
    assert "by CD: read the sack" in shown
    for wrong in (("lot", 9), ("kettle",)):
        assert call("records", "show", *wrong).exit_code == 2
    assert call("records", "correct", "lot", 1, "--set", "variety", "--by", "CD", "--why", "x").exit_code == 2


def test_a_correction_that_takes_up_what_was_withdrawn_says_so(call: Call, plates: Path) -> None:
    call("records", "import", plates, *HERE)
    signed = ("--by", "CD", "--why", "it was there after all")
    assert "plate 1 was withdrawn; what" in call("records", "correct", "plate", 1, "--withdraw", *signed).output
    assert "withdrawn, and is taken up again" in call("records", "correct", "plate", 1, *signed).output
    assert "4 of the kind plate" in call("records", "show", "plate").output


def test_events_are_kept_by_the_kitchens_clock(call: Call, plates: Path) -> None:
    event = ("event", "oil changed", "--kitchen", "Harbour (invented)", "--at", "2026-07-06T09:30")
    assert call("records", *event).exit_code == 2  # nobody knows the kitchen's clock yet
    call("records", "import", plates, *HERE)
    assert call("records", *event).exit_code == 0
    assert "2026-07-06 08:30:00+00:00" in call("records", "show", "event").output


def test_tables_are_written_and_no_cell_runs(call: Call, plates: Path, tmp_path: Path) -> None:
    call("records", "import", plates, "--kitchen", "=Harbour", "--zone", "Europe/Lisbon")
    assert call("records", "export", "--out", tmp_path / "tables").exit_code == 0
    with (tmp_path / "tables" / "plates.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 4
    assert {row["kitchen"] for row in rows} == {"'=Harbour"}


def test_backup_restore_and_doctor(call: Call, plates: Path, tmp_path: Path) -> None:
    call("records", "import", plates, *HERE)
    assert call("records", "backup", "--out", tmp_path / "copy").exit_code == 0
    assert call("records", "backup", "--out", tmp_path / "copy").exit_code == 2
    assert call("records", "restore", tmp_path / "copy", "--into", tmp_path / "again").exit_code == 0
    assert call("records", "restore", tmp_path / "copy", "--into", tmp_path / "again").exit_code == 2
    restored = ("--records", f"sqlite:///{tmp_path / 'again' / 'records.sqlite3'}")
    assert call("records", "doctor", *restored).exit_code == 0
    next((tmp_path / "again" / "photos").glob("??/*")).unlink()
    assert call("records", "doctor", *restored).exit_code == 4
    mended = call("records", "doctor", *restored, "--mend", "--photos-from", plates)
    assert mended.exit_code == 0, mended.output
    assert "1 found, 1 mended, 0 left" in mended.output


def test_a_copy_without_a_photo_says_so_and_so_do_records_made_of_it(
    call: Call, plates: Path, own_records: Path, tmp_path: Path
) -> None:
    call("records", "import", plates, *HERE)
    next((own_records / "photos").glob("??/*")).unlink()
    made = call("records", "backup", "--out", tmp_path / "copy")
    restored = call("records", "restore", tmp_path / "copy", "--into", tmp_path / "again")
    for told in (made, restored):
        assert told.exit_code == 4
        assert "4 plates, 3 photos" in told.output
        assert "Without 1 photo that the store had lost" in told.output


@pytest.mark.parametrize(
    "asked", [("grade", "--out", "OUT"), ("grade", "--out", "OUT", "--exit-verdict"), ("records", "import")]
)
def test_what_cannot_be_kept_is_told_by_the_exit_code(
    call: Call, plates: Path, own_records: Path, tmp_path: Path, asked: tuple[str, ...]
) -> None:
    own_records.mkdir(parents=True)
    (own_records / "photos").write_text("in the way of the photos")
    told = call(*(str(tmp_path / "out") if one == "OUT" else one for one in asked), plates, *HERE)
    assert told.exit_code == 5, told.output
    assert "one.jpg" in told.output
    assert "0 plates new" in told.output


def test_folders_may_have_any_name(call: Call, plates: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A "?" would end the name of a file within an address."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home?3"))
    call("records", "import", plates, *HERE)
    assert (tmp_path / "home?3" / "records" / "records.sqlite3").exists()
    assert call("records", "backup", "--out", tmp_path / "copy").exit_code == 0
    restored = call("records", "restore", tmp_path / "copy", "--into", tmp_path / "again?2")
    assert restored.exit_code == 0
    assert "4 plates" in restored.output
    assert sorted(one.name for one in tmp_path.iterdir()) == ["again?2", "copy", "home?3", plates.name]


@pytest.mark.parametrize("asked", [("show", "batch", 2**31), ("correct", "batch", 2**31, "--by", "AB", "--why", "x")])
def test_an_id_beyond_all_is_refused(call: Call, asked: tuple[object, ...]) -> None:
    refused = call("records", *asked)
    assert refused.exit_code == 2
    assert "2147483647" in refused.output


def test_words_that_are_no_text_are_refused(call: Call, plates: Path) -> None:
    no_text = "\udcff"  # as Python reads the byte ff from the command line
    graded = call("records", "import", plates, "--kitchen", no_text, "--zone", "Europe/Lisbon")
    event = ("event", "other", "--at", "2026-07-06T09:30")
    call("records", "import", plates, *HERE)
    for told in (
        graded,
        call("records", *event, "--kitchen", no_text),
        call("records", *event, *HERE[:2], "--words", no_text),
        call("records", "correct", "kitchen", 1, "--set", f"name={no_text}", "--by", "AB", "--why", "x"),
        call("consistency", "chart", "--kitchen", no_text),
    ):
        assert told.exit_code == 2
        assert "is not UTF-8 text" in told.output


def test_photos_are_forgotten_after_a_rehearsal(call: Call, plates: Path, own_records: Path) -> None:
    call("records", "import", plates, *HERE)
    forget = ("forget-photos", "--before", "2027-01-01", "--by", "CD", "--why", "kept for a year")
    assert "4 photos would be deleted" in call("records", *forget, "--rehearse").output
    assert len(list(own_records.glob("photos/??/*"))) == 4
    assert "4 photos deleted" in call("records", *forget).output
    assert list(own_records.glob("photos/??/*")) == []
    assert call("records", *forget[:2], "soon", *forget[3:]).exit_code == 2


def test_photos_that_a_sealed_file_was_made_of_are_not_forgotten(call: Call, plates: Path, own_records: Path) -> None:
    call("records", "import", plates, *HERE)
    journal = house_journal()
    first = journal.of_kind("plate")[0].link.about
    journal.add("bundle", {"by": "AB", "manifest": "0" * 64, "plates": 2}, about=first)
    forget = ("forget-photos", "--before", "2027-01-01", "--by", "CD", "--why", "kept for a year")
    told = "2 photos {} (0.0 MB); 2 spared, because they are in a claim or a sealed file."
    assert told.format("would be deleted") in call("records", *forget, "--rehearse").output
    assert told.format("deleted") in call("records", *forget).output
    assert len(list(own_records.glob("photos/??/*"))) == 2


def test_regrade_finds_nothing_that_this_method_graded(call: Call, plates: Path, grading: list[str]) -> None:
    call("records", "import", plates, *HERE)
    grading.clear()
    assert "0 batches" in call("records", "regrade").output
    assert grading == []


def test_an_address_that_is_none_is_told_in_words(call: Call) -> None:
    for url in ("mysql://there/records", "nonsense", "sqlite://"):
        result = call("records", "show", "--records", url)
        assert result.exit_code == 2
        assert "sqlite:///FILE" in result.output


@pytest.mark.parametrize(
    "asked",
    [
        ("records", "show"),
        ("records", "regrade"),
        ("records", "correct", "lot", "1", "--by", "AB", "--why", "x", "--withdraw"),
        ("records", "event", "other", "--kitchen", "Harbour", "--at", "2026-07-06T09:30"),
        ("records", "export", "--out", "OUT"),
        ("records", "backup", "--out", "OUT"),
        ("records", "doctor"),
        ("records", "forget-photos", "--before", "2027-01-01", "--by", "AB", "--why", "x"),
        ("evidence", "list"),
        ("line", "causes", "--id", "1"),
        ("line", "print", "OUT", "--id", "1"),
        ("consistency", "compare", "--by", "shift", "--worth", "0.3"),
        ("consistency", "chart"),
        ("consistency", "baseline", "--from", "2026-07-01", "--until", "2026-07-02", "--by", "AB", "--why", "x"),
    ],
)
def test_records_that_are_not_there_are_not_made_by_asking(call: Call, tmp_path: Path, asked: tuple[str, ...]) -> None:
    """A mistyped address would else be an empty house, and its backup one of nothing."""
    mistyped = tmp_path / "no" / "records.sqlite3"
    told = [str(tmp_path / "out") if one == "OUT" else one for one in asked]
    result = call(*told, "--records", f"sqlite:///{mistyped}")
    assert result.exit_code == 2
    assert f"There are no records in sqlite:///{mistyped}" in result.output
    assert not mistyped.parent.exists()
    assert not (tmp_path / "out").exists()
