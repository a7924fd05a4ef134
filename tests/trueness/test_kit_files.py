"""The kit as a folder: written and read without loss, filled in by people, all faults told at once."""

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from grader.errors import DocumentFaulty
from grader.trueness.guide import next_step, photo_path
from grader.trueness.kit_files import KIT, LAYINGS, PHOTOS, PIECES, NoKitError, read_kit, write_kit
from grader.trueness.model import Kit, Piece
from grader.trueness.schedule import KitSize, plan_kit
from grader.trueness.worksheet import worksheet_html
from tests.trueness.made_up import LIGHTS, kit


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_kit(tmp_path / "kit", kit())
    return tmp_path / "kit"


def _planned() -> Kit:
    return plan_kit(KitSize(), sheet="card-a6", lights=LIGHTS, rng=np.random.default_rng(1))


def _change(path: Path, change: Callable[[list[list[str]]], None], *, semicolons: bool = False) -> None:
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    change(rows)
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=";" if semicolons else ",").writerows(rows)


def test_a_kit_comes_back_as_it_was_written(folder: Path) -> None:
    read = read_kit(folder)
    assert read.kit == kit()
    assert read.missing == ()


def test_what_the_house_accepts_and_for_how_long_is_its_own_choice(folder: Path) -> None:
    text = (folder / KIT).read_text(encoding="utf-8")
    text = text.replace("counts_months = 12", "counts_months = 6").replace("lab_bias = 2.0", "lab_bias = 1.2")
    (folder / KIT).write_text(text, encoding="utf-8")
    read = read_kit(folder).kit
    assert (read.counts_months, read.accepted.lab_bias) == (6, 1.2)
    assert read.accepted.reason == kit().accepted.reason
    (folder / KIT).write_text(
        text.replace("counts_months = 6", "counts_months = 13").replace("lab_bias = 1.2", "lab_bias = 0"),
        encoding="utf-8",
    )
    with pytest.raises(DocumentFaulty) as refusal:
        read_kit(folder)
    assert {fault.field for fault in refusal.value.faults} >= {"kit.toml, counts_months", "kit.toml, accepted.lab_bias"}


def test_a_new_plan_lacks_every_value_and_has_no_fault(tmp_path: Path) -> None:
    write_kit(tmp_path, _planned())
    read = read_kit(tmp_path)
    assert read.kit == _planned()
    assert {f"{field} in {KIT}" for field in ("print_run", "by", "length_reference", "colour_reference")} < set(
        read.missing
    )
    assert {"the length of bar B01", "the width of bar B24", "the colour of chip C15"} < set(read.missing)
    assert len(read.missing) == 4 + 2 * 24 + 15


def test_a_plan_never_overwrites_a_kit(folder: Path) -> None:
    with pytest.raises(FileExistsError):
        write_kit(folder, kit())


def test_a_plan_that_finds_its_place_taken_leaves_no_part_of_itself(tmp_path: Path) -> None:
    (tmp_path / PHOTOS).write_text("somebody's own", encoding="utf-8")
    with pytest.raises(FileExistsError):
        write_kit(tmp_path, kit())
    assert [path.name for path in tmp_path.iterdir()] == [PHOTOS]
    assert (tmp_path / PHOTOS).read_text(encoding="utf-8") == "somebody's own"


def test_a_spreadsheet_with_semicolons_and_decimal_commas_will_do(folder: Path) -> None:
    def with_commas(rows: list[list[str]]) -> None:
        for row in rows[1:]:
            row[:] = [cell.replace(".", ",") for cell in row]
        rows.append([""] * len(rows[0]))  # spreadsheets leave such behind

    _change(folder / PIECES, with_commas, semicolons=True)
    assert read_kit(folder).kit == kit()


def test_a_folder_without_a_kit_says_how_to_get_one(tmp_path: Path) -> None:
    with pytest.raises(NoKitError, match=r"It lacks kit\.toml, pieces\.csv") as refusal:
        read_kit(tmp_path)
    assert "trueness plan" in refusal.value.hint


def test_faults_of_all_files_come_at_once(folder: Path) -> None:
    def wrong_pieces(rows: list[list[str]]) -> None:
        rows[1][2], rows[2][1], rows[3][0] = "long", "stick", "B01"

    def wrong_photos(rows: list[list[str]]) -> None:
        rows[1][2], rows[2][3], rows[3][4] = "moonlight", "-3", ""

    def wrong_layings(rows: list[list[str]]) -> None:
        rows[1][1], rows[2][3], rows[3][2] = "10", "B99", "1.5"

    _change(folder / PIECES, wrong_pieces)
    _change(folder / PHOTOS, wrong_photos)
    _change(folder / LAYINGS, wrong_layings)
    text = (folder / KIT).read_text(encoding="utf-8")
    (folder / KIT).write_text(text.replace("K7Q2X", "ABCDE").replace("card-a6", "card-b7"), encoding="utf-8")
    with pytest.raises(DocumentFaulty) as refusal:
        read_kit(folder)
    found = {(fault.field, fault.line) for fault in refusal.value.faults}
    assert {
        ("kit.toml, sheet", None),
        ("kit.toml, print_run", None),
        ("pieces.csv, length_mm", 2),
        ("pieces.csv, kind", 3),
        ("pieces.csv, piece", 4),
        ("photos.csv, light", 2),
        ("photos.csv, raised_mm", 3),
        ("photos.csv, file", 4),
        ("places.csv, place", 2),
        ("places.csv, piece", 3),
        ("places.csv, order", 4),
    } <= found


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda rows: rows.append(rows[1]), "twice"),
        (lambda rows: rows.append(["bars-01", rows[1][1], rows[1][2], rows[-1][3]]), "no bar"),
        (lambda rows: rows.append(["bars-99", "1", "9", "B01"]), "is not in photos.csv"),
        (lambda rows: rows[:] == rows.clear() or rows.append(["photo"]), "lacks the column"),
        (lambda rows: rows.__setitem__(slice(1, None), [r for r in rows[1:] if r[1] in "147"]), "column of places"),
    ],
)
def test_what_cannot_be_laid_so_is_a_fault(folder: Path, change: Callable[[list[list[str]]], None], told: str) -> None:
    _change(folder / LAYINGS, change)
    with pytest.raises(DocumentFaulty, match=told):
        read_kit(folder)


