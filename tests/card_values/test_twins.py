"""Two cards in one photo: which is which, and what is no pair of twins."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError

from grader.arrays import ByteArray
from grader.card import Serial
from grader.card.model import FoundSheet, Layout
from grader.card_values import KnownValues, designed_values
from grader.card_values.drift_log import DriftLine, add_drift, drift_file, drift_line, read_drift, with_drift
from grader.card_values.twins import TwinCards, compare_twins
from grader.errors import CardUnusable, ColourFitPoor, DocumentFaulty
from grader.photo import Photo, linear_to_srgb, srgb_to_linear
from grader.records.card_drift import compare_photo
from tests.card.scenes import PX_PER_MM, Pinhole, photograph, picture_of
from tests.card_values.test_drift import CARD, SIZE_PX, TABLE_RGB, both, faded

IN_USE, DARK = Serial("K7Q2X", 3), Serial("K7Q2X", 14)


def photo_of(pixels: ByteArray, sha256: str = "ab" * 32) -> Photo:
    return Photo(
        name="both.jpg",
        sha256=sha256,
        pixels=pixels,
        file_format="JPEG",
        source_profile="sRGB",
        focal_35mm=26.0,
        taken_at="2026-03-05T12:10:00",
    )


def two_cards(first: Layout, second: Layout, *, quarters: tuple[int, int], below: bool) -> ByteArray:
    """Two cards from straight above, each turned by so many quarters, the second to the right or below."""
    pictures = [np.rot90(picture_of(card), k) for card, k in zip((first, second), quarters, strict=True)]
    edge = 15 * PX_PER_MM
    laid = [np.pad(one, ((edge, edge), (edge, edge), (0, 0)), constant_values=TABLE_RGB[0]) for one in pictures]
    return np.ascontiguousarray(np.concatenate(laid, axis=0 if below else 1))


@pytest.fixture(scope="module")
def pixels() -> ByteArray:
    """The left one has faded."""
    return both(faded(CARD, 0.2), CARD)


@pytest.fixture(scope="module")
def twins(pixels: ByteArray) -> TwinCards:
    return compare_twins(photo_of(pixels))


@pytest.fixture
def read_as(monkeypatch: pytest.MonkeyPatch) -> list[Serial | None]:
    """What is read of the cards, from left to right: this sheet carries no serial of its own."""
    serials: list[Serial | None] = [IN_USE, DARK]

    def read_serial(_: ByteArray, sheet: FoundSheet) -> Serial | None:
        return serials[0] if sheet.corners_px[:, 0].mean() < SIZE_PX[0] / 2 else serials[1]

    monkeypatch.setattr("grader.card_values.identifying.read_serial", read_serial)
    return serials


def test_without_a_word_the_left_one_is_in_use(twins: TwinCards) -> None:
    assert twins.drift.dlab[21, 2] < -10  # the yellow patch has lost yellow
    assert (twins.layout, twins.working, twins.kept) == ("card-a6", None, None)


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_left_is_left_as_the_cards_are_read_however_the_phone_was_held(
    pixels: ByteArray, twins: TwinCards, quarters: int
) -> None:
    turned = compare_twins(photo_of(np.ascontiguousarray(np.rot90(pixels, quarters))))
    np.testing.assert_allclose(turned.drift.dlab, twins.drift.dlab, atol=0.5)


def test_cards_on_their_sides_are_left_and_right_as_they_are_seen(twins: TwinCards) -> None:
    seen = compare_twins(photo_of(two_cards(faded(CARD, 0.2), CARD, quarters=(1, 1), below=False)))
    np.testing.assert_allclose(seen.drift.dlab, twins.drift.dlab, atol=0.8)


def test_cards_head_to_foot_are_left_and_right_as_they_are_seen(twins: TwinCards) -> None:
    seen = compare_twins(photo_of(two_cards(faded(CARD, 0.2), CARD, quarters=(0, 2), below=False)))
    np.testing.assert_allclose(seen.drift.dlab, twins.drift.dlab, atol=0.8)


def test_of_cards_one_above_the_other_none_is_the_left_one(read_as: list[Serial | None]) -> None:
    photo = photo_of(two_cards(CARD, CARD, quarters=(0, 0), below=True))
    read_as[:] = [DARK, DARK]
    with pytest.raises(CardUnusable) as caught:
        compare_twins(photo)
    assert caught.value.code == "kept_card_missing"
    assert "both upright" in caught.value.hint
    assert compare_twins(photo, kept=DARK).kept == DARK


@pytest.mark.usefixtures("read_as")
def test_the_kept_one_is_known_by_its_serial(pixels: ByteArray) -> None:
    assert compare_twins(photo_of(pixels)).working == IN_USE
    assert compare_twins(photo_of(pixels), kept=DARK).drift.dlab[21, 2] < -10
    turned = compare_twins(photo_of(pixels), kept=IN_USE)
    assert (turned.working, turned.kept) == (DARK, IN_USE)
    assert turned.drift.dlab[21, 2] > 10


@pytest.mark.usefixtures("read_as")
def test_what_the_print_run_was_measured_to_be_hardly_matters(pixels: ByteArray, twins: TwinCards) -> None:
    off = np.random.default_rng(8).normal(0, 2, (len(CARD.patches), 3)) * [0.5, 1, 1]
    values = designed_values(CARD, run="K7Q2X", printed_on=date(2026, 1, 1), expires_on=date(2027, 1, 1), by="AB")
    measured = replace(
        values,
        method="instrument",
        patch_lab=values.patch_lab + off,
        patch_lab_u=np.full_like(off, 0.5),
        base_lab_u=np.full(3, 0.5),
    )
    told = compare_twins(photo_of(pixels), known=KnownValues(values=(measured,), on=date(2026, 3, 5)))
    assert told.drift.mean_de == pytest.approx(twins.drift.mean_de, abs=0.3)


@pytest.mark.usefixtures("read_as")
def test_a_kept_card_that_is_not_there(pixels: ByteArray) -> None:
    with pytest.raises(CardUnusable) as caught:
        compare_twins(photo_of(pixels), kept=Serial("K7Q2X", 99))
    assert caught.value.code == "kept_card_missing"


def test_cards_of_two_print_runs_never_were_alike(pixels: ByteArray, read_as: list[Serial | None]) -> None:
    read_as[1] = Serial("CCCCC", 1)
    with pytest.raises(CardUnusable) as caught:
        compare_twins(photo_of(pixels))
    assert caught.value.code == "cards_of_two_runs"


def test_one_card_alone_has_no_twin() -> None:
    with pytest.raises(CardUnusable) as caught:
        compare_twins(photo_of(photograph(picture_of(CARD), Pinhole.over(CARD))))
    assert caught.value.code == "second_card_missing"


def test_a_card_in_glaring_light_is_refused(pixels: ByteArray) -> None:
    burnt = pixels.copy()
    left = burnt[:, : SIZE_PX[0] // 2 - 10]
    left[:] = (left.astype(int) * 8).clip(0, 255)
    with pytest.raises((ColourFitPoor, CardUnusable)):
        compare_twins(photo_of(burnt))


def test_a_card_whose_paper_is_burnt_out_is_refused(pixels: ByteArray) -> None:
    """So bright that the paper has lost its light, and the patches have not."""
    burnt = pixels.copy()
    left = burnt[:, : SIZE_PX[0] // 2]
    left[:] = np.rint(linear_to_srgb((srgb_to_linear(left / 255) * 1.5).clip(0, 1)) * 255)
    with pytest.raises(ColourFitPoor, match="bare paper of one of the two cards"):
        compare_twins(photo_of(burnt))


def line_of(twins: TwinCards, *, sha256: str = "ab" * 32, day: date = date(2026, 3, 5)) -> DriftLine:
    return drift_line(
        twins.drift,
        day=day,
        layout=twins.layout,
        working=twins.working,
        kept=twins.kept,
        photo="both.jpg",
        sha256=sha256,
    )


def test_the_record_only_grows(twins: TwinCards, tmp_path: Path) -> None:
    path = tmp_path / "new" / "card.jsonl"
    first, second = line_of(twins), line_of(twins, sha256="cd" * 32, day=date(2026, 4, 1))
    assert add_drift(path, first) == (first,)
    begun = path.read_text(encoding="utf-8")
    assert add_drift(path, second) == (first, second)
    assert path.read_text(encoding="utf-8").startswith(begun)
    assert read_drift(path) == (first, second)
    assert second.point.day == date(2026, 4, 1)
    assert second.point.mean_de == pytest.approx(twins.drift.mean_de, abs=1e-4)


def test_a_photo_given_twice_is_one_comparison(twins: TwinCards, tmp_path: Path) -> None:
    path = tmp_path / "card.jsonl"
    add_drift(path, line_of(twins))
    again = line_of(twins, day=date(2026, 9, 9))
    assert with_drift(read_drift(path), again) == read_drift(path)
    assert len(add_drift(path, again)) == 1


def test_a_photo_that_is_kept_counts_once_where_it_is_only_looked_at(
    twins: TwinCards, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    monkeypatch.setattr(
        "grader.records.card_drift.read_photo", lambda *_, **__: photo_of(np.zeros((2, 2, 3), np.uint8))
    )
    monkeypatch.setattr("grader.records.card_drift.compare_twins", lambda *_, **__: twins)
    for keep in (True, False):
        run = compare_photo(b"", name="both.jpg", kept=None, on=date(2026, 3, 5), keep=keep)
        assert len(run.lines) == 1


def test_a_line_that_a_full_disk_cut_short_does_not_count_and_goes(twins: TwinCards, tmp_path: Path) -> None:
    path = tmp_path / "card.jsonl"
    first, second = line_of(twins), line_of(twins, sha256="cd" * 32)
    add_drift(path, first)
    with path.open("ab") as file:
        file.write(path.read_bytes()[:200])
    assert read_drift(path) == (first,)
    assert add_drift(path, second) == (first, second)
    assert read_drift(path) == (first, second)


@pytest.mark.parametrize("name", ["two\u2028lines.jpg", "next\x85line.jpg", "no text \udcff.jpg"])
def test_any_name_of_a_photo_leaves_the_record_whole(twins: TwinCards, tmp_path: Path, name: str) -> None:
    path = tmp_path / "card.jsonl"
    told = drift_line(
        twins.drift, day=date(2026, 3, 5), layout="card-a6", working=None, kept=None, photo=name, sha256="ab" * 32
    )
    add_drift(path, told)
    assert read_drift(path) == (told,)


def test_a_damaged_record_is_told_line_by_line_and_not_added_to(twins: TwinCards, tmp_path: Path) -> None:
    path = tmp_path / "card.jsonl"
    good = line_of(twins).model_dump_json()
    path.write_text(f"{good}\n{{\n{good.replace('mean_de', 'mean', 1)}\n", encoding="utf-8")
    with pytest.raises(DocumentFaulty) as caught:
        add_drift(path, line_of(twins, sha256="cd" * 32))
    assert {fault.line for fault in caught.value.faults} == {2, 3}
    assert path.read_text(encoding="utf-8").count("\n") == 3


def test_each_card_has_a_record_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    assert drift_file("card-148", IN_USE) == tmp_path / "card-drift" / f"card-148.{IN_USE}.jsonl"
    assert drift_file("card-148", None).name == "card-148.no-serial.jsonl"


def test_a_line_holds_no_number_that_is_none(twins: TwinCards) -> None:
    spoilt = replace(twins.drift, mean_de=float("nan"))
    with pytest.raises(ValidationError):
        line_of(replace(twins, drift=spoilt))
