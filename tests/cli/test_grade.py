import csv
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import Result

from grader.cli.exits import Exit
from grader.records.standards import DEFAULT_STANDARD
from grader.standard import load_shipped, standard_sha256, write_standard

Make = Callable[..., Path]
Call = Callable[..., Result]

pytestmark = pytest.mark.usefixtures("made_up_grading")


def test_each_photo_gets_its_files_and_the_run_its_summary(call: Call, folder: Make, tmp_path: Path) -> None:
    out = tmp_path / "a" / "graded"
    result = call("grade", folder("p1.jpg", "p2-refused.jpg", "p1.mask.png"), "--out", out)
    assert result.exit_code == Exit.DONE
    assert sorted(path.name for path in out.iterdir()) == [
        ".finished.jsonl",
        "fries.csv",
        "p1.graded.jpg",
        "p1.json",
        "p1.labels.png",
        "p2-refused.graded.jpg",
        "p2-refused.json",
        "p2-refused.labels.png",
        "summary.json",
    ]
    assert json.loads((out / "p1.json").read_text())["status"] == "measured"
    assert "PASS" in result.stdout
    assert "p2-refused.jpg was refused" in result.stdout
    assert "Lay the card beside the plate." in result.stdout
    assert "Colour is not doneness" in result.stdout