def test_a_photo_twice_is_a_fault(folder: Path) -> None:
    _change(folder / PHOTOS, lambda rows: rows.append(rows[1]))
    with pytest.raises(DocumentFaulty, match="bars-01 is in the table twice"):
        read_kit(folder)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        (PIECES, "piece;kind\n".encode("utf-16"), "not UTF-8"),
        (PIECES, b"x" * 1_000_001, "longer than"),
        (PIECES, b"", "lacks the column"),
        (KIT, b"lights = [", "not valid TOML"),
        (KIT, b"format_version = 1\nsheets = 'card-a6'", "sheets"),
    ],
)
def test_what_is_no_table_or_no_document_is_told_so(folder: Path, name: str, data: bytes, told: str) -> None:
    (folder / name).write_bytes(data)
    with pytest.raises(DocumentFaulty, match=told):
        read_kit(folder)


# --- the guide ---


def test_the_guide_goes_from_measuring_to_laying_to_the_study(tmp_path: Path) -> None:
    write_kit(tmp_path / "plan", _planned())
    first = next_step(tmp_path / "plan", read_kit(tmp_path / "plan"))
    assert "caliper" in first.words
    assert "B01 to B24" in first.words
    assert "no food" in first.words
    assert "and 59 more" in first.words
    assert (first.left, first.last) == (67, False)

    folder = tmp_path / "kit"
    write_kit(folder, kit())
    photos = kit().photos
    second = next_step(folder, read_kit(folder))
    assert f"Photo {photos[0].name}" in second.words
    assert f"place 5: {', '.join(photos[0].laid[4].pieces)}" in second.words
    assert second.left == len(photos)
    (folder / photos[0].file).write_bytes(b"photo")
    (folder / "bars-02.HEIC").write_bytes(b"photo")
    assert f"Photo {photos[2].name}" in next_step(folder, read_kit(folder)).words
    for photo in photos:
        (folder / photo.file).write_bytes(b"photo")
    assert next_step(folder, read_kit(folder)).last


def test_a_raised_photo_says_how_and_that_the_card_stays(tmp_path: Path) -> None:
    raised = next(photo for photo in kit().photos if photo.raised_mm)
    write_kit(tmp_path, replace(kit(), photos=(raised,)))
    words = next_step(tmp_path, read_kit(tmp_path)).words
    assert "12 mm higher" in words
    assert "the card stays where it is" in words


def test_a_photo_is_found_by_its_name_with_any_ending(tmp_path: Path) -> None:
    photo = kit().photos[0]
    assert photo_path(tmp_path, photo) is None
    (tmp_path / "bars-01.json").write_bytes(b"{}")
    assert photo_path(tmp_path, photo) is None
    (tmp_path / "bars-01.graded.jpg").write_bytes(b"what the grader made of it")
    assert photo_path(tmp_path, photo) is None
    (tmp_path / "bars-01.heic").write_bytes(b"photo")
    assert photo_path(tmp_path, photo) == tmp_path / "bars-01.heic"
    (tmp_path / "bars-01.jpg").write_bytes(b"photo")
    assert photo_path(tmp_path, photo) == tmp_path / "bars-01.jpg"


@pytest.mark.parametrize("file", ["*.jpg", "**.jpg", "bars-0?.jpg", "[b]ars-01.jpg", "..", "kit.jpg"])
def test_a_photos_name_is_no_pattern(tmp_path: Path, file: str) -> None:
    for name in ("bars-01.heic", "kit.toml"):
        (tmp_path / name).write_bytes(b"")
    assert photo_path(tmp_path, replace(kit().photos[0], file=file)) is None


def test_the_worksheet_holds_every_photo_and_every_piece_and_nothing_from_elsewhere() -> None:
    odd = replace(kit(), pieces=(*kit().pieces, Piece(name="B<99>", kind="bar")))
    page = worksheet_html(odd)
    assert all(photo.name in page for photo in odd.photos)
    assert all(piece.name in page for piece in kit().pieces)
    assert "B&lt;99&gt;" in page
    assert "B<99>" not in page
    assert "http" not in page.replace("<!doctype html>", "")
