import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from grader.cli.exits import Exit
from tests.cli.conftest import Call
from tests.cli.test_sampling import said


def test_causes_of_what_a_cook_sees(call: Call) -> None:
    told = said(call("line", "causes", "--seen", "dark", "--told", "finish_c=201", "--told", "oil_age_days=1"))
    assert "1. The finishing oil was too hot (likely)" in told
    assert "8 °C hotter than is usual. [common practice]" in told
    assert "Spoken against: The oil is old." in told
    assert "check: Hold a probe thermometer" in told
    assert "Your local code comes first" in told


def test_causes_without_any_record_say_so(call: Call) -> None:
    told = said(call("line", "causes", "--seen", "pale", "--seen", "uneven"))
    assert "Nothing recorded speaks for any of them" in told
    assert "Would tell most, and wasn't told: " in told
    assert "First of uneven in colour" in told


def test_causes_of_what_a_run_found(call: Call, tmp_path: Path) -> None:
    (tmp_path / "summary.json").write_text(
        """{"standard": {"stage": "blanched"}, "batches": [{"name": "b1", "verdict": {"limits": [{"key": "colour",
        "outcome": "fail", "measured": 3.0, "lower": 0.0, "upper": 2.2, "counted": 40}]}}]}""",
        encoding="utf-8",
    )
    told = said(call("line", "causes", "--results", tmp_path, "--told", "air_min=30"))
    assert "Seen: dark or grey after the blanch." in told
    assert "1. Cut strips browned in the air" in told
    refused = call("line", "causes", "--results", tmp_path, "--batch", "b9")
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "Judged there: b1." in refused.stderr


def test_what_cannot_be_is_told_with_what_can(call: Call) -> None:
    for wrong, words in (
        (("--seen", "burnt"), "Words: dark, pale"),
        (("--seen", "dark", "--told", "finish_c"), "no FIELD=VALUE"),
        (("--seen", "dark", "--told", "finish_c=900"), "can be 120 to 220"),
        (("--seen", "dark", "--told", "new_lot=perhaps"), "yes or no"),
        ((), "Say what is wrong with the fries"),
    ):
        refused = call("line", "causes", *wrong)
        assert refused.exit_code == Exit.FAULTY_INPUT
        assert words in refused.stderr


def test_every_field_is_named(call: Call) -> None:
    told = said(call("line", "fields"))
    assert "finish_c            Finish, oil, °C; usual 170 to 193 (common practice)" in told
    assert "new_lot             Is the lot new? yes or no" in told


