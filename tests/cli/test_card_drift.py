"""Two cards compared by the command line: verdict, record, trend."""

import json
from pathlib import Path

import cv2
import pytest

from tests.card_values.test_drift import CARD, both, faded
from tests.cli.conftest import Call


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture(scope="module")
def photos(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The card in use fades from photo to photo."""
    folder = tmp_path_factory.mktemp("cards")
    paths = []
    for number, share in enumerate((0.0, 0.02, 0.04, 0.2)):
        paths.append(folder / f"{number}.png")
        cv2.imwrite(str(paths[-1]), both(faded(CARD, share), CARD)[..., ::-1])
    return paths


def test_a_card_that_fades_is_followed_to_its_end(call: Call, photos: list[Path], own_home: Path) -> None:
    first = call("card-drift", photos[0], "--on", "2026-01-05")
    assert first.exit_code == 0, first.output
    assert "as good as the kept one" in first.stdout
    assert "1 of the 3 comparisons" in first.stdout
    call("card-drift", photos[1], "--on", "2026-04-05")
    third = json.loads(call("card-drift", photos[2], "--on", "2026-07-05", "--json").stdout)
    assert third["comparisons"] == 3
    assert third["a_year_de"] > 0
    last = call("card-drift", photos[3], "--on", "2026-10-05")
    assert "print anew now" in last.stdout
    assert "keep one of them in the dark" in last.stdout
    record = own_home / "card-drift" / "card-a6.no-serial.jsonl"
    assert len(record.read_text(encoding="utf-8").splitlines()) == 4


def test_nothing_is_kept_where_nothing_is_to_be(call: Call, photos: list[Path], own_home: Path) -> None:
    told = call("card-drift", photos[3], "--no-record")
    assert "print anew now" in told.stdout
    assert not own_home.exists()


def test_no_photo_was_taken_on_a_day_to_come(call: Call, photos: list[Path], own_home: Path) -> None:
    told = call("card-drift", photos[0], "--on", "2962-01-05")
    assert told.exit_code == 2
    assert "has not come yet" in told.stderr
    assert not own_home.exists()


def test_a_serial_with_a_slip(call: Call, photos: list[Path]) -> None:
    told = call("card-drift", photos[0], "--kept", "K7Q2X-014-2")
    assert told.exit_code == 2
    assert "slip" in told.stderr


def test_a_photo_of_something_else(call: Call, tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"no picture")
    assert call("card-drift", tmp_path / "a.jpg").exit_code == 2
