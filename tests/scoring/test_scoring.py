"""The scorer itself, on labels small enough to count by hand."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from tests.scoring.figures import by_group, figures
from tests.scoring.matching import match, shared_pixels
from tests.scoring.plates import score_folder, score_plate
from tests.scoring.readings import Json, Labels, ReadFry, TrueFry, readings, truths
from tests.scoring.report import report

TOL_PUBLISHED_DE = 1e-4  # the published table has four decimals


def true_fry(number: int, **changes: object) -> TrueFry:
    values: Json = {
        "length_mm": 80.0,
        "width_mm": 9.5,
        "visible_share": 1.0,
        "visible_px": 1000,
        "lab": (60.0, 6.0, 34.0),
        "dark_reach_mm": 0.0,
        **changes,
    }
    return TrueFry(number=number, **values)


def read_fry(number: int, **changes: object) -> ReadFry:
    values: Json = {
        "length_mm": 80.0,
        "length_mm_u": 1.0,
        "width_mm": 9.5,
        "width_mm_u": 0.3,
        "lab": (60.0, 6.0, 34.0),
        "lab_u": (1.0, 1.0, 1.0),
        "dark_end_mm": None,
        **changes,
    }
    return ReadFry(number=number, **values)


def bars(*rows: tuple[int, int, int], width: int = 20) -> Labels:
    """(n, width) a row each: (fry, first column, column after the last)."""
    labels = np.zeros((len(rows), width), np.int64)
    for row, (fry, start, stop) in zip(labels, rows, strict=True):
        row[start:stop] = fry
    return labels


def test_shared_pixels_are_counted_pair_by_pair() -> None:
    shared = shared_pixels(bars((1, 0, 10)), bars((2, 4, 16)))
    assert shared.tolist() == [[4, 0, 6], [4, 0, 6]]


def test_labels_of_another_size_are_an_error() -> None:
    with pytest.raises(ValueError, match="the labels are"):
        shared_pixels(bars((1, 0, 10)), bars((1, 0, 10), (0, 0, 0)))


def test_found_missed_and_false() -> None:
    mask = bars((1, 0, 10), (2, 0, 10), (3, 0, 10))
    labels = bars((1, 0, 8), (2, 6, 20), (3, 1, 10))  # overlaps 8/10, 4/20, 9/10
    result = match(mask, labels, tuple(map(true_fry, (1, 2, 3))), tuple(map(read_fry, (1, 2, 3))))
    assert [(pair.true.number, pair.iou) for pair in result.pairs] == [(3, 0.9), (1, 0.8)]
    assert (result.missed, result.false) == (1, 1)


def test_two_fries_read_as_one_count_once() -> None:
    mask = bars((1, 0, 10), (2, 0, 10))
    labels = bars((1, 0, 10), (1, 0, 10))
    result = match(mask, labels, (true_fry(1), true_fry(2)), (read_fry(1),))
    assert (len(result.pairs), result.missed, result.false) == (1, 1, 0)


def test_a_fry_that_need_not_be_found_neither_helps_nor_hurts() -> None:
    mask = bars((1, 0, 10), (2, 0, 10))
    hidden = true_fry(2, visible_share=0.2)
    seen = match(mask, bars((1, 0, 10), (2, 0, 10)), (true_fry(1), hidden), (read_fry(1), read_fry(2)))
    unseen = match(mask, bars((1, 0, 10), (0, 0, 0)), (true_fry(1), hidden), (read_fry(1),))
    for result in (seen, unseen):
        assert (len(result.pairs), result.missed, result.false) == (1, 0, 0)


def test_a_fry_without_pixels_is_false() -> None:
    result = match(bars((1, 0, 10)), bars((1, 0, 10)), (true_fry(1),), (read_fry(1), read_fry(7)))
    assert (len(result.pairs), result.missed, result.false) == (1, 0, 1)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
        ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ],
)
def test_the_colour_difference_used_is_the_published_one(
    first: tuple[float, float, float], second: tuple[float, float, float], expected: float
) -> None:
    """Pairs 1, 2 and 7 of Table 1 in Sharma, Wu & Dalal 2005, Color Res. Appl. 30(1), doi 10.1002/col.20070."""
    assert float(deltaE_ciede2000(np.array(first), np.array(second))) == pytest.approx(expected, abs=TOL_PUBLISHED_DE)


def _true_record(number: int, px: int, **changes: object) -> Json:
    record: Json = {
        "id": number,
        "length_mm": 80.0,
        "width_mm": 9.5,
        "width_mm_u": 0.3,
        "visible_px": px,
        "visible_share": 1.0,
        "dark_end": None,
        "flesh_lab_mean": [60.0, 6.0, 34.0],
    }
    return record | changes


def _read_record(number: int, **changes: object) -> Json:
    record: Json = {
        "id": number,
        "length_mm": 81.0,
        "length_mm_u": 1.0,
        "width_mm": 9.3,
        "lab": [61.0, 6.0, 34.0],
        "lab_u": [0.4, 1.0, 1.0],
        "dark_end_mm": None,
    }
    return record | changes


def _write(folder: Path, name: str, ending: str, record: Json, labels: Labels) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.json").write_text(json.dumps(record), encoding="utf-8")
    assert cv2.imwrite(str(folder / f"{name}{ending}"), labels.astype(np.uint16))


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """A plate of three fries (the third was missed, one dark end found and one made up) and one to be refused."""
    mask = np.repeat(bars((1, 0, 50), (2, 0, 50), (3, 0, 50), width=60), 10, axis=0)
    dark = {"end": 1, "fraction": 0.25}
    fries = [_true_record(1, 500, dark_end=dark), _true_record(2, 500), _true_record(3, 500)]
    plate = {"mat": None, "layout": "touching", "fries": fries}
    _write(tmp_path / "truth", "plate", ".mask.png", plate, mask)
    bad = {"mat": None, "layout": "spread", "fries": fries}
    _write(tmp_path / "truth", "bad-glare", ".mask.png", bad, mask)

    read = [_read_record(1, dark_end_mm=23.0), _read_record(2, length_mm=None, length_mm_u=None, dark_end_mm=5.0)]
    labels = np.where(mask == 3, 0, mask)
    measured = {"status": "measured", "reasons": [], "fries": read}
    _write(tmp_path / "out", "plate", ".labels.png", measured, labels)
    refused = {"status": "refused", "reasons": [{"code": "card_glare", "message": ""}], "fries": []}
    _write(tmp_path / "out", "bad-glare", ".labels.png", refused, 0 * mask)
    return tmp_path / "truth", tmp_path / "out"


def test_figures_of_a_plate_counted_by_hand(folders: tuple[Path, Path]) -> None:
    groups = by_group(score_folder(*folders))
    assert set(groups) == {"touching", "beside a card", "all but heaps"}
    plate = groups["touching"]
    assert (plate.plates, plate.fries) == (1, 3)
    assert plate.pq == pytest.approx(2 / 2.5)  # two whole overlaps, one miss
    assert plate.found == pytest.approx(2 / 3)
    assert plate.false_share == 0
    assert plate.length_given == pytest.approx(1 / 3)  # one has no length, one was missed
    assert plate.colour_given == pytest.approx(2 / 3)
    assert plate.length_bias_mm == pytest.approx(1.0)
    assert plate.length_cover == 1.0
    assert plate.width_mae_mm == pytest.approx(0.2)
    assert plate.width_bias_mm == pytest.approx(-0.2)
    assert plate.colour_bias_l == pytest.approx(1.0)
    assert plate.plate_shift == pytest.approx(1.0)
    assert plate.colour_cover == pytest.approx(4 / 6)  # L* is 2.5 stated uncertainties off, a* and b* are right
    assert plate.dark_end_recall == 1.0
    assert plate.dark_end_precision == pytest.approx(0.5)
    assert plate.dark_reach_mae_mm == pytest.approx(3.0)  # 23 mm said, a quarter of 80 mm is true


def test_refusal_needs_the_right_reason_first(folders: tuple[Path, Path]) -> None:
    truth, out = folders
    bad, plate = score_folder(truth, out)
    assert bad.must_refuse
    assert bad.right_reason
    assert not plate.must_refuse
    record = {"status": "refused", "reasons": [{"code": "photo_blurred"}, {"code": "card_glare"}], "fries": []}
    (out / "bad-glare.json").write_text(json.dumps(record), encoding="utf-8")
    again, _ = score_folder(truth, out)
    assert again.refused
    assert not again.right_reason


def test_what_is_left_out_counts_as_missed(folders: tuple[Path, Path]) -> None:
    truth, out = folders
    true = next(one for one in truths(truth) if one.name == "plate")
    for read in (None, readings(out, "bad-glare")):
        own = figures([score_plate(true, read)])
        assert (own.fries, own.pq, own.found, own.length_given, own.colour_given) == (3, 0, 0, 0, 0)
        assert np.isnan(own.length_mae_mm)


def test_report_says_what_happened_to_each_plate(folders: tuple[Path, Path]) -> None:
    truth, out = folders
    text = report(score_folder(truth, out))
    assert "refused, for the right reason: card_glare" in text
    assert "refused: 1 of 1 bad plates, 1 for the right reason" in text
    assert "good plates wrongly refused: 0" in text
    (out / "plate.json").write_text(json.dumps({"status": "refused", "reasons": [], "fries": []}), encoding="utf-8")
    (out / "bad-glare.json").unlink()
    text = report(score_folder(truth, out))
    assert "WRONGLY REFUSED" in text
    assert "no result" in text


def test_truth_against_itself_is_perfect(samples: Path, tmp_path: Path) -> None:
    """A sample plate whose truth is handed in as the reading: full marks, whatever the plate."""
    true = next(one for one in truths(samples) if one.name == "b3-plate2")
    fries = [
        _read_record(
            fry.number,
            length_mm=fry.length_mm,
            width_mm=fry.width_mm,
            lab=fry.lab,
            dark_end_mm=fry.dark_reach_mm or None,
        )
        for fry in true.fries
    ]
    _write(tmp_path, true.name, ".labels.png", {"status": "measured", "reasons": [], "fries": fries}, true.mask)
    own = figures([score_plate(true, readings(tmp_path, true.name))])
    assert (own.pq, own.found, own.false_share, own.length_given, own.colour_given) == (1, 1, 0, 1, 1)
    assert (own.length_mae_mm, own.width_mae_mm, own.colour_de_p95) == (0, 0, 0)
    assert (own.dark_end_recall, own.dark_end_precision) == (1, 1)