def test_a_sheet_from_one_shift_to_the_next(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_RECORDS", f"sqlite:///{tmp_path / 'records.sqlite3'}")
    here = ("--kitchen", "Quayside", "--fryer", "left")
    said(call("line", "sheet", *here, "--zone", "Europe/Lisbon", "--told", "finish_c=191", "--told", "drying=spun"))
    told = said(call("line", "sheet", *here, "--batch", "next", "--same", "--told", "hold_min=25", "--by", "AB"))
    assert "Drying: spun" in told
    assert "Is that right? Hold is 25 min; usual is 0 to 10 (common practice). It is kept as told." in told
    assert "2017/2158" in told
    assert "it holds in Europe/Lisbon" in told
    assert "Against it: Finish, oil, 191 °C" in told
    told = said(call("line", "causes", "--id", 2, "--seen", "limp"))
    assert "1. They were held for too long (likely)" in told
    told = said(call("line", "sheet", "--id", 2, "--found", "held_too_long", "--by", "AB"))
    assert "It was in the end: held_too_long" in told
    refused = call("line", "causes", "--id", 2)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "no verdict on batch 2" in refused.stderr
    assert call("line", "sheet", "--told", "finish_c=180").exit_code == Exit.FAULTY_INPUT


def test_who_only_asks_for_a_sheet_adds_nothing(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "records.sqlite3"
    monkeypatch.setenv("FRY_GRADER_RECORDS", f"sqlite:///{file}")
    here = ("--kitchen", "Quayside", "--fryer", "left", "--shift", "lunch", "--supplier", "Mill", "--lot", "7")
    zone = ("--zone", "Europe/Lisbon")
    for asked in (("--id", 5), (*here, *zone), ("--told", "finish_c=180"), (*here, *zone, "--told", "finish_c")):
        assert call("line", "sheet", *asked).exit_code == Exit.FAULTY_INPUT
    assert not file.exists()
    said(call("line", "sheet", *here, *zone, "--told", "finish_c=171"))
    assert "171" in said(call("line", "sheet", *here))
    for typo in (("--batch", "typo"), ("--shift", "dinner"), ("--lot", "8"), ("--fryer", "right")):
        refused = call("line", "sheet", *here, *typo)
        assert refused.exit_code == Exit.FAULTY_INPUT
        assert "is kept of that kitchen" in refused.stderr
    kept = json.loads(call("records", "show", "batch", "--json").stdout)
    assert len(kept["batch"]) == 1


@pytest.mark.parametrize("asked", [("sheet",), ("causes",), ("print", "sheet.pdf")])
def test_an_id_beyond_all_is_refused(call: Call, asked: tuple[str, ...]) -> None:
    refused = call("line", *asked, "--id", 2**31)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "2147483647" in refused.output


def test_a_batch_is_named_once(call: Call) -> None:
    refused = call("line", "sheet", "--id", 1, "--batch", "late")
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "--batch" in refused.stderr


@pytest.mark.parametrize("told", [("--id", 1, "--results", "graded"), ("--batch", "late", "--seen", "dark")])
def test_nothing_that_is_named_is_left_aside(call: Call, told: tuple[object, ...]) -> None:
    refused = call("line", "causes", *told)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert str(told[0]) in refused.stderr


def test_a_kitchen_where_the_law_does_not_hold(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_RECORDS", f"sqlite:///{tmp_path / 'records.sqlite3'}")
    told = said(call("line", "sheet", "--kitchen", "Hill", "--zone", "America/New_York", "--told", "finish_c=191"))
    assert "may not hold where you are" in told


def results_of(folder: Path, tubers: dict[str, list[float]]) -> Path:
    """What `grade` would leave of one photo a tuber, as far as lengths go."""
    folder.mkdir()
    photos = [{"name": name, "status": "measured"} for name in tubers]
    (folder / "summary.json").write_text(json.dumps({"batches": [{"photos": photos}]}), encoding="utf-8")
    for name, lengths in tubers.items():
        fries = [{"length_mm": mm, "length_mm_shared_u": 0.003 * mm} for mm in lengths]
        (folder / f"{name}.json").write_text(json.dumps({"fries": fries}), encoding="utf-8")
    return folder


def test_where_lengths_went(call: Call, tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    raw = {f"t{n}": list(rng.normal(80, 12, size=8)) for n in range(8)}
    fried = {name: [0.95 * mm for mm in lengths[1:]] + [0.5 * 0.95 * lengths[0]] * 2 for name, lengths in raw.items()}
    before, after = results_of(tmp_path / "raw", raw), results_of(tmp_path / "finished", fried)
    told = said(call("line", "lengths", before, after))
    assert "Finished fries are 95.0% as long as raw strips" in told
    assert "8 tubers, 8 of them" in told
    assert "(1.12 pieces a raw strip)" in told
    assert "50.8 mm finished: 53.5" in told
    assert "--told raw_short_share=" in told
    longest = {name: max(lengths) for name, lengths in raw.items()}
    table = tmp_path / "tubers.csv"
    rows = [f"{name},{mm * (2 if name == 't3' else 1.05):.1f}" for name, mm in longest.items()]
    table.write_text("\n".join(["tuber,length_mm", *rows]), encoding="utf-8")
    assert "1 of 8 tubers have no strip nearly as long as they are" in said(
        call("line", "lengths", before, after, "--tubers", table)
    )
    table.write_text("tuber,length_mm\nt33,120\n", encoding="utf-8")
    assert "no photos, raw and finished: t33" in call("line", "lengths", before, after, "--tubers", table).stderr
    assert "have no strip nearly" not in told
    refused = call("line", "lengths", before, tmp_path)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "holds no results of a run." in refused.stderr
    other = results_of(tmp_path / "other", {"u1": [50.0]})
    assert "has a fellow" in call("line", "lengths", before, other).stderr


def test_a_sheet_to_print_in_either_language(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_RECORDS", f"sqlite:///{tmp_path / 'records.sqlite3'}")
    said(call("line", "print", tmp_path / "sheet.pdf", "--language", "es"))
    assert "Hoja de línea" in printed(tmp_path / "sheet.pdf")
    said(call("line", "sheet", "--kitchen", "Quayside", "--zone", "Europe/Lisbon", "--told", "finish_c=171"))
    said(call("line", "print", tmp_path / "kept.pdf", "--id", 1))
    assert "171" in printed(tmp_path / "kept.pdf")
    said(call("intake", "plan-fry", tmp_path / "lot.csv", "--print", tmp_path / "lot.pdf", "--language", "es"))
    assert "Fritura de prueba del lote" in printed(tmp_path / "lot.pdf")


def printed(file: Path) -> str:
    return "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(file))
