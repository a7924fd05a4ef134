import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from grader.records.house_values import (
    HouseValues,
    HouseValuesError,
    change_house_values,
    house_values,
    keep_house_values,
)


def test_nothing_kept_means_the_usual(tmp_path: Path) -> None:
    assert house_values(tmp_path) == HouseValues()


def test_what_is_kept_comes_back(tmp_path: Path) -> None:
    values = HouseValues(kitchen="Quay", zone="Europe/Lisbon", shift="cena", price_a_kg=2.4, plate_g=180, wanted=0.95)
    keep_house_values(values, tmp_path / "new")
    assert house_values(tmp_path / "new") == values
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["house.json"]


def test_a_window_comes_back_wherever_it_lies(tmp_path: Path) -> None:
    """Later than the usual one, or sooner: its begin alone would not fit before the usual end."""
    for window in (HouseValues(lift_from_s=150, lift_until_s=300), HouseValues(lift_from_s=1, lift_until_s=15)):
        keep_house_values(window, tmp_path)
        assert house_values(tmp_path) == window


@pytest.mark.parametrize(
    "wrong",
    [
        HouseValues(lift_from_s=90, lift_until_s=60),
        HouseValues(samples_a_shift=0),
        HouseValues(shift_from="7pm"),
        HouseValues(plate_g=-1),
        HouseValues(price_a_kg=-1),
        HouseValues(wanted=1.0),
    ],
)
def test_what_cannot_be_is_refused_and_the_file_stays(tmp_path: Path, wrong: HouseValues) -> None:
    keep_house_values(HouseValues(kitchen="Quay"), tmp_path)
    with pytest.raises(HouseValuesError):
        keep_house_values(wrong, tmp_path)
    assert house_values(tmp_path).kitchen == "Quay"


@pytest.mark.parametrize("text", ["", "no json", "[]", '{"kitchen": 3, "samples_a_shift": "many", "wanted": true}'])
def test_a_spoilt_file_never_stops_a_kitchen(tmp_path: Path, text: str) -> None:
    (tmp_path / "house.json").write_text(text)
    assert house_values(tmp_path) == HouseValues()


def test_of_a_file_with_one_slip_the_rest_counts(tmp_path: Path) -> None:
    (tmp_path / "house.json").write_text(json.dumps({"kitchen": "Quay", "samples_a_shift": 900, "plate_g": 200}))
    assert house_values(tmp_path) == HouseValues(kitchen="Quay", plate_g=200)


def test_of_changes_at_once_none_is_lost(tmp_path: Path) -> None:
    def one_dearer(_: int) -> None:
        change_house_values(lambda kept: replace(kept, price_a_kg=(kept.price_a_kg or 0) + 1), tmp_path)

    with ThreadPoolExecutor(8) as people:
        assert len(list(people.map(one_dearer, range(100)))) == 100
    assert house_values(tmp_path).price_a_kg == 100


def test_a_change_that_cannot_be_changes_nothing(tmp_path: Path) -> None:
    keep_house_values(HouseValues(kitchen="Quay"), tmp_path)
    with pytest.raises(HouseValuesError):
        change_house_values(lambda kept: replace(kept, kitchen="Harbour", price_a_kg=-1), tmp_path)
    assert house_values(tmp_path) == HouseValues(kitchen="Quay")