def test_a_fault_in_one_photo_never_stops_the_rest(
    call: Call, folder: Make, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    result = call("grade", folder("a-burst.jpg", "b.jpg"), "--out", tmp_path / "out")
    assert result.exit_code == Exit.DONE
    record = json.loads((tmp_path / "out" / "a-burst.json").read_text())
    assert (record["status"], record["reasons"][0]["code"]) == ("refused", "program_fault")
    assert len(record["sha256"]) == 64
    assert json.loads((tmp_path / "out" / "b.json").read_text())["status"] == "measured"
    assert "ZeroDivisionError" in caplog.text


def test_a_file_that_cannot_be_read_is_refused(
    call: Call, folder: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    top = folder("a.jpg", "b.jpg")
    whole = Path.read_bytes

    def read(path: Path) -> bytes:
        if path.name == "a.jpg":
            raise PermissionError(13, "Permission denied")
        return whole(path)

    monkeypatch.setattr(Path, "read_bytes", read)
    assert call("grade", top, "--out", tmp_path / "out").exit_code == Exit.DONE
    assert json.loads((tmp_path / "out" / "a.json").read_text())["reasons"][0]["code"] == "photo_unreadable"


def test_two_photos_of_one_name_keep_apart(call: Call, folder: Make, tmp_path: Path) -> None:
    top = folder("lunch/p.jpg", "dinner/p.jpg")
    result = call("grade", top, "--out", tmp_path / "out", "--json")
    record = json.loads(result.stdout)
    photos = {batch["name"]: batch["photos"][0] for batch in record["batches"]}
    assert {name: photo["name"] for name, photo in photos.items()} == {"dinner": "p", "lunch": "p-2"}
    assert (tmp_path / "out" / "p-2.json").exists()
    assert photos["lunch"]["source"].endswith("lunch/p.jpg")


def test_json_is_all_that_stdout_holds(call: Call, folder: Make, tmp_path: Path) -> None:
    result = call("grade", folder("a.jpg", "b.txt"), "--out", tmp_path / "out", "--json")
    assert json.loads(result.stdout) == json.loads((tmp_path / "out" / "summary.json").read_text())


@pytest.mark.parametrize(
    ("photos", "code"),
    [
        (("a.jpg",), Exit.DONE),
        (("a.jpg", "b.jpg"), Exit.FAILED),
        (("a.jpg", "b.jpg", "c-refused.jpg"), Exit.FAILED),
        (("a.jpg", "c-refused.jpg"), Exit.REFUSED),
        (("c-refused.jpg",), Exit.REFUSED),
        (("a.jpg", "b.jpg", "c.jpg"), Exit.UNDECIDED),
    ],
)
def test_the_verdict_as_exit_code(
    call: Call, folder: Make, tmp_path: Path, photos: tuple[str, ...], code: Exit
) -> None:
    assert call("grade", folder(*photos), "--out", tmp_path / "out", "--exit-verdict").exit_code == code
    assert call("grade", tmp_path / "plates", "--out", tmp_path / "out").exit_code == Exit.DONE


def test_fries_of_all_batches_are_in_one_table(call: Call, folder: Make, tmp_path: Path) -> None:
    call("grade", folder("lunch/p.jpg", "dinner/q.jpg"), "--out", tmp_path / "out")
    with (tmp_path / "out" / "fries.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["batch"], row["photo"]) for row in rows] == [("dinner", "q.jpg")] * 5 + [("lunch", "p.jpg")] * 5


def test_left_out_files_are_named_on_stderr(call: Call, folder: Make, tmp_path: Path) -> None:
    top = folder("a.jpg", "a.mask.png")
    result = call("grade", top / "a.jpg", top / "a.mask.png", "--out", tmp_path / "out")
    assert "a.mask.png" in result.stderr
    assert "a.mask.png" not in result.stdout


@pytest.mark.parametrize("as_json", [False, True])
def test_wrong_use_is_told_without_a_traceback(call: Call, tmp_path: Path, *, as_json: bool) -> None:
    result = call("grade", tmp_path / "nowhere", "--out", tmp_path / "out", *(["--json"] if as_json else []))
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "nowhere" in result.stderr
    assert not as_json or "nowhere" in json.loads(result.stdout)["error"]["message"]


def test_a_folder_that_cannot_be_made(call: Call, folder: Make, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    result = call("grade", folder("a.jpg"), "--out", tmp_path / "file" / "out")
    assert result.exit_code == Exit.NOT_WRITTEN
    assert "Traceback" not in result.output


def test_a_faulty_standard_is_told_before_anything_is_graded(call: Call, folder: Make, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("name = 3\n")
    result = call("grade", folder("a.jpg"), "--out", tmp_path / "out", "--standard", tmp_path / "mine.toml")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "name" in result.stderr
    assert not (tmp_path / "out").exists()


def test_a_claim_is_asked_and_recorded(call: Call, folder: Make, tmp_path: Path) -> None:
    out = tmp_path / "out"
    result = call("grade", folder("p1.jpg", "p2.jpg"), "--out", out, "--question", "claim")
    assert result.exit_code == Exit.DONE, result.output
    (batch,) = json.loads((out / "summary.json").read_text())["batches"]
    assert batch["verdict"]["terms"] == {
        "question": "claim",
        "pass_from": 0.975,
        "fail_to": 0.025,
        "plates_apart": None,
    }
    plate = json.loads((out / "p1.json").read_text())["verdict"]
    assert (plate["terms"]["question"], plate["outcome"]) == ("claim", "undecided")


def test_earlier_results_say_how_far_plates_differ(call: Call, folder: Make, tmp_path: Path) -> None:
    earlier, out = tmp_path / "earlier", tmp_path / "out"
    names = [f"b{batch}/p{batch}{plate}.jpg" for batch in range(7) for plate in "abc"]
    assert call("grade", folder(*names, below="before"), "--out", earlier).exit_code == Exit.DONE
    result = call("grade", folder("p1.jpg"), "--out", out, "--history", earlier)
    assert result.exit_code == Exit.DONE, result.output
    (batch,) = json.loads((out / "summary.json").read_text())["batches"]
    assert batch["verdict"]["terms"]["plates_apart"]["plates"] == 21


def test_what_history_can_not_be_is_said_before_anything_is_graded(call: Call, folder: Make, tmp_path: Path) -> None:
    plates = folder("p1.jpg")
    none = call("grade", plates, "--out", tmp_path / "out", "--history", tmp_path / "nowhere")
    both = call("grade", plates, "--out", tmp_path / "out", "--question", "claim", "--history", tmp_path)
    assert none.exit_code == both.exit_code == Exit.FAULTY_INPUT
    assert "holds no results of a run." in none.stderr
    assert "own plates alone" in both.stderr
    assert not (tmp_path / "out").exists()


def test_the_stage_is_told_in_the_results_with_its_caution(call: Call, folder: Make, tmp_path: Path) -> None:
    result = call("grade", folder("p1.jpg"), "--out", tmp_path / "out", "--stage", "blanched")
    assert result.exit_code == Exit.DONE, result.output
    assert "aren't ready to eat" in " ".join(result.stdout.split())
    for name in ("p1.json", "summary.json"):
        told = json.loads((tmp_path / "out" / name).read_text())["standard"]
        assert told["stage"] == "blanched"
        assert "aren't ready to eat" in told["stage_caution"]
        assert told["sha256"] == standard_sha256(load_shipped()[DEFAULT_STANDARD])


def test_a_stage_that_the_standard_lacks_is_refused_before_anything_is_graded(
    call: Call, folder: Make, tmp_path: Path
) -> None:
    older = tmp_path / "older.toml"
    older.write_text(
        write_standard(replace(load_shipped()[DEFAULT_STANDARD], name="Invented house", stages=())), encoding="utf-8"
    )
    result = call("grade", folder("p1.jpg"), "--out", tmp_path / "out", "--standard", older, "--stage", "held")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert "no limits for held fries" in result.stderr
    assert "It has limits for finished ones" in result.stderr
    assert not (tmp_path / "out").exists()
