import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from grader.card import Serial, load_layouts
from grader.card_values import designed_values
from grader.fries.model import FryFlag
from grader.records.fry_record import flag_names
from grader.records.json_values import number
from grader.records.readings import json_bytes, photo_record, write_readings
from tests.records import made_up

CONTRACT = {"photo", "sha256", "status", "reasons", "fries"}
FRY_CONTRACT = {"id", "length_mm", "straight_mm", "width_mm", "lab", "dark_end_mm", "whole"}
MEASURED = {"length_mm", "straight_mm", "width_mm", "lab", "dark_end_mm", "bow_share", "mass_g"}


def test_a_measured_photo_has_every_agreed_field_and_an_uncertainty_beside_each_number() -> None:
    record = photo_record(made_up.graded(), standard=made_up.standard())
    assert record.keys() >= CONTRACT
    assert record["status"] == "measured"
    assert [fry["id"] for fry in record["fries"]] == [1, 2, 3, 4, 5]
    for fry in record["fries"]:
        assert fry.keys() >= FRY_CONTRACT
        for name in MEASURED:
            assert (fry[name] is None) == (fry[f"{name}_u"] is None)


def test_numbers_come_through_as_measured() -> None:
    first, second, _, hidden, bare = photo_record(made_up.graded(), standard=made_up.standard())["fries"]
    assert (first["length_mm"], first["length_mm_u"]) == (100.0, 0.6)
    assert first["lab"] == [60.0, 8.0, 35.0]
    assert first["lab_u"] == pytest.approx([0.97**0.5, 1.0, 1.3], abs=1e-4)
    assert (second["dark_end_mm"], second["dark_end_mm_u"]) == (8.5, 1.0)
    assert (hidden["length_mm"], hidden["whole"], hidden["flags"]) == (None, False, ["end_hidden", "shiny"])
    assert (bare["lab"], bare["lab_u"], bare["scale_place"]) == (None, None, None)
    assert (first["scale_place"], first["scale_step"], first["off_scale"]) == (3.0, "golden", False)


def test_bow_ends_and_mass_come_through_with_their_doubts() -> None:
    record = photo_record(made_up.graded(), standard=made_up.standard())
    first, _, _, hidden, _ = record["fries"]
    assert (first["bow_share"], first["bow_share_u"], first["indications"]["bow_mm"]) == (0.02, 0.005, 2.0)
    assert (first["end_gaps_mm"], first["end_gaps_mm_u"]) == ([0.2, 0.3], [0.35, 0.35])
    assert (first["mass_g"], first["mass_g_shared_u"]) == (8.0, 1.3333)
    assert first["mass_g_u"] == pytest.approx(((4 / 3) ** 2 + 1) ** 0.5, abs=1e-4)
    assert (hidden["end_gaps_mm"], hidden["mass_g"]) == ([None, None], None)
    assert "not seen" in record["thickness"]


def test_the_share_of_long_fries_is_told_both_ways() -> None:
    """Of 100, 75, 55 and 22.5 mm three are longer than 50.8 mm, and they weigh 230 of 252.5."""
    (told,) = photo_record(made_up.graded(), standard=made_up.standard())["long_shares"]
    assert (told["length_mm"], told["length_in"]) == (50.8, None)
    assert told["by_count"] == pytest.approx(3 / 4, abs=1e-4)
    assert told["by_mass"] == pytest.approx(230 / 252.5, abs=1e-4)
    assert told["by_count_u"] > 0
    assert told["by_mass_u"] > 0
    assert photo_record(made_up.refused(), standard=made_up.standard())["long_shares"][0]["by_count"] is None


def test_a_refused_photo_has_no_fries_and_its_gravest_reason_first() -> None:
    record = photo_record(made_up.refused(), standard=made_up.standard())
    assert record["status"] == "refused"
    assert record["fries"] == []
    assert record["reasons"][0]["code"] == "card_not_found"
    assert record["reasons"][0]["message"]
    assert record["verdict"] is None


def test_nan_is_no_json() -> None:
    graded = made_up.graded()
    assert graded.verdict is not None
    blind = replace(graded.verdict.limits[0], measured=float("nan"), u=float("inf"))
    graded = replace(graded, verdict=replace(graded.verdict, limits=(blind,)))
    record = json.loads(json_bytes(photo_record(graded, standard=made_up.standard())))
    assert record["verdict"]["limits"][0]["measured"] is None
    assert record["verdict"]["limits"][0]["measured_u"] is None


@pytest.mark.parametrize(("value", "written"), [(None, None), (float("nan"), None), (1.23456, 1.2346), (2, 2.0)])
def test_number(value: float | None, written: float | None) -> None:
    assert number(value) == written


def test_labels_are_one_channel_of_16_bits_in_the_photos_size(tmp_path: Path) -> None:
    write_readings(tmp_path, "plate1", made_up.graded(), standard=made_up.standard())
    with Image.open(tmp_path / "plate1.labels.png") as image:
        assert image.mode == "I;16"
        labels = np.asarray(image)
    assert np.array_equal(labels, made_up.plate().labels)


def test_labels_of_a_refused_photo_are_empty_and_an_undecoded_one_has_none(tmp_path: Path) -> None:
    write_readings(tmp_path, "seen", made_up.refused(), standard=made_up.standard())
    with Image.open(tmp_path / "seen.labels.png") as image:
        assert image.size == (made_up.WIDTH_PX, made_up.HEIGHT_PX)
        assert image.getextrema() == (0, 0)
    written = write_readings(tmp_path, "unseen", made_up.refused(decoded=False), standard=made_up.standard())
    assert written == (tmp_path / "unseen.json",)
    assert json.loads(written[0].read_text())["picture"] is None


def test_accents_stay_readable(tmp_path: Path) -> None:
    write_readings(tmp_path, "x", made_up.graded("frites à l’été.jpg"), standard=made_up.standard())
    assert "frites à l’été.jpg" in (tmp_path / "x.json").read_text(encoding="utf-8")


def test_every_flag_has_a_name_on_disk() -> None:
    every = ~FryFlag.NONE
    assert flag_names(every) == [flag.name.lower() for flag in FryFlag if flag.name]


def test_which_card_lay_in_the_photo_and_whose_colours_it_was_given() -> None:
    unknown = photo_record(made_up.graded(), standard=made_up.standard())["sheet"]
    assert (unknown["serial"], unknown["values"]) == (None, None)
    layout, day = load_layouts()[0], date(2026, 11, 20)
    values = designed_values(layout, run="K7Q2X", printed_on=day, expires_on=date(2027, 5, 20), by="AB")
    known = replace(made_up.graded(), serial=Serial("K7Q2X", 14), values=replace(values, method="instrument"))
    told = photo_record(known, standard=made_up.standard())["sheet"]
    assert told["serial"] == "K7Q2X-014-T"
    assert told["values"] == {
        "run": "K7Q2X",
        "method": "instrument",
        "measured_on": "2026-11-20",
        "expires_on": "2027-05-20",
        "measured_by": "AB",
        "instrument": "",
    }
